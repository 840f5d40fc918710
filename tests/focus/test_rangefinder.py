import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.focus.budget import focus_budget
from asfound.focus.extension import distance_for_extension, extension_for_distance
from asfound.focus.focusing import FrontFocusing, UnitFocusing
from asfound.focus.front_cell import two_groups
from asfound.focus.rangefinder import rangefinder_coupling
from asfound.problems import BadInputError

LENS = UnitFocusing(focal_length_mm=75)
BUDGET = focus_budget(f_number=3.5, circle_mm=0.05)
DISTANCES = (math.inf, 10_000.0, 3000.0, 1500.0, 1000.0)


def coupled(offset: float, rate: float, noise=None, distances=DISTANCES):
    """Coincidences of a rangefinder with a known offset and rate."""
    found = []
    for s in distances:
        x = offset + rate * extension_for_distance(focal_length_mm=75, distance_mm=s)
        x += 0 if noise is None else noise()
        found.append((s, distance_for_extension(focal_length_mm=75, extension_mm=max(x, 0.0))))
    return found


@given(st.floats(0.001, 0.5), st.floats(0.8, 1.2))
def test_offset_and_rate_come_back(offset: float, rate: float) -> None:
    found = rangefinder_coupling(focusing=LENS, readings=coupled(offset, rate))
    assert (found.offset.value, found.rate.value) == pytest.approx((offset, rate), abs=1e-6)
    assert all(abs(reading.after_both_mm) < 1e-6 for reading in found.readings)


def test_an_offset_is_set_first_and_at_infinity() -> None:
    found = rangefinder_coupling(focusing=LENS, readings=coupled(0.3, 1.0), u_extension_mm=0.02, budget=BUDGET)
    assert found.first == "offset"
    assert "at infinity (+0.300 mm)" in found.advice
    assert [r.after_offset_mm for r in found.readings] == pytest.approx([0] * 5, abs=1e-6)
    assert found.readings[0].share == pytest.approx(0.3 / 0.175)


def test_a_rate_is_set_at_the_nearest_distance() -> None:
    found = rangefinder_coupling(focusing=LENS, readings=coupled(0.0, 1.1), u_extension_mm=0.02, budget=BUDGET)
    assert found.first == "rate"
    assert "at 1.00 m" in found.advice


def test_within_the_budget_both_are_left() -> None:
    found = rangefinder_coupling(focusing=LENS, readings=coupled(0.02, 1.0), u_extension_mm=0.02, budget=BUDGET)
    assert found.first == "none"


def test_two_readings_alone_cannot_tell() -> None:
    found = rangefinder_coupling(focusing=LENS, readings=coupled(0.2, 1.0, distances=(5000.0, 1000.0)), budget=BUDGET)
    assert found.first == "cannot tell"
    assert found.offset.standard_uncertainty is None


def test_two_readings_with_a_stated_uncertainty_can() -> None:
    readings = coupled(0.3, 1.0, distances=(5000.0, 1000.0))
    found = rangefinder_coupling(focusing=LENS, readings=readings, u_extension_mm=0.02)
    assert found.first == "offset"


def test_a_worn_cam_is_no_matter_of_adjusters() -> None:
    readings = coupled(0.0, 1.0)
    s, _ = readings[2]
    x = extension_for_distance(focal_length_mm=75, distance_mm=s) + 0.6
    readings[2] = (s, distance_for_extension(focal_length_mm=75, extension_mm=x))
    found = rangefinder_coupling(focusing=LENS, readings=readings, u_extension_mm=0.02, budget=BUDGET)
    assert "neither adjuster" in found.advice


def test_offset_and_rate_are_as_uncertain_as_stated() -> None:
    rng = np.random.default_rng(10)
    stated = rangefinder_coupling(focusing=LENS, readings=coupled(0.5, 1.05), u_extension_mm=0.03)
    drawn = [
        rangefinder_coupling(focusing=LENS, readings=coupled(0.5, 1.05, noise=lambda: rng.normal(0, 0.03)))
        for _ in range(2000)
    ]
    assert stated.offset.standard_uncertainty == pytest.approx(np.std([c.offset.value for c in drawn]), rel=0.05)
    assert stated.rate.standard_uncertainty == pytest.approx(np.std([c.rate.value for c in drawn]), rel=0.05)


def test_a_front_cell_counts_by_what_it_does_to_the_image() -> None:
    groups = two_groups(front_mm=40, rear_mm=-120, separation_mm=10)
    lens = FrontFocusing(groups=groups)
    readings = [(s, lens.distance_for(0.1 + lens.travel_for(s))) for s in DISTANCES]
    found = rangefinder_coupling(focusing=lens, readings=readings)
    assert found.offset.value == pytest.approx(0.1 * groups.rear_magnification**2, rel=1e-6)
    assert found.rate.value == pytest.approx(1, abs=1e-6)


@pytest.mark.parametrize("readings", [[], [(1000.0, 1100.0)], [(1000.0, 1100.0), (1000.0, 1050.0)]])
def test_one_distance_is_not_enough(readings) -> None:
    with pytest.raises(BadInputError, match="two or more places"):
        rangefinder_coupling(focusing=LENS, readings=readings)


def test_a_lens_that_moves_the_wrong_way_is_refused() -> None:
    with pytest.raises(BadInputError, match="wrong way"):
        rangefinder_coupling(focusing=LENS, readings=[(1000.0, 5000.0), (5000.0, 1000.0)])


def test_a_distance_shorter_than_the_lens_allows_is_refused() -> None:
    with pytest.raises(BadInputError, match="shorter than a lens"):
        rangefinder_coupling(focusing=LENS, readings=[(100.0, 1000.0), (5000.0, 5000.0)])
