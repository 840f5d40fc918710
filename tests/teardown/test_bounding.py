"""What every order of steps costs at least, against all orders there are."""

from itertools import pairwise, permutations

import networkx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asfound.teardown.bounding import by_assignment, by_cuts, change_overs


@st.composite
def problems(draw, most=6):
    n = draw(st.integers(2, most))
    costs = draw(st.lists(st.lists(st.integers(0, 9), min_size=n, max_size=n), min_size=n, max_size=n))
    pairs = [(i, j) for i in range(n) for j in range(i + 1, n)]
    return np.array(costs, dtype=float), closed(n, draw(st.lists(st.sampled_from(pairs), max_size=6)))


def closed(n, before):
    graph = networkx.DiGraph(before)
    graph.add_nodes_from(range(n))
    return networkx.to_numpy_array(networkx.transitive_closure(graph), nodelist=range(n)) > 0


def orders(earlier):
    """Return every order in which no step comes before one it needs."""
    every = permutations(range(len(earlier)))
    return [p for p in every if not any(earlier[p[j], p[i]] for i in range(len(p)) for j in range(i + 1, len(p)))]


def along(matrix, order):
    return sum(matrix[i, j] for i, j in pairwise(order))


@settings(max_examples=60, deadline=None)
@given(problems())
def test_every_order_costs_the_bound_and_what_its_change_overs_cost_beyond_it(problem):
    costs, earlier = problem
    square, n = change_overs(costs, earlier), len(costs)
    every = orders(earlier)
    least = min(along(costs, order) for order in every)
    for bound in (by_assignment(square), by_cuts(square, earlier, upper=1000.0, rounds=5)):
        assert bound.value <= least + 1e-9
        assert (bound.beyond >= 0).all()
        for order in every:
            beyond = along(bound.beyond, order) + bound.beyond[n, order[0]] + bound.beyond[order[-1], n]
            assert bound.value + beyond <= along(costs, order) + 1e-6 or along(costs, order) == np.inf


@settings(max_examples=40, deadline=None)
@given(problems())
def test_what_is_left_out_is_in_no_order_cheaper_than_the_best_known(problem):
    costs, earlier = problem
    least = min(along(costs, order) for order in orders(earlier))
    bound = by_cuts(change_overs(costs, earlier), earlier, upper=least + 0.5, rounds=5)
    assert bound.value <= least + 1e-6
    best = [order for order in orders(earlier) if along(costs, order) == least]
    assert all(np.isfinite(along(bound.beyond, order)) for order in best)


def test_where_two_pairs_cross_the_cuts_find_what_the_assignment_does_not():
    # 0 before 1, 2 before 3; free: 1-0 and 3-2 are forbidden, so the free circles 0-3-0 and 1-2-1 are no order.
    costs = np.full((4, 4), 10.0)
    costs[[0, 3, 1, 2], [3, 0, 2, 1]] = 0.0
    earlier = closed(4, [(0, 1), (2, 3)])
    least = min(along(costs, order) for order in orders(earlier))
    square = change_overs(costs, earlier)
    cut = by_cuts(square, earlier, upper=1000.0, rounds=5).value
    assert by_assignment(square).value < cut <= least + 1e-9
    assert cut == pytest.approx(least)
