"""Drift from shot to shot, the side a dial was set from, and even steps."""

import math

import numpy as np
import pytest
from scipy import stats

from asfound.shutter.speeds.drift import approach, approaches, drift
from asfound.shutter.speeds.evenness import evenness


def test_drift_at_one_speed_is_a_straight_line_fit():
    # Outside check: linear regression of a general statistics library.
    times = [0.10, 0.103, 0.109, 0.108, 0.115]
    expected = stats.linregress(range(5), np.log2(times))
    found = drift([times])
    assert found.stops_a_shot == pytest.approx(expected.slope)
    assert found.u_stops_a_shot == pytest.approx(expected.stderr)
    assert found.degrees_of_freedom == 3


def test_speeds_share_the_slope_and_keep_their_level():
    rows = [[level * 2 ** (0.05 * n + e) for n, e in enumerate((0.01, -0.02, 0.01))] for level in (1, 0.2, 0.04)]
    x = np.tile(np.arange(3.0), 3)
    dummies = np.kron(np.eye(3), np.ones((3, 1)))
    fit = np.linalg.lstsq(np.column_stack([x, dummies]), np.log2(np.ravel(rows)), rcond=None)[0]
    assert drift(rows).stops_a_shot == pytest.approx(fit[0])
    assert drift(rows).degrees_of_freedom == 9 - 4


def test_times_that_grow_are_seen_and_steady_ones_are_not():
    grows = [[t * 2 ** (0.1 * n + e) for n, e in enumerate((0, 0.01, 0))] for t in (1, 0.1)]
    steady = [[1.0, 1.02, 1.0], [0.1, 0.098, 0.1]]
    assert drift(grows).verdict == "yes"
    assert drift(steady).verdict == "no sign"
    assert drift([[1.0], [0.1]]) is None


def test_a_loose_cam_plate_reads_differently_from_either_side():
    loose = approach("1/25", above_s=[0.05, 0.051], below_s=[0.04, 0.041], relative_scatter=0.03, degrees_of_freedom=16)
    assert loose.verdict == "yes"
    assert loose.difference_stops == pytest.approx(0.5 * math.log2(50 * 51 / (40 * 41)))
    # Student's t for 16 degrees of freedom, 95 %: 2.12 (GUM Table G.2, from memory).
    assert loose.interval_stops == pytest.approx(2.12 * loose.u_difference_stops, rel=1e-3)
    same = approach("1/25", above_s=[0.04, 0.041], below_s=[0.041, 0.04], relative_scatter=0.03, degrees_of_freedom=16)
    assert same.verdict == "no sign"


def test_a_step_too_large_is_positive():
    (step,) = evenness([("1/50", 0.02, 0.1, 0.03), ("1/25", 0.04, 0.4, 0.04), ("1/5", 0.2, None, None)])
    assert (step.slower, step.faster) == ("1/25", "1/50")
    assert step.marked_stops == pytest.approx(1)
    assert step.measured_stops == pytest.approx(1.3)
    assert step.u_error_stops == pytest.approx(0.05)


def test_only_speeds_set_from_both_sides_are_compared():
    rows = [
        ("1/5", [0.21, 0.212], [0.19, 0.191]),
        ("1/25", [0.04, 0.0404], []),
        ("1/50", [0.02, 0.0201], [0.0201, 0.02]),
    ]
    loose, sound = approaches(rows)
    assert (loose.marked, loose.verdict) == ("1/5", "yes")
    assert (sound.marked, sound.verdict) == ("1/50", "no sign")
