import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asfound.problems import BadInputError
from asfound.shape import (
    cartesian,
    harmonics,
    polar_plot,
    radii_from_clearance,
    ring_from_diameters,
    ring_from_points,
    ring_from_radii,
    wave,
)

EVERY_FIVE = np.arange(0, 360, 5.0)
# Deviations in micrometres every 30 degrees (roundness practice; Fourier sums worked by a general library).
DEVIATIONS = [30.7, 38.9, 28.3, 12.6, -0.1, -11.5, -20.4, -23.2, -22.9, -22.9, -15.7, 6.0]


def lobed(order, amplitude=0.02, direction=0.0, angle=EVERY_FIVE):
    return 10 + amplitude * np.cos(order * np.radians(angle - direction))


def test_harmonics_of_published_readings():
    found = harmonics(angle_deg=np.arange(0, 360, 30), radius_mm=np.array(DEVIATIONS))
    for h, (amplitude, direction) in zip(found, [(29.9878, 39.998), (7.9985, 24.959), (2.9956, 10.139)], strict=False):
        assert h.amplitude_mm == pytest.approx(amplitude, abs=5e-5)
        assert h.direction_deg == pytest.approx(direction, abs=5e-4)


def test_harmonics_are_those_of_a_fast_fourier_transform():
    radius = 20 + np.random.default_rng(1).normal(size=36)
    theirs = np.abs(np.fft.rfft(radius))[1:9] * 2 / 36
    ours = harmonics(angle_deg=np.arange(0, 360, 10), radius_mm=radius, highest=8)
    assert [h.amplitude_mm for h in ours] == pytest.approx(list(theirs), rel=1e-12)


def test_readings_about_an_axis_keep_their_harmonics():
    radii = 20 + np.array(DEVIATIONS) / 1000
    ring = ring_from_radii(angle_deg=np.arange(0, 360, 30.0), radius_mm=radii)
    assert ring.harmonics[0].amplitude_mm == pytest.approx(0.0299878, abs=5e-8)
    assert ring.harmonics[1].amplitude_mm == pytest.approx(0.0079985, abs=5e-8)


def test_a_true_round_far_off_the_axis_is_not_oval():
    angle = np.radians(EVERY_FIVE)
    radius = 2 * np.cos(angle) + np.sqrt(20**2 - (2 * np.sin(angle)) ** 2)
    ring = ring_from_radii(angle_deg=EVERY_FIVE, radius_mm=radius)
    assert ring.harmonics[0].amplitude_mm == pytest.approx(2.0)
    assert max(h.amplitude_mm for h in ring.harmonics[1:]) < 1e-9


@pytest.mark.parametrize("order", [2, 3, 4, 5])
def test_a_lobed_ring_has_the_out_of_round_of_twice_its_amplitude(order):
    ring = ring_from_radii(angle_deg=EVERY_FIVE, radius_mm=lobed(order, direction=20.0))
    assert ring.minimum_zone.out_of_round_mm == pytest.approx(0.04, abs=2e-4)
    (h,) = [h for h in ring.harmonics if h.order == order]
    assert h.amplitude_mm == pytest.approx(0.02, abs=1e-5)
    assert h.direction_deg == pytest.approx(20.0 % (360 / order), abs=0.05)


def diameters(order):
    angle = np.arange(0, 180, 5.0)
    return angle, lobed(order, angle=angle) + lobed(order, angle=angle + 180)


def test_diameters_show_ovality():
    # r = 10 + .02 cos 2t: out of round .04, and the calliper's range .08 (derived).
    angle, across = diameters(2)
    assert np.ptp(across) == pytest.approx(0.08)
    ring = ring_from_diameters(angle_deg=angle, diameter_mm=across)
    assert ring.minimum_zone.out_of_round_mm == pytest.approx(0.04, abs=1e-4)


def test_diameters_hide_three_lobes_and_the_ring_says_so():
    # r = 10 + .02 cos 3t: out of round .04, and the calliper's range nought (derived).
    angle, across = diameters(3)
    assert np.ptp(across) == pytest.approx(0.0, abs=1e-12)
    ring = ring_from_diameters(angle_deg=angle, diameter_mm=across)
    assert ring.minimum_zone.out_of_round_mm < 1e-9
    assert any("odd lobes" in remark.what for remark in ring.remarks)
    assert all(h.order % 2 == 0 for h in ring.harmonics)


def test_points_keep_no_first_harmonic_because_their_origin_means_nothing():
    points = cartesian(angle_deg=EVERY_FIVE, radius_mm=lobed(2)) + np.array([100.0, 50.0])
    assert min(h.order for h in ring_from_points(points).harmonics) == 2


def test_designed_flats_are_left_out():
    angle = np.arange(0, 360, 1.0)
    radius = np.full(360, 10.0)
    flat = np.abs((angle - 90 + 180) % 360 - 180) < 20
    radius[flat] = 10 * np.cos(np.radians(20)) / np.cos(np.radians(angle[flat] - 90))
    whole = ring_from_radii(angle_deg=angle, radius_mm=radius)
    masked = ring_from_radii(angle_deg=angle, radius_mm=radius, flats_deg=[(69, 111)])
    assert whole.minimum_zone.out_of_round_mm > 0.2
    assert masked.minimum_zone.out_of_round_mm < 1e-9
    assert len(masked.points_mm) < 360


def test_an_arc_has_what_an_arc_can_have():
    # Gander, Golub, Strebel's points (from memory) lie on an arc.
    ring = ring_from_points(np.array([(1, 7), (2, 6), (5, 8), (7, 7), (9, 5), (3, 7)], dtype=float))
    assert ring.least_squares.radius_mm == pytest.approx(4.7142260, abs=6e-8)
    assert ring.maximum_inscribed is None
    assert ring.harmonics == ()
    assert any("open" in remark.what for remark in ring.remarks)


@pytest.mark.parametrize(
    ("angle", "radius", "says"),
    [
        ([0, 30, 60, 90], [10, 10.1, 10, 10.05], "do not go round"),
        ([0, 90, 180, 270], [10, 10, 0, 10], "not above zero"),
        ([0, 120], [10, 10], "do not go round"),
    ],
)
def test_radii_that_make_no_ring_are_refused(angle, radius, says):
    with pytest.raises(BadInputError, match=says):
        ring_from_radii(angle_deg=np.array(angle, float), radius_mm=np.array(radius, float))


def test_clearance_to_a_true_round_is_a_radius():
    inside = radii_from_clearance(clearance_mm=np.array([0.1, 0.2]), mating_radius_mm=10, outside=True)
    assert inside == pytest.approx([9.9, 9.8])
    around = radii_from_clearance(clearance_mm=np.array([0.1, 0.2]), mating_radius_mm=10, outside=False)
    assert around == pytest.approx([10.1, 10.2])


@settings(max_examples=20, deadline=None)
@given(turn=st.floats(0, 360), seed=st.integers(0, 1000))
def test_turning_a_ring_turns_its_lobes(turn, seed):
    rng = np.random.default_rng(seed)
    a2, a3 = rng.uniform(0.01, 0.1, 2)
    d2, d3 = rng.uniform(0, 180), rng.uniform(0, 120)
    radius = 10 + a2 * np.cos(2 * np.radians(EVERY_FIVE - d2)) + a3 * np.cos(3 * np.radians(EVERY_FIVE - d3))
    found = harmonics(angle_deg=EVERY_FIVE + turn, radius_mm=radius)
    for order, amplitude, direction in ((2, a2, d2), (3, a3, d3)):
        h = found[order - 1]
        assert h.amplitude_mm == pytest.approx(amplitude)
        away = (h.direction_deg - direction - turn + 180 / order) % (360 / order) - 180 / order
        assert away == pytest.approx(0, abs=1e-6)


def test_wave_of_the_harmonics_is_the_deviation():
    radius = lobed(2) + lobed(3, amplitude=0.01, direction=40) - 20
    found = harmonics(angle_deg=EVERY_FIVE, radius_mm=radius)
    assert wave(found, EVERY_FIVE) == pytest.approx(radius - radius.mean(), abs=1e-12)


def test_uncertainty_of_an_amplitude_is_what_scatter_makes_of_it():
    rng = np.random.default_rng(3)
    angle = np.arange(0, 360, 2.0)
    runs = [
        harmonics(angle_deg=angle, radius_mm=lobed(2, angle=angle) + 0.001 * rng.normal(size=180))[1]
        for _ in range(300)
    ]
    assert np.std([h.amplitude_mm for h in runs]) == pytest.approx(runs[0].u_amplitude_mm, rel=0.2)


def test_polar_plot_keeps_the_extremes_and_magnifies():
    angle = np.linspace(0, 360, 20_000, endpoint=False)
    ring = ring_from_points(cartesian(angle_deg=angle, radius_mm=lobed(3, angle=angle)))
    plot = polar_plot(ring)
    assert len(plot.angle_deg) <= 2000
    assert np.ptp(plot.deviation_mm) == pytest.approx(0.04, abs=1e-6)
    assert plot.outer_mm - plot.inner_mm == pytest.approx(ring.minimum_zone.out_of_round_mm)
    assert plot.magnification == 100
    assert (np.diff(plot.angle_deg) >= 0).all()
