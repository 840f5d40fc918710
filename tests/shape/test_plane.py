"""Planes against worked examples, general optimisers and the laws of turning and scaling."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize

from asfound.problems import BadInputError
from asfound.shape import corner_points, fit_plane

GRID = np.array([(x, y) for y in (0, 20, 40) for x in (0, 20, 40)], dtype=float)


def places(z, xy=GRID):
    return np.column_stack([xy, z])


def square_width(points, normal):
    return float(np.ptp(points @ normal / np.linalg.norm(normal)))


def test_a_grid_has_the_flatness_of_the_worked_example():
    # 3x3 grid, 20 mm apart, rows of y, micrometres; least squares by hand, zone by linear program.
    fit = fit_plane(places(np.array([4, 7, 3, 9, 12, 6, 2, 8, 5]) / 1000))
    assert fit.least_squares.flatness_mm == pytest.approx(10.33333e-3, abs=5e-8)
    assert fit.minimum_zone.flatness_mm == pytest.approx(9.5e-3, abs=1e-8)
    # The zone is not unique here: slopes 7.5e-5 and 5.0e-5 of the worked example, -2.5e-5 and -5.0e-5 alike.
    points = places(np.array([4, 7, 3, 9, 12, 6, 2, 8, 5]) / 1000)
    for slopes in ((7.5e-5, 5.0e-5), (fit.minimum_zone.slope_x, fit.minimum_zone.slope_y)):
        assert square_width(points, np.array([-slopes[0], -slopes[1], 1])) == pytest.approx(9.5e-3, abs=1e-8)


def test_a_saddle_is_as_far_from_flat_either_way():
    fit = fit_plane(np.array([(1, 1, 0.1), (-1, -1, 0.1), (1, -1, -0.1), (-1, 1, -0.1)]))
    assert fit.least_squares.flatness_mm == pytest.approx(0.2)
    assert fit.minimum_zone.flatness_mm == pytest.approx(0.2)
    assert fit.twist_mm == pytest.approx(0.1)


def test_four_corners_give_tilt_about_both_axes_and_twist():
    # slope_x = ((BR+TR)-(BL+TL))/2W, slope_y = ((TL+TR)-(BL+BR))/2H, worked by hand.
    points = corner_points(width_mm=60, height_mm=40, depth_mm=[50.02, 50.10, 50.06, 49.98])
    fit = fit_plane(points, depth_uncertainty_mm=0.01)
    assert fit.least_squares.slope_x == pytest.approx(1.33333e-3, abs=5e-9)
    assert fit.least_squares.slope_y == pytest.approx(-1.0e-3)
    assert fit.least_squares.height_mm == pytest.approx(50.04)
    assert fit.twist_mm == pytest.approx(0, abs=1e-12)
    assert fit.least_squares.tilt_deg == pytest.approx(0.0954929, abs=5e-8)
    assert fit.least_squares.tilt_y_deg == pytest.approx(math.degrees(1.33333e-3), rel=1e-4)
    assert fit.least_squares.tilt_x_deg == pytest.approx(math.degrees(-1e-3), rel=1e-4)
    assert (fit.u_slope_x, fit.u_slope_y) == pytest.approx((0.01 / 60, 0.01 / 40))


def test_three_places_have_a_plane_through_them():
    # 90/210/330 deg at radius 25; 40.00, 40.06, 40.03: 0.0793913 deg, worked by hand.
    angle = np.radians([90, 210, 330])
    fit = fit_plane(places([40.00, 40.06, 40.03], 25 * np.column_stack([np.cos(angle), np.sin(angle)])))
    assert fit.least_squares.tilt_deg == pytest.approx(0.0793913, abs=5e-8)
    assert fit.least_squares.flatness_mm == pytest.approx(0, abs=1e-12)
    assert fit.minimum_zone.flatness_mm == pytest.approx(0, abs=1e-9)
    assert fit.twist_mm is None
    assert fit.u_slope_x is None


@pytest.mark.parametrize("seed", range(6))
def test_no_general_optimiser_finds_closer_planes(seed):
    rng = np.random.default_rng(seed)
    points = rng.normal(size=(12, 3)) * (20, 20, 0.05) + (0, 0, 50)
    points[:, 2] += 0.02 * points[:, 0]
    fit = fit_plane(points)

    def width(slopes):
        return square_width(points, np.array([-slopes[0], -slopes[1], 1.0]))

    start = (fit.least_squares.slope_x, fit.least_squares.slope_y)
    best = min(
        minimize(width, start + rng.normal(size=2) * 1e-3, method="Nelder-Mead", tol=1e-12).fun for _ in range(8)
    )
    assert fit.minimum_zone.flatness_mm <= best + 1e-9
    assert fit.minimum_zone.flatness_mm == pytest.approx(best, rel=1e-3)
    assert fit.minimum_zone.flatness_mm <= fit.least_squares.flatness_mm + 1e-12


def test_uncertainty_of_the_tilt_is_what_scatter_makes_of_it():
    rng = np.random.default_rng(1)
    fits = [fit_plane(places(0.01 * rng.normal(size=9)), depth_uncertainty_mm=0.01) for _ in range(400)]
    assert np.std([f.least_squares.slope_x for f in fits]) == pytest.approx(fits[0].u_slope_x, rel=0.12)


def test_least_squares_agree_with_a_general_library():
    rng = np.random.default_rng(2)
    points = rng.normal(size=(30, 3))
    design = np.column_stack([np.ones(30), points[:, :2]])
    theirs = np.linalg.lstsq(design, points[:, 2], rcond=None)
    fit = fit_plane(points)
    assert (fit.least_squares.slope_x, fit.least_squares.slope_y) == pytest.approx(tuple(theirs[0][1:]))
    assert fit.degrees_of_freedom == 27
    sigma = math.sqrt(theirs[1][0] / 27)
    assert fit.u_slope_x == pytest.approx(sigma * math.sqrt(np.linalg.inv(design.T @ design)[1, 1]))


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10_000), tip=st.floats(-0.3, 0.3), scale=st.floats(0.1, 50))
def test_flatness_is_the_same_however_the_plate_is_held(seed, tip, scale):
    rng = np.random.default_rng(seed)
    points = rng.uniform(-20, 20, (10, 3)) * (1, 1, 0.002)
    turn = np.array([[math.cos(tip), 0, math.sin(tip)], [0, 1, 0], [-math.sin(tip), 0, math.cos(tip)]])
    plain, tipped = fit_plane(points), fit_plane(scale * points @ turn.T + (3, 4, 5))
    assert tipped.minimum_zone.flatness_mm == pytest.approx(scale * plain.minimum_zone.flatness_mm, rel=1e-6)


@pytest.mark.parametrize(
    "points",
    [
        [(0, 0, 1), (1, 0, 1)],
        [(0, 0, 1), (1, 1, 2), (2, 2, 3), (3, 3, 0)],
        [(1, 1, 0), (1, 1, 1), (1, 1, 2)],
        [(0, 0, 1), (1, 0, 1), (0, 1, float("nan"))],
    ],
)
def test_places_that_make_no_plane_are_refused(points):
    with pytest.raises(BadInputError):
        fit_plane(np.array(points, dtype=float))
