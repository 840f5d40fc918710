import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import ndimage

from asfound.focus.aperture import aperture_finding, exact_f_number, opening_mask, opening_shape
from asfound.problems import BadInputError
from asfound.quantity import Reading

MARKS = (3.5, 4.0, 5.6, 8.0, 11.0, 16.0, 22.0)


def pupil(value: float | None, u: float | None = 0.02) -> Reading:
    return Reading(value=value, unit="mm", standard_uncertainty=u)


def true_pupils(scale: float = 1.0, f: float = 75.0, u: float = 0.02):
    return [(mark, pupil(scale * f / exact_f_number(mark), u)) for mark in MARKS]


def polygon(blades: int, radius: float, size: int = 400, turn: float = 0.3, bent: float = 1.0):
    """A mask of a regular opening by its half planes; `bent` moves one blade in or out."""
    y, x = np.mgrid[:size, :size] - (size - 1) / 2
    inside = np.ones((size, size), dtype=bool)
    for k in range(blades):
        angle = turn + 2 * math.pi * k / blades
        inside &= x * math.cos(angle) + y * math.sin(angle) <= radius * (bent if k == 0 else 1.0)
    return inside


@pytest.mark.parametrize(("mark", "exact"), [(5.6, 5.657), (11, 11.31), (22, 22.63), (8, 8), (4.5, 4.5), (3.5, 3.5)])
def test_a_mark_of_the_series_stands_for_a_power_of_root_two(mark, exact) -> None:
    # The whole-stop series of ISO 517 (from memory): each the last times the square root of two.
    assert exact_f_number(mark) == pytest.approx(exact, abs=0.005)


def test_true_pupils_are_within() -> None:
    found = aperture_finding(focal_length_mm=75, diameters=true_pupils())
    assert {setting.verdict for setting in found.settings} == {"within"}
    assert found.off == ()
    assert found.advice == "every setting is within the tolerance"


def test_half_the_diameter_is_two_stops_darker() -> None:
    found = aperture_finding(focal_length_mm=75, diameters=true_pupils(scale=0.5))
    assert [setting.error.value for setting in found.settings] == pytest.approx([2.0] * 7)
    assert "all settings are darker by about 2.00 stop" in found.advice


def test_the_setting_that_is_off_is_named() -> None:
    diameters = true_pupils()
    diameters[4] = (11.0, pupil(75 / 8.9))
    found = aperture_finding(focal_length_mm=75, diameters=diameters)
    assert found.off == (11.0,)
    assert found.advice.startswith("f/11 stands apart")


def test_of_two_settings_nobody_knows_which_is_off() -> None:
    found = aperture_finding(focal_length_mm=75, diameters=[(8.0, pupil(75 / 8)), (16.0, pupil(75 / 8))])
    assert found.off == ()


@given(st.floats(0.8, 1.3))
def test_a_wrong_focal_length_shifts_all_alike_and_sets_none_apart(scale: float) -> None:
    found = aperture_finding(focal_length_mm=75 * scale, diameters=true_pupils())
    assert [s.apart.value for s in found.settings] == pytest.approx([0] * 7, abs=1e-9)


def test_the_pupil_magnification_turns_blades_into_pupil() -> None:
    blades = [(mark, pupil(d.value / 1.1)) for mark, d in true_pupils()]
    found = aperture_finding(focal_length_mm=75, diameters=blades, pupil_magnification=1.1)
    assert found.common_stops == pytest.approx(0, abs=1e-9)


def test_the_error_in_stops_is_as_uncertain_as_stated() -> None:
    rng = np.random.default_rng(12)
    stated = aperture_finding(focal_length_mm=75, diameters=true_pupils(u=0.05), u_focal_length_mm=0.75).settings[5]
    drawn = [
        aperture_finding(
            focal_length_mm=75 + rng.normal(0, 0.75),
            diameters=[(m, pupil(d.value + rng.normal(0, 0.05))) for m, d in true_pupils()[5:6]],
        )
        .settings[0]
        .error.value
        for _ in range(1500)
    ]
    assert stated.error.standard_uncertainty == pytest.approx(np.std(drawn), rel=0.04)


def test_a_diameter_without_an_uncertainty_is_not_judged() -> None:
    found = aperture_finding(focal_length_mm=75, diameters=[(8.0, pupil(75 / 8, None))])
    assert found.settings[0].verdict == "cannot tell"


def test_simulated_discs_have_their_diameter_within_what_is_stated() -> None:
    rng = np.random.default_rng(13)
    misses = []
    for _ in range(60):
        radius, (cy, cx) = rng.uniform(20, 60), rng.uniform(95, 105, 2)
        y, x = np.mgrid[:200, :200]
        sharp = np.clip(radius + 0.5 - np.hypot(y - cy, x - cx), 0, 1)
        photo = 0.1 + 0.7 * ndimage.gaussian_filter(sharp, 1.0) + rng.normal(0, 0.02, sharp.shape)
        found = opening_shape(opening_mask(photo), mm_per_pixel=0.05)
        misses.append((found.diameter.value - 2 * radius * 0.05) / found.diameter.standard_uncertainty)
    assert np.mean(np.abs(misses) < 1.96) >= 0.95


@pytest.mark.parametrize("blades", [5, 6, 8, 10])
def test_a_regular_opening_has_the_widths_and_the_area_of_its_polygon(blades: int) -> None:
    # Plane geometry: apothem r; area n r² tan(pi/n); widths across flats and corners.
    found = opening_shape(polygon(blades, 120), mm_per_pixel=0.05, blades=blades)
    r = 6.0
    corner = r / math.cos(math.pi / blades)
    least = 2 * r if blades % 2 == 0 else r + corner
    greatest = 2 * corner if blades % 2 == 0 else 2 * corner * math.cos(math.pi / blades / 2)
    assert found.area_mm2 == pytest.approx(blades * r**2 * math.tan(math.pi / blades), rel=0.005)
    assert found.least_width_mm == pytest.approx(least, abs=0.1)
    assert found.greatest_width_mm == pytest.approx(greatest, abs=0.1)
    assert found.uneven < 0.01


def test_one_blade_out_of_line_is_uneven() -> None:
    regular = opening_shape(polygon(6, 120), mm_per_pixel=0.05, blades=6)
    bent = opening_shape(polygon(6, 120, bent=0.85), mm_per_pixel=0.05, blades=6)
    assert bent.uneven > 5 * regular.uneven


def test_an_oval_is_the_second_harmonic() -> None:
    y, x = np.mgrid[-100:101, -100:101]
    found = opening_shape((x / 88) ** 2 + (y / 80) ** 2 <= 1, mm_per_pixel=0.05)
    assert found.harmonics[0] == pytest.approx(4 / 84, rel=0.05)
    assert found.greatest_width_mm / found.least_width_mm == pytest.approx(1.1, abs=0.01)


def test_the_outline_goes_once_round_the_middle() -> None:
    outline = np.array(opening_shape(polygon(8, 120), mm_per_pixel=0.05).outline_mm)
    assert np.hypot(*outline.T) == pytest.approx(6.2, abs=0.35)


@pytest.mark.parametrize(
    ("image", "words"),
    [
        (np.full((50, 50), 0.5), "no bright opening"),
        (np.zeros((50, 50)), "no bright opening"),
        (np.pad(np.ones((50, 20)), ((0, 0), (0, 30))), "runs over its edge"),
    ],
)
def test_a_photograph_without_a_whole_opening_is_refused(image, words) -> None:
    with pytest.raises(BadInputError, match=words):
        opening_mask(image)


def test_a_speck_is_no_opening() -> None:
    with pytest.raises(BadInputError, match="too small"):
        opening_shape(polygon(6, 4), mm_per_pixel=0.05)


def test_two_blades_form_no_opening() -> None:
    with pytest.raises(BadInputError, match="blades"):
        opening_shape(polygon(6, 100), mm_per_pixel=0.05, blades=2)


@pytest.mark.parametrize("diameter", [0.0, -3.0, None])
def test_a_pupil_without_a_diameter_is_refused(diameter) -> None:
    with pytest.raises(BadInputError, match=r"diameter at f/8"):
        aperture_finding(focal_length_mm=75, diameters=[(8.0, pupil(diameter))])


def test_no_settings_are_refused() -> None:
    with pytest.raises(BadInputError, match="there are none"):
        aperture_finding(focal_length_mm=75, diameters=[])
