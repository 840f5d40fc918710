import math

import numpy as np
import pytest
from scipy import ndimage
from scipy.special import j1

from asfound.focus.budget import coverage_factor
from asfound.focus.sharpness import sharpness_of, sharpness_peak
from asfound.problems import BadInputError


def chequers(rng):
    """A target of random grey squares."""
    return 0.2 + 0.6 * np.kron(rng.random((8, 8)), np.ones((8, 8)))


def photograph(rng, target, defocus_mm: float, *, disc: bool, noise: float = 0.01, drift: float = 0.1):
    """The target on ground glass at f/3.5, twelve micrometres a pixel, with a wandering exposure."""
    radius = abs(defocus_mm) / 3.5 / 2 / 0.012
    blurred = _disc(target, radius) if disc else ndimage.gaussian_filter(target, radius / 2, mode="wrap")
    seen = ndimage.gaussian_filter(blurred, 1.0, mode="wrap")
    return seen * (1 + drift * rng.uniform(-1, 1)) + noise * rng.standard_normal(seen.shape)


def _disc(image, radius: float):
    """Blur with the disc of geometrical optics, its transform being 2 J1(a) / a in closed form."""
    fy, fx = np.meshgrid(np.fft.fftfreq(image.shape[0]), np.fft.fftfreq(image.shape[1]), indexing="ij")
    a = 2 * math.pi * radius * np.hypot(fx, fy)
    transfer = np.where(a > 1e-9, 2 * j1(a) / np.where(a > 1e-9, a, 1), 1.0)
    return np.real(np.fft.ifft2(np.fft.fft2(image) * transfer))


def series(rng, peak: float, settings, *, disc: bool = True, noise: float = 0.01):
    target = chequers(rng)
    return [sharpness_of(photograph(rng, target, x - peak, disc=disc, noise=noise)) for x in settings]


@pytest.mark.parametrize("disc", [True, False], ids=["disc", "bell"])
@pytest.mark.parametrize(("count", "half"), [(9, 0.6), (15, 0.6), (9, 1.5)])
def test_the_known_peak_of_simulated_photographs_is_covered(disc: bool, count: int, half: float) -> None:
    rng = np.random.default_rng(count)
    settings = np.linspace(-half, half, count)
    hits = 0
    for _ in range(40):
        true = rng.uniform(-0.4, 0.4) * half
        values = np.array(series(rng, true, settings, disc=disc)) * (1 + 0.12 * rng.standard_normal(count))
        peak = sharpness_peak(settings=settings, sharpness=values).peak
        factor = coverage_factor(peak.degrees_of_freedom)
        hits += abs(peak.value - true) <= factor * peak.standard_uncertainty
    assert hits >= 35  # 95 % of 40 is 38, with a standard deviation of 1.4


def test_the_uncertainty_is_of_use_and_not_only_wide() -> None:
    rng = np.random.default_rng(1)
    settings = np.linspace(-0.6, 0.6, 9)
    peak = sharpness_peak(settings=settings, sharpness=series(rng, 0.1, settings)).peak
    assert peak.value == pytest.approx(0.1, abs=0.02)
    assert peak.standard_uncertainty < 0.02  # a ninth of the budget of 0.175 mm at f/3.5


def test_the_curve_for_the_drawing_goes_through_what_was_fitted() -> None:
    settings = np.linspace(-0.6, 0.6, 9)
    found = sharpness_peak(settings=settings, sharpness=series(np.random.default_rng(1), 0.1, settings))
    at, height = np.array(found.curve).T
    assert np.interp(found.settings, at, height) == pytest.approx(found.fitted, rel=1e-3)
    assert at[np.argmax(height)] == pytest.approx(found.peak.value, abs=0.01)


def test_one_shaken_photograph_hardly_moves_the_peak_and_is_named() -> None:
    rng = np.random.default_rng(3)
    settings = np.linspace(-0.6, 0.6, 13)
    values = series(rng, 0.07, settings)
    values[8] *= 0.35
    found = sharpness_peak(settings=settings, sharpness=values)
    assert found.peak.value == pytest.approx(0.07, abs=0.03)
    assert found.doubtful == (pytest.approx(settings[8]),)


def test_the_order_of_the_photographs_does_not_matter() -> None:
    rng = np.random.default_rng(4)
    settings = np.linspace(-0.6, 0.6, 9)
    values = series(rng, -0.1, settings)
    turned = sharpness_peak(settings=settings[::-1], sharpness=values[::-1])
    assert turned.peak.value == pytest.approx(sharpness_peak(settings=settings, sharpness=values).peak.value)


def test_another_exposure_or_grey_scale_changes_no_sharpness() -> None:
    rng = np.random.default_rng(5)
    image = photograph(rng, chequers(rng), 0.2, disc=True)
    assert sharpness_of(image * 170) == pytest.approx(sharpness_of(image))


def test_more_defocus_is_less_sharp() -> None:
    rng = np.random.default_rng(6)
    target = chequers(rng)
    values = [sharpness_of(photograph(rng, target, x, disc=False, noise=0, drift=0)) for x in (0, 0.1, 0.2, 0.4, 0.8)]
    assert values == sorted(values, reverse=True)


@pytest.mark.parametrize(("peak", "way"), [(0.9, "go on upwards from 0.6"), (-0.9, "go on downwards from -0.6")])
def test_a_peak_outside_the_series_says_which_way_to_go_on(peak: float, way: str) -> None:
    rng = np.random.default_rng(7)
    settings = np.linspace(-0.6, 0.6, 9)
    with pytest.raises(BadInputError, match=way):
        sharpness_peak(settings=settings, sharpness=series(rng, peak, settings))


def test_too_few_photographs_are_refused() -> None:
    with pytest.raises(BadInputError, match="too few"):
        sharpness_peak(settings=[0, 1, 2, 3, 4], sharpness=[1, 2, 3, 2, 1])


def test_photographs_equally_sharp_are_refused() -> None:
    with pytest.raises(BadInputError, match="equally sharp"):
        sharpness_peak(settings=range(8), sharpness=[1.0] * 8)


@pytest.mark.parametrize("count", [7, 9, 15])
def test_scatter_alone_is_hardly_ever_called_a_peak(count: int) -> None:
    rng = np.random.default_rng(count)
    called = 0
    for _ in range(50):
        try:
            sharpness_peak(settings=range(count), sharpness=1 + 0.05 * rng.standard_normal(count))
        except BadInputError:
            continue
        called += 1
    assert called <= 2  # one in a hundred is expected of those within the series


def test_a_setting_without_its_photograph_is_refused() -> None:
    with pytest.raises(BadInputError, match="8 settings for 7 photographs"):
        sharpness_peak(settings=range(8), sharpness=[1.0] * 7)


@pytest.mark.parametrize("image", [np.zeros((20, 20)), np.ones((4, 20)), np.ones((20, 20, 3))])
def test_a_photograph_that_shows_nothing_is_refused(image) -> None:
    with pytest.raises(BadInputError, match="photograph"):
        sharpness_of(image)
