"""Each check at the earliest point where it can be made, with what failing costs there and later."""

import networkx
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from asfound.teardown import Check, freed_by, order_back, place_proofs


def test_it_comes_as_soon_as_all_it_needs_is_on(step, ident):
    steps = [step(n) for n in range(1, 6)]
    check = Check(what="height", needs_on=frozenset({ident(3), ident(4)}), needs_off=frozenset({ident(1), ident(2)}))
    (proof,) = place_proofs(order_back(steps), steps, [check])
    assert (proof.after, proof.until) == (ident(3), "part 2")


def test_failing_costs_more_steps_the_later_it_is_found(step, ident):
    steps = [step(n) for n in range(1, 6)]
    check = Check(what="height", needs_on=frozenset({ident(4)}))
    minutes = {ident(n): float(n) for n in range(1, 6)}
    (proof,) = place_proofs(order_back(steps), steps, [check], minutes)
    assert (proof.steps_here, proof.steps_at_end) == (1, 4)
    assert (proof.minutes_here, proof.minutes_at_end) == (4.0, 1.0 + 2 + 3 + 4)


def test_an_order_that_shuts_it_in_too_soon_is_told(step, ident):
    steps = [step(1, by=()), step(2, by=())]
    said = Check(what="gap", needs_on=frozenset({ident(1)}), needs_off=frozenset({ident(2)}), off_assumed=False)
    (proof,) = place_proofs([steps[1], steps[0]], steps, [said])
    assert "part 2 must be off for it" in proof.doubt


def test_a_place_that_is_past_without_a_reading_is_overdue(step, ident):
    steps = [step(1), step(2, back=True)]
    check = Check(what="gap", needs_on=frozenset({ident(2)}))
    assert place_proofs(order_back(steps), steps, [check])[0].overdue
    fresh = Check(what="gap", needs_on=frozenset({ident(2)}), missing="")
    assert not place_proofs(order_back(steps), steps, [fresh])[0].overdue


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_steps_to_take_apart_again_are_all_that_stand_before_what_failed(step, ident, data):
    count = data.draw(st.integers(1, 9))
    steps = [
        step(n + 1, by=data.draw(st.none() | st.sets(st.integers(1, n), max_size=3)) if n else ()) for n in range(count)
    ]
    wanted = data.draw(st.integers(1, count))
    (proof,) = place_proofs(order_back(steps), steps, [Check(what="x", needs_on=frozenset({ident(wanted)}))])
    # Oracle: ancestors in the graph of freeings (NetworkX).
    graph = networkx.DiGraph((earlier, later) for later, by in freed_by(steps)[0].items() for earlier in by)
    graph.add_nodes_from(s.id for s in steps)
    assert proof.steps_at_end == len(networkx.ancestors(graph, ident(wanted))) + 1
    assert proof.steps_here <= proof.steps_at_end
