"""The middle and spread of a few values of which one may be far out."""

import statistics

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import median_abs_deviation

from asfound.teardown.robust import robust_mean_and_spread

values = st.lists(st.floats(0.1, 9.0).map(lambda v: round(v, 2)), min_size=3, max_size=12)


def test_of_one_value_there_is_no_spread():
    assert robust_mean_and_spread([0.4]) == (0.4, None)


def test_one_value_far_out_hardly_counts():
    clean = [0.35, 0.36, 0.35, 0.34, 0.36]
    mean, spread = robust_mean_and_spread([*clean, 3.5])
    assert mean == pytest.approx(0.355, abs=0.01)
    assert spread < 3 * statistics.stdev(clean)


@given(values)
def test_it_is_the_fixed_point_that_the_standard_asks_for(given_values):
    mean, spread = robust_mean_and_spread(given_values)
    pulled = np.clip(given_values, mean - 1.5 * spread, mean + 1.5 * spread)
    assert mean == pytest.approx(np.mean(pulled), abs=1e-6)
    assert spread == pytest.approx(1.134 * np.std(pulled, ddof=1), abs=1e-6)


def test_of_many_normal_values_it_gives_their_mean_and_standard_deviation():
    drawn = np.random.default_rng(4).normal(10.0, 2.0, 4000)
    mean, spread = robust_mean_and_spread(drawn.tolist())
    assert mean == pytest.approx(np.mean(drawn), abs=4 * 2 / np.sqrt(4000))
    assert spread == pytest.approx(median_abs_deviation(drawn, scale="normal"), rel=0.06)


@given(values, st.floats(-5, 5), st.floats(0.1, 10))
def test_it_follows_a_shift_and_a_change_of_unit(given_values, shift, scale):
    mean, spread = robust_mean_and_spread(given_values)
    moved_mean, moved_spread = robust_mean_and_spread([scale * v + shift for v in given_values])
    assert moved_mean == pytest.approx(scale * mean + shift, abs=1e-4)
    assert moved_spread == pytest.approx(scale * spread, abs=1e-4)


def test_without_a_value_there_is_nothing():
    with pytest.raises(ValueError, match="no values"):
        robust_mean_and_spread([])
