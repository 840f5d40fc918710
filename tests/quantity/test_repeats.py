import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from asfound.problems import BadInputError
from asfound.quantity import (
    DEPTH_GAUGE,
    Instrument,
    pooled,
    repeated,
    scatter,
    student_factor,
    welch_satterthwaite,
)

PERFECT = Instrument(name="exact gauge", unit="mm", resolution=0.0)


@pytest.mark.parametrize(
    ("freedom", "factor"),
    # JCGM 100:2008, table G.2, 95.45 % (from memory).
    [(1, 13.97), (2, 4.53), (3, 3.31), (4, 2.87), (5, 2.65), (8, 2.37), (10, 2.28), (20, 2.13), (50, 2.05)],
)
def test_student_factor_is_that_of_the_table(freedom, factor):
    assert student_factor(freedom, coverage=0.9545) == pytest.approx(factor, abs=0.006)


def test_infinitely_many_degrees_give_the_normal_factor():
    assert student_factor(None, coverage=0.95) == pytest.approx(1.959964, abs=1e-6)


def test_no_factor_for_less_than_one_degree():
    with pytest.raises(ValueError, match="fewer than one"):
        student_factor(0.5)


@given(st.lists(st.floats(-10, 10), min_size=2, max_size=10))
def test_repeats_without_instrument_are_the_plain_mean_and_its_error(values):
    found = repeated(values, instrument=PERFECT)
    assert found.value == pytest.approx(np.mean(values), abs=1e-12)
    # scipy.stats.sem as oracle.
    assert found.standard_uncertainty == pytest.approx(stats.sem(values), abs=1e-12)


def test_equal_repeats_still_have_the_instruments_uncertainty():
    found = repeated([3.21, 3.21, 3.21], instrument=DEPTH_GAUGE)
    assert found.standard_uncertainty == pytest.approx(math.hypot(0.01 / 12**0.5, 0.02 / 3**0.5))
    assert found.degrees_of_freedom is None
    assert found.how == "depth gauge, 3 tries"


def test_resolution_is_over_the_root_of_twelve():
    # JCGM 100:2008, F.2.2.1 (from memory): 0.29 of the resolution.
    gauge = Instrument(name="gauge", unit="mm", resolution=1.0)
    assert repeated([5.0], instrument=gauge).standard_uncertainty == pytest.approx(0.29, abs=0.002)


def test_pooling_is_analysis_of_variance_within_groups():
    rng = np.random.default_rng(1)
    groups = [list(rng.normal(m, 0.02, n)) for m, n in ((1, 3), (5, 4), (9, 2))]
    common = pooled([*groups, [3.0]])
    within = sum(((np.array(g) - np.mean(g)) ** 2).sum() for g in groups)
    assert common.degrees_of_freedom == 6
    assert common.deviation == pytest.approx(math.sqrt(within / 6))


def test_pooled_scatter_serves_a_single_try():
    common = pooled([[1.00, 1.02], [2.00, 2.03], [3.00, 3.01]])
    found = repeated([4.0], instrument=PERFECT, comparable=common)
    assert found.standard_uncertainty == pytest.approx(common.deviation)
    assert found.degrees_of_freedom == pytest.approx(3)


def test_effective_degrees_never_exceed_the_sum_nor_fall_below_the_least():
    rng = np.random.default_rng(2)
    for _ in range(50):
        shares = [(float(rng.uniform(0.1, 3)), int(rng.integers(1, 30))) for _ in range(4)]
        _, freedom = welch_satterthwaite(shares)
        assert min(nu for _, nu in shares) - 1e-9 <= freedom <= sum(nu for _, nu in shares) + 1e-9


@pytest.mark.parametrize("values", [[], [1.0, math.nan]])
def test_missing_tries_are_refused(values):
    with pytest.raises(BadInputError):
        repeated(values, instrument=PERFECT)


def test_one_try_shows_no_scatter():
    with pytest.raises(BadInputError):
        scatter([1.0])
    with pytest.raises(BadInputError):
        pooled([[1.0], [2.0]])
