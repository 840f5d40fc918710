"""The cheapest order of steps, against published instances and brute force."""

from itertools import pairwise, permutations
from pathlib import Path

import networkx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asfound.problems import BadInputError
from asfound.teardown.ordering import shortest_order

# Best known values of TSPLIB's sequential ordering problems (memory); the first two also confirmed by exact search.
BEST_KNOWN = {"ESC07": 2125, "ESC11": 2075, "ESC25": 1681, "br17.10": 55, "ft53.1": 7531, "p43.1": 28140}


def tsplib(name):
    text = (Path(__file__).parent / "tsplib" / f"{name}.sop").read_text()
    size, *values = text.split("EDGE_WEIGHT_SECTION")[1].replace("EOF", "").split()
    matrix = np.array(values, dtype=float).reshape(int(size), int(size))
    before = [(int(j), int(i)) for i, j in zip(*np.nonzero(matrix == -1), strict=True)]
    return np.maximum(matrix, 0), before


def cost_of(costs, sequence):
    return sum(costs[i][j] for i, j in pairwise(sequence))


@pytest.mark.parametrize("name", ["ESC07", "ESC11", "ESC25", "br17.10"])
def test_small_published_instances_are_solved_and_proved(name):
    costs, before = tsplib(name)
    order = shortest_order(costs, before)
    assert order.proved
    assert order.cost == order.lower_bound == BEST_KNOWN[name]


@pytest.mark.parametrize("name", ["ft53.1", "p43.1"])
def test_large_published_instances_come_within_three_per_cent_of_the_best_known(name):
    costs, before = tsplib(name)
    order = shortest_order(costs, before, most_states=5_000, rounds=3)
    assert order.cost <= 1.03 * BEST_KNOWN[name]
    assert 0.9 * BEST_KNOWN[name] <= order.lower_bound <= BEST_KNOWN[name]
    place = {step: n for n, step in enumerate(order.sequence)}
    assert all(place[i] < place[j] for i, j in before)


@st.composite
def problems(draw, most=7):
    n = draw(st.integers(1, most))
    costs = draw(st.lists(st.lists(st.integers(0, 9), min_size=n, max_size=n), min_size=n, max_size=n))
    pairs = [(i, j) for i in range(n) for j in range(i + 1, n)]
    return costs, draw(st.lists(st.sampled_from(pairs), max_size=8)) if pairs else []


@settings(max_examples=60)
@given(problems())
def test_it_is_the_cheapest_of_all_allowed_orders(problem):
    costs, before = problem
    order = shortest_order(costs, before)
    allowed = (p for p in permutations(range(len(costs))) if all(p.index(i) < p.index(j) for i, j in before))
    assert order.proved
    assert order.cost == cost_of(costs, order.sequence) == min(cost_of(costs, p) for p in allowed)


@settings(max_examples=60, deadline=None)
@given(problems(), st.integers(1, 3), st.integers(0, 4))
def test_the_bound_never_exceeds_the_cost_of_any_order_when_states_run_out(problem, most_states, rounds):
    costs, before = problem
    order = shortest_order(costs, before, most_states=most_states, rounds=rounds, tries=0)
    allowed = (p for p in permutations(range(len(costs))) if all(p.index(i) < p.index(j) for i, j in before))
    assert order.lower_bound <= min(cost_of(costs, p) for p in allowed) <= order.cost


def test_sixty_steps_of_which_one_pair_in_four_is_fixed_are_proved():
    dice = np.random.default_rng(0)
    before = [(i, j) for i in range(60) for j in range(i + 1, 60) if dice.random() < 0.25]
    order = shortest_order(dice.integers(1, 100, (60, 60)), before)
    assert order.proved
    assert order.cost == order.lower_bound


@settings(max_examples=30)
@given(problems(most=12))
def test_every_step_comes_once_and_none_before_what_it_needs(problem):
    costs, before = problem
    order = shortest_order(costs, before)
    # Oracle: the sequence is a topological sort of the closure (NetworkX).
    graph = networkx.DiGraph(before)
    graph.add_nodes_from(range(len(costs)))
    place = {step: n for n, step in enumerate(order.sequence)}
    assert sorted(place) == list(range(len(costs)))
    assert all(place[i] < place[j] for i, j in networkx.transitive_closure(graph).edges)


def test_a_circle_is_named_step_by_step():
    with pytest.raises(BadInputError, match=r"(\d) -> \d -> \d -> \1"):
        shortest_order(np.zeros((3, 3)), [(0, 1), (1, 2), (2, 0)])


@pytest.mark.parametrize(
    ("costs", "before", "said"),
    [
        ([[0, 1]], [], "shape"),
        ([[0, -1], [0, 0]], [], "negative"),
        ([[0, float("nan")], [0, 0]], [], "finite"),
        ([[0, 1], [1, 0]], [(0, 2)], "names no step"),
        ([[0, 1], [1, 0]], [(1, 1)], "wait for each other: 1 -> 1"),
    ],
)
def test_bad_input_is_named(costs, before, said):
    with pytest.raises(BadInputError, match=said):
        shortest_order(costs, before)


@pytest.mark.parametrize("n", [0, 1])
def test_nothing_to_order_costs_nothing(n):
    order = shortest_order(np.zeros((n, n)), [])
    assert (order.sequence, order.cost, order.proved) == (tuple(range(n)), 0.0, True)
