import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.focus.budget import focus_budget
from asfound.focus.spacers import Spacer, TakenReading, flag_readings, stack_effect, wedge
from asfound.problems import BadInputError

RING = Spacer(name="ring", thickness_mm=(0.50, 0.50, 0.50), radius_mm=20, u_thickness_mm=0.005)
PAPER = Spacer(name="paper", thickness_mm=(0.12, 0.12, 0.12), radius_mm=20, u_thickness_mm=0.005)


def test_three_points_give_the_tilt_of_their_plane() -> None:
    # Radius 25; 40.00, 40.06, 40.03 at 90, 210, 330 degrees: 0.0793913 degrees, by arithmetic.
    found = wedge(Spacer(name="x", thickness_mm=(40.00, 40.06, 40.03), radius_mm=25))
    assert found.tilt.value == pytest.approx(0.0793913, abs=5e-8)


@given(st.floats(-0.01, 0.01), st.floats(-0.01, 0.01))
def test_the_slopes_are_those_of_a_plane_solved_for(a, b) -> None:
    # A general linear solver as oracle.
    angles = np.radians([90, 210, 330])
    points = 25 * np.column_stack([np.cos(angles), np.sin(angles)])
    z = 1.0 + points @ np.array([a, b])
    solved = np.linalg.solve(np.column_stack([points, np.ones(3)]), z)
    found = wedge(Spacer(name="x", thickness_mm=tuple(z), radius_mm=25))
    assert (found.slope_x, found.slope_y, found.mean.value) == pytest.approx(tuple(solved), abs=1e-12)


def test_the_mean_and_the_slopes_are_as_uncertain_as_stated() -> None:
    rng = np.random.default_rng(5)
    drawn = [
        wedge(Spacer(name="x", thickness_mm=tuple(0.5 + rng.normal(0, 0.005, 3)), radius_mm=20)) for _ in range(4000)
    ]
    stated = wedge(RING)
    assert stated.mean.standard_uncertainty == pytest.approx(np.std([w.mean.value for w in drawn]), rel=0.04)
    u_slope = math.radians(stated.tilt.standard_uncertainty)
    assert u_slope == pytest.approx(np.std([w.slope_x for w in drawn]), rel=0.04)
    assert u_slope == pytest.approx(np.std([w.slope_y for w in drawn]), rel=0.04)


def test_a_missing_spacer_is_its_thickness_in_infinity() -> None:
    budget = focus_budget(f_number=3.5, circle_mm=0.05)
    found = stack_effect(present=[RING], wanted=[RING, PAPER], budget=budget)
    assert found.infinity_error.value == pytest.approx(-0.12)
    assert found.infinity_error.standard_uncertainty == pytest.approx(0.005 / math.sqrt(3))
    assert found.infinity_share == pytest.approx(-0.12 / 0.175)
    assert (found.missing, found.extra) == (("paper",), ())


def test_a_wrong_spacer_is_the_difference() -> None:
    thick = Spacer(name="thick", thickness_mm=(0.62, 0.62, 0.62), radius_mm=20)
    found = stack_effect(present=[thick], wanted=[RING])
    assert found.infinity_error.value == pytest.approx(0.12)
    assert found.infinity_error.standard_uncertainty is None
    assert (found.missing, found.extra) == (("ring",), ("thick",))


def test_the_right_spacers_leave_no_error_and_no_doubt() -> None:
    found = stack_effect(present=[RING, PAPER], wanted=[PAPER, RING])
    assert found.infinity_error.value == pytest.approx(0)
    assert found.infinity_error.standard_uncertainty == 0


def test_a_wedge_of_a_tilted_lens_defocuses_the_corner_as_a_traced_lens_does() -> None:
    # A thin lens tilted by an angle, traced in the plane: rays of one distant point through its two edges.
    wedged = Spacer(name="wedge", thickness_mm=(0.55, 0.475, 0.475), radius_mm=20)
    found = stack_effect(present=[wedged], wanted=[wedged], half_diagonal_mm=50)
    tilt = math.radians(found.tilt.value)
    assert found.tilted_towards_deg == pytest.approx(90)
    f = 75.0
    along, across = np.array([math.cos(tilt), math.sin(tilt)]), np.array([-math.sin(tilt), math.cos(tilt)])
    # The chief ray to the frame's edge; the image lies where it meets the plane at f behind the tilted lens.
    chief = np.array([f, 50.0])
    image = chief * f / (chief @ along)
    # By the lens: a parallel ray through height h leaves with its slope across the axis less h / f.
    slope = (chief @ across) / (chief @ along)
    for h in (-5.0, 5.0):
        leaving = along + (slope - h / f) * across
        start = h * across
        reach = ((image - start) @ along) / (leaving @ along)
        assert start + reach * leaving == pytest.approx(image)
    assert abs(image[0] - f) == pytest.approx(found.corner_error_mm, rel=0.01)


def test_wedges_laid_against_each_other_cancel() -> None:
    up = Spacer(name="up", thickness_mm=(0.51, 0.5, 0.5), radius_mm=20)
    down = Spacer(name="down", thickness_mm=(0.50, 0.51, 0.51), radius_mm=20)
    assert stack_effect(present=[up, down], wanted=[up, down]).tilt.value == pytest.approx(0, abs=1e-9)


def test_a_late_found_spacer_flags_the_readings_taken_without_it() -> None:
    taken = [
        TakenReading(name="height 1", spacers=frozenset({"ring"})),
        TakenReading(name="height 2", spacers=frozenset({"ring", "paper"})),
    ]
    (flag,) = flag_readings(wanted=[RING, PAPER], readings=taken)
    assert flag.name == "height 1"
    assert flag.height_shift_mm == pytest.approx(-0.12)
    assert flag.advice == "taken without paper: take it again with the right spacers in"


def test_a_spacer_that_does_not_belong_in_flags_too() -> None:
    taken = [TakenReading(name="height 1", spacers=frozenset({"ring", "paper"}))]
    (flag,) = flag_readings(wanted=[RING], readings=taken, others=[PAPER])
    assert (flag.extra, flag.height_shift_mm) == (("paper",), pytest.approx(0.12))


def test_a_spacer_nobody_measured_is_refused() -> None:
    taken = [TakenReading(name="height 1", spacers=frozenset({"tin"}))]
    with pytest.raises(BadInputError, match="'tin' is not in the register"):
        flag_readings(wanted=[RING], readings=taken)


def test_a_spacer_of_no_thickness_is_refused() -> None:
    with pytest.raises(BadInputError, match="thickness of ring"):
        wedge(Spacer(name="ring", thickness_mm=(0.5, 0.0, 0.5), radius_mm=20))
