"""Stopped down: worked tables, and blades drawn and counted apart from the formula."""

import numpy as np
import pytest

from asfound.shutter import Firing
from asfound.shutter.timing.refine import Arrangement
from asfound.shutter.timing.stopdown import reason_to_withhold, stopped_down_table, stopped_down_time_s

# (1, 1, 1) with k = N_wide/N: b + (a + c)(1 - k^2/2) for an area, b + (a + c)(1 - 2k/3) for a diameter that
# grows evenly; times and stops calculated from these.
AREA = [(1, 2, 0), (0.7071, 2.5, 0.3219), (0.5, 2.75, 0.4594), (0.25, 2.9375, 0.5546)]
DIAMETER = [(1, 1.66667, 0), (0.7071, 2.05719, 0.3037), (0.5, 2.33333, 0.4854), (0.25, 2.66667, 0.6781)]


def firing(shape, effective, a=1.0, b=1.0, c=1.0, flags=()):
    return Firing(
        start_s=0,
        effective_s=effective,
        total_open_s=a + b + c,
        opening_s=a,
        closing_s=c,
        shapes=(shape, shape),
        flags=flags,
    )


@pytest.mark.parametrize(("shape", "table"), [("area", AREA), ("diameter", DIAMETER)])
def test_the_worked_tables(shape, table):
    shot = firing(shape, table[0][1])
    rows = stopped_down_table(shot, wide_open=4.0, apertures=[4 / k for k, _, _ in table])
    for row, (_, time, stops) in zip(rows, table, strict=True):
        assert row.effective_s == pytest.approx(time, rel=3e-5)
        assert row.longer_stops == pytest.approx(stops, abs=1e-4)


@pytest.mark.parametrize(("shape", "limit"), [("area", 1.0), ("diameter", 1.585)])
def test_without_a_plateau_the_smallest_stop_sees_the_whole_time(shape, limit):
    shot = firing(shape, 1.0 if shape == "area" else 2 / 3, b=0.0)
    (row,) = stopped_down_table(shot, wide_open=2.0, apertures=[2000.0])
    assert row.longer_stops == pytest.approx(limit, abs=2e-3)


def blade_share(opening, radius, points):
    """Share of a disc of `radius` that five straight-edged blades leave free, by counting points in it."""
    inside = points[np.hypot(*points.T) <= radius]
    angles = 2 * np.pi * np.arange(5) / 5
    reach = inside @ np.stack([np.cos(angles), np.sin(angles)])
    return float(np.mean((reach < opening).all(axis=1)))


def test_five_drawn_blades_agree_with_the_formula():
    # A pentagon that grows evenly from the centre, against discs of the pupil at f/4 and of the stop at f/8.
    points = np.random.default_rng(4).uniform(-1, 1, (60_000, 2))
    time = np.linspace(0, 3, 241)
    opening = np.interp(time, [0, 1, 2, 3], [0, 1, 1, 0])
    wide = np.array([blade_share(o, 1.0, points) for o in opening])
    narrow = np.array([blade_share(o, 0.5, points) for o in opening])
    counted = np.trapezoid(narrow, time)
    computed = stopped_down_time_s(time, wide, wide_open=4.0, aperture=8.0)
    # A pentagon is not a disc: its corners reach into the stop's disc before its sides do.
    assert computed == pytest.approx(counted, rel=0.04)


def test_the_old_rule_for_small_stops():
    # f/16 or smaller at 1/125, 1/250, 1/500: about +1/3, +2/3, +1 stop (a photographic data guide of 1979,
    # second hand, read). A coarse check: edges of 1 ms each way that grow evenly in area at 1/500.
    shot = firing("area", 0.002, a=2e-3, b=0.0, c=2e-3)
    (row,) = stopped_down_table(shot, wide_open=2.8, apertures=[16.0])
    assert row.longer_stops == pytest.approx(1.0, abs=0.1)


def test_the_table_is_withheld_unless_the_whole_pupil_is_seen():
    shot = firing("area", 2.0)
    assert reason_to_withhold(shot, Arrangement(whole_pupil=True)) is None
    assert "whole pupil" in reason_to_withhold(shot, Arrangement())
    assert "whole pupil" in reason_to_withhold(shot, Arrangement(whole_pupil=False))


def test_a_wider_aperture_than_measured_is_refused():
    with pytest.raises(ValueError, match="wider"):
        stopped_down_table(firing("area", 2.0), wide_open=4.0, apertures=[2.8])
