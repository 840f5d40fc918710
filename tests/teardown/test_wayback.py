"""Back together in reverse, respecting what each step was freed by."""

import uuid

import networkx
from hypothesis import given
from hypothesis import strategies as st

from asfound.teardown import FastenerGroup, Step, fastener_count, freed_by, order_back, way_back


def steps(*freed: tuple[int, ...] | None) -> list[Step]:
    ids = [uuid.UUID(int=n + 1) for n in range(len(freed))]
    return [
        Step(
            id=ids[n],
            number=str(n + 1),
            action="off",
            part=f"part {n + 1}",
            lies="A1",
            freed_by=None if by is None else frozenset(ids[i - 1] for i in by),
        )
        for n, by in enumerate(freed)
    ]


def numbers(order):
    return [int(step.number) for step in order]


def test_when_nobody_said_what_freed_what_it_is_the_exact_reverse():
    assert numbers(order_back(steps(None, None, None, None))) == [4, 3, 2, 1]


def test_what_waits_goes_as_late_as_the_rest_allows():
    taken = steps((), (1,), (), (3,))
    assert numbers(order_back(taken, [taken[3].id])) == [2, 1, 4, 3]


def test_a_part_that_everything_waits_for_is_still_in_its_place():
    taken = steps(None, None, None)
    assert numbers(order_back(taken, [taken[2].id])) == [3, 2, 1]


def test_a_step_freed_by_a_later_one_is_a_problem_with_its_place():
    taken = steps((2,), ())
    _, problems = freed_by(taken)
    assert [p.where for p in problems] == ["step 1"]
    assert sorted(numbers(order_back(taken))) == [1, 2]
    assert any("step 1" in line for line in way_back(taken).unaccounted)


def test_a_part_without_a_place_is_not_accounted_for():
    nowhere = Step(id=uuid.UUID(int=9), number="1", action="off", part="click spring")
    assert way_back([nowhere]).unaccounted == ("step 1: where click spring lies was not said",)


def test_fasteners_are_counted_by_sort_until_their_part_is_back():
    group = FastenerGroup(count=3, thread="M1.4", length_mm=2.0)
    one = Step(id=uuid.UUID(int=1), number="1", action="off", part="a", fasteners=(group, group))
    two = Step(id=uuid.UUID(int=2), number="2", action="off", part="b", fasteners=(group,), back=True)
    assert fastener_count([one, two]) == {"screw M1.4 × 2 mm": 6}


@given(st.data())
def test_every_step_comes_back_once_and_never_before_what_it_freed(data):
    count = data.draw(st.integers(1, 12))
    freed = [
        data.draw(st.none() | st.sets(st.integers(1, n), max_size=n).map(tuple)) if n else () for n in range(count)
    ]
    taken = steps(*freed)
    waiting = [s.id for s in taken if data.draw(st.booleans())]
    order = order_back(taken, waiting)
    # Oracle: the order is a topological sort of the reversed graph (NetworkX).
    before, _ = freed_by(taken)
    graph = networkx.DiGraph((later, earlier) for later in before for earlier in before[later])
    graph.add_nodes_from(s.id for s in taken)
    place = {step.id: n for n, step in enumerate(order)}
    assert sorted(place) == sorted(graph.nodes)
    assert all(place[later] < place[earlier] for later, earlier in graph.edges)
