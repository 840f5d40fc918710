"""Fewest changes of tool and turnings over, against brute force and the general order of steps."""

import random
from itertools import permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asfound.problems import BadInputError
from asfound.teardown.handling import Effort, Handling, changes, fewest_changes
from asfound.teardown.ordering import shortest_order

EFFORT = Effort()
handlings = st.builds(
    Handling, tool=st.sampled_from(["", "fine blade", "spanner"]), pose=st.sampled_from(["", "face up"])
)


@st.composite
def problems(draw, steps=handlings, most=6):
    asked = draw(st.lists(steps, min_size=1, max_size=most))
    pairs = [(i, j) for i in range(len(asked)) for j in range(i + 1, len(asked))]
    return asked, draw(st.lists(st.sampled_from(pairs), max_size=6)) if pairs else []


def effort_of(asked, sequence):
    tools, turns = changes([asked[n] for n in sequence])
    return EFFORT.of(tool_changes=tools, turnings=turns)


def allowed(sequence, before):
    place = {step: n for n, step in enumerate(sequence)}
    return all(place[i] < place[j] for i, j in before)


@settings(max_examples=60, deadline=None)
@given(problems())
def test_no_allowed_order_has_fewer_changes(problem):
    asked, before = problem
    found = fewest_changes(asked, before)
    orders = (p for p in permutations(range(len(asked))) if allowed(p, before))
    assert found.proved
    assert allowed(found.sequence, before)
    assert sorted(found.sequence) == list(range(len(asked)))
    assert found.cost == effort_of(asked, found.sequence) == min(effort_of(asked, p) for p in orders)


fully_said = st.builds(Handling, tool=st.sampled_from("abc"), pose=st.sampled_from(["up", "down"]))


@settings(max_examples=30, deadline=None)
@given(problems(fully_said, most=10))
def test_where_every_step_says_its_tool_it_agrees_with_the_general_order_of_steps(problem):
    asked, before = problem
    # Step 0 of the general problem is the empty hand, from which everything must be taken up.
    hands = [Handling(), *asked]
    costs = [[EFFORT.of(tool_changes=a.tool != b.tool, turnings=a.pose != b.pose) for b in hands] for a in hands]
    general = shortest_order(
        np.array(costs), [(0, j + 1) for j in range(len(asked))] + [(i + 1, j + 1) for i, j in before]
    )
    assert general.proved
    assert fewest_changes(asked, before).cost == pytest.approx(general.cost)


@settings(max_examples=30, deadline=None)
@given(problems(most=9))
def test_out_of_states_it_says_a_bound_that_holds(problem):
    asked, before = problem
    found = fewest_changes(asked, before, most_states=1)
    assert found.lower_bound <= fewest_changes(asked, before).cost <= found.cost
    assert allowed(found.sequence, before)


@settings(max_examples=60, deadline=None)
@given(problems(fully_said))
def test_the_bound_before_any_search_never_exceeds_the_fewest_changes(problem):
    asked, before = problem
    orders = (p for p in permutations(range(len(asked))) if allowed(p, before))
    assert fewest_changes(asked, before, most_states=0).lower_bound <= min(effort_of(asked, p) for p in orders)


def test_sixty_steps_of_which_few_must_follow_another_are_proved():
    dice = random.Random(1)
    asked = [Handling(tool=dice.choice("abcde"), pose=dice.choice(["up", "down", ""])) for _ in range(60)]
    before = [(i, j) for i in range(60) for j in range(i + 1, 60) if dice.random() < 0.05]
    found = fewest_changes(asked, before)
    assert found.proved
    assert allowed(found.sequence, before)
    assert found.cost == effort_of(asked, found.sequence)


def test_more_steps_than_a_machine_word_has_bits_are_told_apart():
    asked = [Handling(tool="ab"[n % 2]) for n in range(140)]
    # Each in its pair waits for the other: 0 before 1, 3 before 2, and so on; a, b, a or b, a, b.
    before = [(n, n + 1) if n % 4 == 0 else (n + 1, n) for n in range(0, 140, 2)]
    found = fewest_changes(asked, before)
    assert (found.cost, found.proved) == (3.0, True)


def test_what_is_in_the_hand_is_used_first():
    asked = [Handling(tool="spanner"), Handling(tool="fine blade")]
    assert fewest_changes(asked, [], in_hand=Handling(tool="fine blade")).sequence == (1, 0)


def test_steps_that_ask_for_nothing_keep_their_order_and_cost_nothing():
    found = fewest_changes([Handling()] * 5, [])
    assert (found.sequence, found.cost) == ((0, 1, 2, 3, 4), 0.0)


def test_a_circle_is_named_step_by_step():
    with pytest.raises(BadInputError, match="0 -> 1 -> 2 -> 0"):
        fewest_changes([Handling()] * 4, [(0, 1), (1, 2), (2, 0)])


def test_a_pair_that_names_no_step_is_refused():
    with pytest.raises(BadInputError, match="names no step; use 0 to 1"):
        fewest_changes([Handling()] * 2, [(0, 2)])
