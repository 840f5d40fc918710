"""The cheapest order over the sets of steps that may be done, against all orders there are."""

from itertools import pairwise, permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asfound.teardown.bounding import by_assignment, by_cuts, change_overs
from asfound.teardown.downsets import over_down_sets


@st.composite
def problems(draw):
    n = draw(st.integers(2, 6))
    costs = draw(st.lists(st.lists(st.floats(0, 9), min_size=n, max_size=n), min_size=n, max_size=n))
    earlier = np.zeros((n, n), dtype=bool)
    for j in range(n):
        for i in draw(st.sets(st.integers(0, j - 1), max_size=2)) if j else ():
            earlier[:, j] |= earlier[:, i]
            earlier[i, j] = True
    return np.array(costs), earlier


def allowed(order, earlier):
    return not any(earlier[order[j], order[i]] for i in range(len(order)) for j in range(i + 1, len(order)))


def cost_of(costs, order):
    return sum(costs[i, j] for i, j in pairwise(order))


def least_of(costs, earlier):
    return min(cost_of(costs, p) for p in permutations(range(len(costs))) if allowed(p, earlier))


@settings(max_examples=60, deadline=None)
@given(problems(), st.integers(1, 3), st.booleans())
def test_with_little_room_the_bound_holds_and_what_is_found_is_allowed(problem, widest, cuts):
    costs, earlier = problem
    square = change_overs(costs, earlier)
    bound = by_cuts(square, earlier, upper=100.0, rounds=3) if cuts else by_assignment(square)
    swept = over_down_sets(costs, earlier, bound, upper=100.0, grain=0.0, widest=widest)
    least = least_of(costs, earlier)
    assert swept.lower_bound <= least + 1e-6
    assert swept.sequence is None or allowed(swept.sequence, earlier)
    if swept.complete:
        assert cost_of(costs, swept.sequence) == pytest.approx(least)


@settings(max_examples=60, deadline=None)
@given(problems())
def test_with_room_enough_it_finds_the_cheapest_or_that_nothing_costs_less(problem):
    costs, earlier = problem
    least = least_of(costs, earlier)
    bound = by_assignment(change_overs(costs, earlier))
    swept = over_down_sets(costs, earlier, bound, upper=least + 1.0, grain=0.0, widest=1000)
    assert swept.complete
    assert cost_of(costs, swept.sequence) == pytest.approx(swept.lower_bound) == pytest.approx(least)
    none = over_down_sets(costs, earlier, bound, upper=least, grain=0.0, widest=1000)
    assert none.complete
    assert none.lower_bound == pytest.approx(least)


def test_seventy_steps_one_after_another_keep_their_order():
    earlier = np.triu(np.ones((70, 70), dtype=bool), 1)
    costs = np.ones((70, 70))
    bound = by_assignment(change_overs(costs, earlier))
    swept = over_down_sets(costs, earlier, bound, upper=70.0, grain=1.0, widest=1)
    assert (swept.sequence, swept.lower_bound, swept.complete) == (tuple(range(70)), 69.0, True)
