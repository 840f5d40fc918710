"""Minimum zone circles against published data, plain enumeration and general optimisers."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog, minimize

from asfound.problems import BadInputError
from asfound.shape import minimum_zone

# SciPy's cookbook, least-squares circle (data from memory; the zone recomputed by enumeration).
COOKBOOK = np.array([(9, 34), (35, 10), (-13, 6), (10, -14), (23, 27), (0, -10)], dtype=float)
TWO_CIRCLES = [(10, 0), (-10, 0), (0, 10), (0, -10), (7, 7), (-7, 7), (7, -7), (-7, -7)]


def spread(points, centre):
    distance = np.hypot(*(points - centre).T)
    return float(np.ptp(distance))


def widest_strip(points):
    """Least width between two parallel lines, over the sides of the hull (any pair of points)."""
    best = np.inf
    for p, q in itertools.combinations(points, 2):
        side = q - p
        if np.hypot(*side) > 1e-12:
            across = points @ np.array([-side[1], side[0]]) / np.hypot(*side)
            best = min(best, np.ptp(across))
    return best


def enumerated(points):
    """Every centre where four points hold the zone: all crossings of two bisectors. Slow, plainly right."""
    pairs = list(itertools.combinations(range(len(points)), 2))
    normal = np.array([points[j] - points[i] for i, j in pairs])
    middle = np.array([(points[j] ** 2).sum() - (points[i] ** 2).sum() for i, j in pairs]) / 2
    best = np.inf
    for a, b in itertools.combinations(range(len(pairs)), 2):
        sides = normal[[a, b]]
        if abs(np.linalg.det(sides)) > 1e-9:
            best = min(best, spread(points, np.linalg.solve(sides, middle[[a, b]])))
    return best


def ring(rng, n=200, radius=20.0, oval=0.1, noise=0.01, centre=(3.0, -2.0)):
    angle = rng.uniform(0, 2 * np.pi, n)
    r = radius + oval * np.cos(2 * angle) + noise * rng.normal(size=n)
    return np.column_stack([r * np.cos(angle), r * np.sin(angle)]) + np.array(centre)


def test_cookbook_points_have_their_zone():
    zone = minimum_zone(COOKBOOK)
    assert zone.centre_mm == pytest.approx((10.2536328, 9.2747688), abs=5e-8)
    assert zone.out_of_round_mm == pytest.approx(2.9245918, abs=5e-8)
    assert zone.certificate.proved


@pytest.mark.parametrize("seed", range(12))
def test_zone_of_a_few_scattered_points_is_the_best_of_all_enumerated_centres(seed):
    points = np.random.default_rng(seed).uniform(-10, 10, (6 + seed % 4, 2))
    zone = minimum_zone(points)
    best = enumerated(points)
    assert best <= widest_strip(points)
    assert zone.out_of_round_mm == pytest.approx(best, abs=1e-8)
    assert zone.certificate.lower_bound_mm <= best + 1e-9
    assert zone.certificate.proved


@pytest.mark.parametrize("seed", range(4))
def test_zone_of_a_ring_agrees_with_a_straight_line_program(seed):
    # Successive linear programs about the last centre (scipy.optimize.linprog), from the mean of the points.
    points = ring(np.random.default_rng(seed))
    centre = points.mean(axis=0)
    for _ in range(8):
        away = points - centre
        d = np.hypot(*away.T)
        u = away / d[:, None]
        one = np.ones((len(d), 1))
        rows = np.vstack([np.hstack([-u, -one, 0 * one]), np.hstack([u, 0 * one, one])])
        free = [(-0.5, 0.5), (-0.5, 0.5), (None, None), (None, None)]
        result = linprog([0, 0, 1, -1], A_ub=rows, b_ub=np.concatenate([-d, d]), bounds=free)
        centre = centre + result.x[:2]
    assert minimum_zone(points).out_of_round_mm == pytest.approx(spread(points, centre), abs=1e-6)


@pytest.mark.parametrize("seed", range(4))
def test_no_general_optimiser_finds_a_closer_pair(seed):
    rng = np.random.default_rng(seed)
    points = ring(rng, n=60, noise=0.2)
    zone = minimum_zone(points)
    tries = [
        minimize(lambda c: spread(points, c), rng.uniform(-10, 10, 2), method="Nelder-Mead", tol=1e-10).fun
        for _ in range(15)
    ]
    assert min(tries) >= zone.certificate.lower_bound_mm
    assert min(tries) == pytest.approx(zone.out_of_round_mm, rel=1e-3)


def test_certificate_holds_at_centres_all_over_the_plane():
    rng = np.random.default_rng(5)
    points = ring(rng)
    zone = minimum_zone(points)
    for scale in (1e-6, 1e-3, 1, 100, 1e4):
        for centre in rng.normal(size=(200, 2)) * scale + zone.centre_mm:
            assert spread(points, centre) >= zone.certificate.lower_bound_mm


def test_circles_hold_every_point_and_touch_at_least_four():
    points = ring(np.random.default_rng(6), n=5000)
    zone = minimum_zone(points)
    distance = np.hypot(*(points - zone.centre_mm).T)
    assert distance.min() == pytest.approx(zone.inner_radius_mm)
    assert distance.max() == pytest.approx(zone.outer_radius_mm)
    assert len(zone.certificate.contacts) >= 4
    touching = distance[list(zone.certificate.contacts)]
    off = np.minimum(touching - zone.inner_radius_mm, zone.outer_radius_mm - touching)
    assert np.abs(off).max() < 1e-6


@pytest.mark.parametrize("seed", range(4))
def test_weights_of_the_contacts_balance_and_make_up_the_width(seed):
    points = ring(np.random.default_rng(seed), n=500)
    zone = minimum_zone(points)
    contacts, weights = points[list(zone.certificate.contacts)], np.array(zone.certificate.weights)
    away = contacts - zone.centre_mm
    radius = np.hypot(*away.T)
    assert weights[weights > 0].sum() == pytest.approx(1)
    assert weights[weights < 0].sum() == pytest.approx(-1)
    assert weights @ (away / radius[:, None]) == pytest.approx(np.zeros(2), abs=1e-6)
    assert weights @ radius == pytest.approx(zone.out_of_round_mm)


def test_uncertainty_of_the_width_is_what_scatter_of_the_places_makes_of_it():
    rng = np.random.default_rng(9)
    points = ring(rng, n=24, noise=0.05)
    zone = minimum_zone(points)
    widths = []
    for _ in range(150):
        away = points - zone.centre_mm
        scattered = points + away / np.hypot(*away.T)[:, None] * rng.normal(size=(24, 1)) * 1e-5
        widths.append(minimum_zone(scattered).out_of_round_mm)
    assert np.std(widths) == pytest.approx(zone.uncertainty_mm(1e-5), rel=0.2)


@pytest.mark.soak
@pytest.mark.parametrize("seed", range(300))
def test_zone_is_the_best_of_all_enumerated_centres_on_awkward_points(seed):
    rng = np.random.default_rng(1000 + seed)
    points = rng.integers(-3, 4, (rng.integers(4, 10), 2)).astype(float)
    try:
        zone = minimum_zone(points)
    except BadInputError:
        assert enumerated(np.unique(points, axis=0)) >= widest_strip(np.unique(points, axis=0)) - 1e-9
        return
    best = enumerated(points)
    assert zone.certificate.lower_bound_mm <= best + 1e-8
    assert zone.out_of_round_mm >= best - 1e-8
    if zone.certificate.proved:
        assert zone.out_of_round_mm == pytest.approx(best, abs=1e-8)


@pytest.mark.parametrize(
    ("name", "points", "width"),
    [
        ("four corners on one circle", [(0, 0), (1, 0), (0, 1), (1, 1)], 0.0),
        ("three points have a circle through them", [(0, 0), (1, 0), (0.3, 2)], 0.0),
        ("duplicates", [(0, 0), (1, 0), (0, 1), (1, 1), (1, 1), (0, 0)], 0.0),
        ("four points on each of two circles", TWO_CIRCLES, 10 - 7 * 2**0.5),
    ],
)
def test_ties_are_no_trouble(name, points, width):
    zone = minimum_zone(np.array(points, dtype=float))
    assert zone.out_of_round_mm == pytest.approx(width, abs=1e-9)
    assert zone.certificate.proved


def test_a_true_circle_of_many_points_has_no_width():
    angle = np.linspace(0, 2 * np.pi, 2000, endpoint=False)
    zone = minimum_zone(np.column_stack([20 * np.cos(angle), 20 * np.sin(angle)]) + np.array([1.0, 2.0]))
    assert zone.out_of_round_mm < 1e-9
    assert zone.centre_mm == pytest.approx((1.0, 2.0))


def test_a_solid_cloud_is_proved_too():
    points = np.random.default_rng(3).uniform(-1, 1, (3000, 2))
    zone = minimum_zone(points)
    assert zone.certificate.proved
    grid = np.random.default_rng(4).uniform(-0.1, 0.1, (2000, 2))
    assert min(spread(points, centre) for centre in grid) >= zone.certificate.lower_bound_mm


@pytest.mark.parametrize(
    "points",
    [
        [(0, 0), (1, 1)],
        [(0, 0), (1, 1), (2, 2), (3, 3)],
        [(1, 1)] * 5,
        [(0, 0), (1, 0), (float("nan"), 1)],
        # Up, down, up, down: no parabola, so no wide circle, comes nearer than a line (alternation theorem).
        [(-3, 0.01), (-1, -0.01), (1, 0.01), (3, -0.01)],
    ],
)
def test_points_with_no_finite_zone_are_refused(points):
    with pytest.raises(BadInputError) as refused:
        minimum_zone(np.array(points, dtype=float))
    assert len(refused.value.problems) == 1
    assert refused.value.problems[0].remedy


def test_a_short_noisy_arc_has_a_proved_answer_or_is_refused():
    angle = np.linspace(0, np.radians(40), 60)
    r = 20 + 0.01 * np.random.default_rng(8).normal(size=60)
    points = np.column_stack([r * np.cos(angle), r * np.sin(angle)])
    zone = minimum_zone(points)
    assert zone.certificate.proved
    assert zone.out_of_round_mm < widest_strip(points)
    true_centre_spread = spread(points, (0.0, 0.0))
    assert zone.out_of_round_mm <= true_centre_spread


@pytest.mark.parametrize("off", [22.0, 30.0])
def test_a_point_off_the_ring_is_proved_too(off):
    points = np.vstack([ring(np.random.default_rng(7), n=300, oval=0.0, centre=(0.0, 0.0)), [[off, 0.0]]])
    zone = minimum_zone(points)
    assert zone.certificate.proved
    tries = np.random.default_rng(8).uniform(-10, 10, (5000, 2))
    assert min(spread(points, c) for c in tries) >= zone.certificate.lower_bound_mm


def test_where_no_proof_is_reached_the_gap_is_told_and_the_bound_still_holds():
    # From outside, a nearly true round looks equally wide from everywhere: a far point leaves a plateau.
    points = np.vstack([ring(np.random.default_rng(7), n=300, oval=0.0, centre=(0.0, 0.0)), [[60.0, 0.0]]])
    zone = minimum_zone(points)
    proof = zone.certificate
    assert not proof.proved
    assert proof.gap_mm == pytest.approx(zone.out_of_round_mm - proof.lower_bound_mm)
    tries = np.random.default_rng(8).uniform(-60, 60, (5000, 2))
    assert min(spread(points, c) for c in tries) >= proof.lower_bound_mm


@settings(max_examples=10, deadline=None)
@given(
    seed=st.integers(0, 10_000),
    turn=st.floats(0, 2 * np.pi),
    scale=st.floats(0.01, 1000),
    shift=st.tuples(st.floats(-100, 100), st.floats(-100, 100)),
)
def test_turning_moving_and_enlarging_the_ring_does_the_same_to_its_zone(seed, turn, scale, shift):
    points = ring(np.random.default_rng(seed), n=40)
    matrix = scale * np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    plain = minimum_zone(points)
    moved = minimum_zone(points @ matrix.T + shift)
    assert moved.out_of_round_mm == pytest.approx(scale * plain.out_of_round_mm, rel=1e-6)
    expected = matrix @ plain.centre_mm + shift
    assert moved.centre_mm == pytest.approx(tuple(expected), rel=1e-5, abs=1e-5 * scale)


@settings(max_examples=10, deadline=None)
@given(seed=st.integers(0, 10_000), extra=st.tuples(st.floats(-25, 25), st.floats(-25, 25)))
def test_one_more_point_never_makes_the_zone_narrower(seed, extra):
    points = ring(np.random.default_rng(seed), n=30)
    more = minimum_zone(np.vstack([points, extra]))
    assert more.out_of_round_mm >= minimum_zone(points).certificate.lower_bound_mm
