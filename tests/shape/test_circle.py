"""Least-squares, circumscribed and inscribed circles."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import least_squares
from scipy.spatial import Voronoi

from asfound.problems import BadInputError
from asfound.shape import least_squares_circle, maximum_inscribed, minimum_circumscribed

COOKBOOK = np.array([(9, 34), (35, 10), (-13, 6), (10, -14), (23, 27), (0, -10)], dtype=float)
GANDER = np.array([(1, 7), (2, 6), (5, 8), (7, 7), (9, 5), (3, 7)], dtype=float)


def ring(seed, n=200, noise=0.01):
    rng = np.random.default_rng(seed)
    angle = rng.uniform(0, 2 * np.pi, n)
    r = 20 + 0.1 * np.cos(2 * angle) + noise * rng.normal(size=n)
    return np.column_stack([r * np.cos(angle), r * np.sin(angle)]) + np.array([3.0, -2.0])


@pytest.mark.parametrize(
    ("points", "centre", "radius"),
    [
        # Gander, Golub, Strebel, BIT 34 (1994) (from memory): geometric, not algebraic, least squares.
        (GANDER, (4.7397824, 2.9835327), 4.7142260),
        # SciPy's cookbook (from memory).
        (COOKBOOK, (10.5000862, 9.6599495), 23.3335277),
    ],
)
def test_published_points_have_their_least_squares_circle(points, centre, radius):
    found = least_squares_circle(points)
    assert found.centre_mm == pytest.approx(centre, abs=6e-8)
    assert found.radius_mm == pytest.approx(radius, abs=6e-8)


@pytest.mark.parametrize("seed", range(5))
def test_least_squares_circle_agrees_with_a_general_optimiser(seed):
    points = np.random.default_rng(seed).normal(size=(12, 2)) + 8 * np.array(
        [(np.cos(a), np.sin(a)) for a in np.linspace(0, 5, 12)]
    )
    result = least_squares(
        lambda c: np.hypot(*(points - c[:2]).T) - c[2], [0, 0, 8], xtol=1e-14, ftol=1e-14, gtol=1e-14
    )
    found = least_squares_circle(points)
    assert (*found.centre_mm, found.radius_mm) == pytest.approx(tuple(result.x), abs=1e-6)


def test_equally_spaced_radii_have_the_textbook_circle():
    # R = mean r, a = 2/N sum r cos, b = 2/N sum r sin: first order in the deviations (roundness practice, read).
    angle = np.radians(np.arange(0, 360, 10))
    r = 20 + 1e-5 * np.random.default_rng(2).normal(size=36)
    found = least_squares_circle(np.column_stack([r * np.cos(angle), r * np.sin(angle)]))
    expected = (2 * np.mean(r * np.cos(angle)), 2 * np.mean(r * np.sin(angle)))
    assert found.centre_mm == pytest.approx(expected, abs=1e-9)
    assert found.radius_mm == pytest.approx(r.mean(), abs=1e-9)


def test_cookbook_points_have_their_circumscribed_circle():
    # Recomputed by a general optimiser, radius to the last digit; its centre's three touching points are
    # unequal in the seventh, hence the wider bound there.
    found = minimum_circumscribed(COOKBOOK)
    assert found.centre_mm == pytest.approx((10.8407648, 9.9108280), abs=5e-7)
    assert found.radius_mm == pytest.approx(24.1594002, abs=6e-8)


@pytest.mark.parametrize("seed", range(10))
def test_circumscribed_circle_is_the_smallest_of_all_through_two_or_three(seed):
    points = np.random.default_rng(seed).uniform(-5, 5, (9, 2))
    centres = [points[[i, j]].mean(axis=0) for i, j in itertools.combinations(range(9), 2)]
    for corners in itertools.combinations(points, 3):
        p, q, r = corners
        sides = np.array([q - p, r - p])
        centres.append(p + np.linalg.solve(sides, (sides**2).sum(axis=1) / 2))
    smallest = min(np.hypot(*(points - c).T).max() for c in centres)
    assert minimum_circumscribed(points).radius_mm == pytest.approx(smallest, rel=1e-12)


@pytest.mark.parametrize("seed", range(8))
def test_inscribed_circle_is_the_largest_of_all_voronoi_corners(seed):
    # SciPy's Voronoi diagram (Qhull) as oracle: the largest empty circle about one of its corners.
    points = ring(seed, n=60, noise=0.3)
    corners = Voronoi(points).vertices
    near = corners[np.hypot(*(corners - (3, -2)).T) < 10]
    largest = max(np.hypot(*(points - c).T).min() for c in near)
    found = maximum_inscribed(points)
    assert found.radius_mm == pytest.approx(largest, abs=1e-8)


@pytest.mark.parametrize("seed", range(5))
def test_circumscribed_holds_every_point_and_inscribed_none(seed):
    points = ring(seed, n=3000)
    outer, inner = minimum_circumscribed(points), maximum_inscribed(points)
    assert np.hypot(*(points - outer.centre_mm).T).max() <= outer.radius_mm * (1 + 1e-12)
    assert np.hypot(*(points - inner.centre_mm).T).min() >= inner.radius_mm * (1 - 1e-9)
    assert inner.radius_mm < least_squares_circle(points).radius_mm < outer.radius_mm


def test_a_half_ring_has_no_largest_circle_inside():
    points = ring(1, n=400)
    with pytest.raises(BadInputError, match="open"):
        maximum_inscribed(points[points[:, 1] > -1.5])


def test_gander_points_are_an_arc_with_no_circle_inside():
    with pytest.raises(BadInputError, match="open"):
        maximum_inscribed(GANDER)


@pytest.mark.parametrize("fit", [least_squares_circle, minimum_circumscribed, maximum_inscribed])
@pytest.mark.parametrize(
    "points", [[(0, 0)], [(0, 0), (1, 1), (2, 2)], [(3, 3)] * 4, [(0, 0), (1, 0), (float("inf"), 1)]]
)
def test_too_few_or_collinear_points_are_refused(fit, points):
    with pytest.raises(BadInputError):
        fit(np.array(points, dtype=float))


def test_a_straight_scatter_is_no_circle_by_least_squares():
    with pytest.raises(BadInputError, match="straight"):
        least_squares_circle(np.array([(-3, 0.01), (-1, -0.01), (1, 0.01), (3, -0.01)], dtype=float))


@settings(max_examples=10, deadline=None)
@given(
    seed=st.integers(0, 10_000),
    turn=st.floats(0, 2 * np.pi),
    scale=st.floats(0.01, 1000),
    shift=st.tuples(st.floats(-100, 100), st.floats(-100, 100)),
)
def test_turning_moving_and_enlarging_does_the_same_to_every_circle(seed, turn, scale, shift):
    points = ring(seed, n=40)
    matrix = scale * np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    for fit in (least_squares_circle, minimum_circumscribed, maximum_inscribed):
        plain, moved = fit(points), fit(points @ matrix.T + shift)
        assert moved.radius_mm == pytest.approx(scale * plain.radius_mm, rel=1e-8)
        assert moved.centre_mm == pytest.approx(tuple(matrix @ plain.centre_mm + shift), rel=1e-6, abs=1e-6 * scale)
