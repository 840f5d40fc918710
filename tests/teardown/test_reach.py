"""Driver reach: shaft length and diameter, forced tilt, which driver."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import brentq

from asfound.problems import BadInputError
from asfound.teardown.reach import Driver, Obstacle, driver_reach, forced_tilt_deg


def driver(**more):
    given_ = {"blade_thickness_mm": 0.4, "blade_width_mm": 2.0, "shaft_length_mm": 40.0, "shaft_diameter_mm": 2.0}
    return Driver(**{**given_, **more})


def why_not(fit_of, **place):
    return " ".join(driver_reach(drivers=[fit_of], **place).drivers[0].why_not)


def test_a_shaft_that_passes_upright_is_not_tilted():
    assert forced_tilt_deg(shaft_diameter_mm=2.0, height_mm=8.0, gap_mm=1.0) == 0.0


@given(st.floats(0.5, 4.0), st.floats(3.0, 30.0), st.floats(-1.0, 2.0))
def test_the_forced_tilt_is_where_the_shaft_just_touches(diameter, height, gap):
    assume(gap < diameter / 2)

    def clearance(tilt):
        return height * math.tan(tilt) + gap - diameter / 2 / math.cos(tilt)

    # Oracle: the root of the clearance, found by SciPy.
    root = math.degrees(brentq(clearance, 0.0, math.radians(89)))
    assert forced_tilt_deg(shaft_diameter_mm=diameter, height_mm=height, gap_mm=gap) == pytest.approx(root, abs=1e-6)


@given(st.floats(0.5, 4.0), st.floats(3.0, 30.0), st.floats(-1.0, 2.0), st.floats(0.0, 1.0))
def test_more_room_never_asks_for_more_tilt(diameter, height, gap, more):
    tight = forced_tilt_deg(shaft_diameter_mm=diameter, height_mm=height, gap_mm=gap)
    assert forced_tilt_deg(shaft_diameter_mm=diameter, height_mm=height, gap_mm=gap + more) <= tight + 1e-9


def test_the_handle_must_stay_outside_a_narrow_well():
    short = driver(shaft_length_mm=10.0)
    assert "too short" in why_not(short, depth_mm=14.0, opening_mm=5.0)
    assert why_not(short, depth_mm=14.0, opening_mm=12.0) == ""


def test_a_well_binds_a_thick_shaft():
    assert "too thick" in why_not(driver(shaft_diameter_mm=4.6), depth_mm=14.0, opening_mm=5.0)


def test_a_blade_fills_its_slot_and_stays_within_the_head():
    assert "too thick" in why_not(driver(), depth_mm=5.0, slot_width_mm=0.3)
    assert "too thin" in why_not(driver(blade_thickness_mm=0.2), depth_mm=5.0, slot_width_mm=0.4)
    assert "wider than the head" in why_not(driver(), depth_mm=5.0, head_diameter_mm=1.8)


def test_an_overhang_forces_a_tilt_that_the_blade_does_not_stand():
    assert "climbs out" in why_not(driver(), depth_mm=14.0, obstacle=Obstacle(height_mm=8.0, gap_mm=-0.5))


def test_the_driver_that_reaches_comes_first():
    fits = driver_reach(
        depth_mm=14.0, opening_mm=5.0, drivers=[driver(shaft_diameter_mm=4.6, name="thick"), driver(name="thin")]
    ).drivers
    assert [(str(fit.driver), fit.reaches) for fit in fits] == [("thin", True), ("thick", False)]


@pytest.mark.parametrize("depth", [0.0, -3.0, float("nan")])
def test_a_depth_that_is_none_is_refused(depth):
    with pytest.raises(BadInputError, match="no measure of it"):
        driver_reach(depth_mm=depth)
