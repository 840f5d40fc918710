"""The order shown stays; a better one is offered."""

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from asfound.teardown import better_order, freed_by, shown_order
from asfound.teardown.holding import held_order


def numbers(order):
    return [int(s.number) for s in order]


def test_steps_with_one_tool_are_offered_together(step):
    steps = [step(1, by=(), tool="fine blade"), step(2, by=(), tool="spanner"), step(3, by=(), tool="fine blade")]
    offer = better_order(steps[::-1], steps)
    assert offer.better
    assert numbers(offer.order) == [3, 1, 2]
    assert (offer.shown.tool_changes, offer.offered.tool_changes, offer.proved) == (3, 2, True)
    assert "2 instead of 3 changes of tool" in str(offer)


def test_the_last_step_done_says_which_tool_is_in_the_hand(step):
    steps = [step(1, by=(), tool="spanner"), step(2, by=(), tool="fine blade"), step(3, tool="spanner", back=True)]
    offer = better_order(steps[::-1], steps)
    assert numbers(offer.order) == [1, 2]
    assert offer.offered.tool_changes == 1


def test_a_waiting_part_and_what_rests_on_it_come_last_and_the_shortest_wait_first(step, ident):
    steps = [step(1, by=()), step(2, by=[1]), step(3, by=()), step(4, by=()), step(5, by=())]
    offer = better_order(steps[::-1], steps, waiting={ident(2): 2, ident(4): 1})
    assert numbers(offer.order) == [5, 3, 4, 2, 1]
    assert (offer.shown.before_waiting, offer.offered.before_waiting) == (1, 2)


def test_nothing_is_offered_where_nothing_is_better(step):
    steps = [step(n, by=[n - 1] if n > 1 else (), tool=f"tool {n}") for n in range(1, 6)]
    offer = better_order(steps[::-1], steps)
    assert not offer.better
    assert numbers(offer.order) == [5, 4, 3, 2, 1]


def test_the_order_taken_is_shown_until_another_is(step, ident):
    steps = [step(1, by=()), step(2, by=()), step(3, by=())]
    assert numbers(shown_order(steps, (), [ident(1), ident(3), ident(2)])) == [1, 3, 2]
    assert numbers(shown_order(steps, [ident(1)], [ident(1), ident(3), ident(2)])) == [1, 3, 2]


def test_a_new_step_is_laid_into_the_order_taken(step, ident):
    steps = [step(1, by=()), step(2, by=()), step(3, by=())]
    assert numbers(shown_order(steps, (), [ident(1), ident(2)])) == [1, 3, 2]


def test_only_what_a_new_freeing_concerns_moves(step, ident):
    steps = [step(1, by=()), step(2, by=[1]), step(3, by=())]
    assert numbers(shown_order(steps, (), [ident(1), ident(3), ident(2)])) == [3, 2, 1]


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_an_order_held_is_always_allowed_and_complete(step, ident, data):
    count = data.draw(st.integers(1, 8))
    said = [data.draw(st.none() | st.sets(st.integers(1, n), max_size=n)) if n else () for n in range(count)]
    steps = [step(n + 1, by=by) for n, by in enumerate(said)]
    shown = [ident(n) for n in data.draw(st.permutations(range(1, count + 3)))]
    order = held_order(shown, data.draw(st.permutations(steps)), steps)
    before, _ = freed_by(steps)
    place = {s.id: n for n, s in enumerate(order)}
    assert sorted(numbers(order)) == list(range(1, count + 1))
    assert all(place[later] < place[earlier] for later in before for earlier in before[later])


def test_steps_that_wait_for_each_other_are_named_one_by_one(step):
    _, problems = freed_by([step(1, by=[3]), step(2, by=[1]), step(3, by=[2])])
    assert "part 1 waits for itself: 1 freed by 3 freed by 2 freed by 1" in str(problems[0])
