"""Scatter shared by speeds that scatter alike."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from asfound.shutter.speeds.pooling import bartlett, pool, relative_scatter


def speeds_of(scatters, shots=3, seed=1):
    generator = np.random.default_rng(seed)
    return [list(0.02 * np.exp(generator.normal(0, s, shots))) for s in scatters]


@pytest.mark.parametrize("seed", range(5))
def test_the_test_of_comparable_scatter_is_bartletts(seed):
    # Outside check: Bartlett's test of a general statistics library.
    logs = [np.log(s) for s in speeds_of([0.02, 0.05, 0.03, 0.04], shots=4 + seed, seed=seed)]
    ours = bartlett([np.var(x, ddof=1) for x in logs], [len(x) - 1 for x in logs])
    assert ours == pytest.approx(stats.bartlett(*logs).pvalue, rel=1e-9)


def test_bartletts_test_holds_its_promise():
    # Of 400 shutters whose speeds scatter alike, about 5 % are called different: 20, and 33 is three sigma more.
    called = 0
    for seed in range(400):
        logs = [np.log(s) for s in speeds_of([0.03] * 8, seed=seed)]
        called += bartlett([np.var(x, ddof=1) for x in logs], [2] * 8) < 0.05
    assert 7 <= called <= 33


def test_alike_speeds_share_one_figure_on_all_their_degrees_of_freedom():
    shared = pool(speeds_of([0.03] * 8, seed=3))
    assert len(set(shared)) == 1
    assert shared[0].degrees_of_freedom == 16
    squares = [relative_scatter(s) ** 2 for s in speeds_of([0.03] * 8, seed=3)]
    assert shared[0].relative == pytest.approx(math.sqrt(np.mean(squares)))


def test_a_speed_that_jumps_about_stands_by_itself():
    shared = pool(speeds_of([0.02] * 7 + [0.6], seed=4))
    assert shared[7] is None
    assert shared[0].speeds == tuple(range(7))


def test_two_sorts_of_speeds_make_two_pools():
    shared = pool(speeds_of([0.01] * 4 + [0.5] * 4, shots=5, seed=5))
    assert {p.speeds for p in shared} == {(0, 1, 2, 3), (4, 5, 6, 7)}


def test_a_single_shot_takes_the_figure_of_the_others():
    times = [*speeds_of([0.03] * 3), [0.5]]
    assert pool(times)[3].speeds == (0, 1, 2, 3)


def test_nothing_is_shared_where_nothing_was_repeated():
    assert pool([[0.1], [0.2]]) == (None, None)
    assert pool([[0.1, 0.1], [0.2, 0.2]]) == (None, None)


@given(st.floats(1e-4, 1e4), st.integers(0, 50))
def test_the_unit_of_time_makes_no_difference(factor, seed):
    times = speeds_of([0.03] * 4, seed=seed)
    scaled = [[t * factor for t in row] for row in times]
    ours, theirs = pool(times), pool(scaled)
    assert [p and p.speeds for p in ours] == [p and p.speeds for p in theirs]
    assert [p and p.relative for p in ours] == [p and pytest.approx(p.relative, rel=1e-6) for p in theirs]
