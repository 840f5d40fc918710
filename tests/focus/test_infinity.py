import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.focus.budget import coverage_factor, focus_budget
from asfound.focus.extension import extension_for_distance
from asfound.focus.focusing import FrontFocusing, UnitFocusing
from asfound.focus.front_cell import two_groups
from asfound.focus.infinity import erection_scatter, set_infinity, sharpest_setting
from asfound.problems import BadInputError
from asfound.quantity import Reading

LENS = UnitFocusing(focal_length_mm=75)
BUDGET = focus_budget(f_number=3.5, circle_mm=0.05)


def sharp(value: float, u: float = 0.02, dof: float | None = None) -> Reading:
    return Reading(value=value, unit="mm", standard_uncertainty=u, degrees_of_freedom=dof)


def test_one_bracket_is_a_rectangular_distribution() -> None:
    # JCGM 100:2008, 4.3.7 (read): half-width over the square root of three.
    found = sharpest_setting([(0.10, 0.20)])
    assert found.value == pytest.approx(0.15)
    assert found.standard_uncertainty == pytest.approx(0.05 / math.sqrt(3))


def test_repeats_that_scatter_are_judged_by_their_scatter() -> None:
    found = sharpest_setting([(0.1, 0.1), (0.3, 0.3), (0.2, 0.2), (0.0, 0.0)])
    assert found.standard_uncertainty == pytest.approx(np.std([0.1, 0.3, 0.2, 0.0], ddof=1) / 2)
    assert found.degrees_of_freedom == 3


def test_one_setting_without_a_bracket_has_no_known_uncertainty() -> None:
    assert sharpest_setting([(0.2, 0.2)]).standard_uncertainty is None


@pytest.mark.parametrize(("grid", "scatter"), [(0.1, 0.0), (0.05, 0.1), (0.1, 0.05)], ids=["steps", "scatter", "both"])
def test_the_sharpest_setting_is_covered_as_often_as_it_says(grid: float, scatter: float) -> None:
    # The eye's own peak scatters; the bracket is the step of a grid in which it falls.
    rng = np.random.default_rng(2)
    hits = 0
    for _ in range(2000):
        true = rng.uniform(-0.5, 0.5)
        lows = np.floor((true + rng.normal(0, scatter, 5)) / grid) * grid
        found = sharpest_setting([(low, low + grid) for low in lows])
        factor = coverage_factor(found.degrees_of_freedom)
        hits += abs(found.value - true) <= factor * found.standard_uncertainty + 1e-12
    assert hits / 2000 >= 0.94


def test_a_stop_too_far_out_is_screwed_in() -> None:
    found = set_infinity(sharpest=sharp(-0.30), focusing=LENS, lead_mm=12, budget=BUDGET)
    assert found.error.value == pytest.approx(0.30)
    assert found.turn.value == pytest.approx(9.0)
    assert found.shim.value == pytest.approx(-0.30)
    assert found.verdict == "outside"
    done = "screw it in by 9.0 deg, or take out 0.300 mm of shim under the whole lens"
    assert found.advice == f"the stop is 0.300 mm too far out: {done}"


def test_a_stop_too_far_in_is_packed_up() -> None:
    found = set_infinity(sharpest=sharp(0.30), focusing=LENS, budget=BUDGET)
    assert found.advice.endswith("too far in: add 0.300 mm of shim under the whole lens")


def test_within_the_budget_it_is_left_alone() -> None:
    found = set_infinity(sharpest=sharp(0.05, 0.01), focusing=LENS, budget=BUDGET)
    assert found.verdict == "within"
    assert "leave it" in found.advice


@given(st.floats(600, 50_000), st.floats(-0.5, 0.5))
def test_a_near_target_is_corrected_for(distance: float, off: float) -> None:
    x = extension_for_distance(focal_length_mm=75, distance_mm=distance)
    found = set_infinity(sharpest=sharp(x - off), focusing=LENS, target_distance_mm=distance)
    assert found.error.value == pytest.approx(off, abs=1e-9)


def test_a_near_target_traced_through_the_lens_agrees(trace) -> None:
    # The stop is right: at 0 the traced image of infinity is on the film. The target at 8 m is sharp at x.
    positions = np.linspace(-76.5, -75.0, 30_001)
    errors = [abs(trace([(p, 75)], -8000)) for p in positions]
    x = -75.0 - positions[int(np.argmin(errors))]
    found = set_infinity(sharpest=sharp(x), focusing=LENS, target_distance_mm=8000)
    assert found.error.value == pytest.approx(0, abs=1e-4)


def test_a_glass_behind_the_film_makes_the_lens_seem_too_far_out(trace) -> None:
    # Sharp on a glass 0.1 mm behind the film when the lens is 0.1 mm nearer than the film would have it.
    assert trace([(-74.9, 75)], -math.inf) == pytest.approx(0.1)
    found = set_infinity(sharpest=sharp(-0.1), focusing=LENS, glass_behind_film_mm=0.1)
    assert found.error.value == pytest.approx(0)


def test_a_front_cell_is_set_by_its_own_travel(trace) -> None:
    # The cell's stop is 0.2 mm too far out; the target at 6 m is sharp on a glass 0.05 mm behind the film.
    groups = two_groups(front_mm=40, rear_mm=-120, separation_mm=10)
    film = groups.back_focal_mm
    travels = np.linspace(0.1, 0.4, 30_001)
    images = [trace([(-10 - e, 40), (0, -120)], film - 6000) for e in travels]
    sharpest = travels[int(np.argmin(np.abs(np.array(images) - film - 0.05)))]
    found = set_infinity(
        sharpest=sharp(sharpest, 0.01),
        stop_mm=0.2,
        focusing=FrontFocusing(groups=groups),
        target_distance_mm=6000,
        glass_behind_film_mm=0.05,
        lead_mm=3,
        budget=BUDGET,
    )
    traced = film - trace([(-10.2, 40), (0, -120)], -math.inf)
    assert found.error.value == pytest.approx(0.2, abs=1e-3)
    assert found.turn.value == pytest.approx(24, abs=0.1)
    assert found.image_error.value == pytest.approx(traced, rel=0.01)
    assert found.shim.value == pytest.approx(-found.image_error.value)
    assert found.verdict == "outside"


def test_the_erection_scatter_counts_once_for_readings_over_many_openings_else_twice() -> None:
    once = set_infinity(sharpest=sharp(0.0), focusing=LENS, erection_sd_mm=0.03, re_erected=True)
    twice = set_infinity(sharpest=sharp(0.0), focusing=LENS, erection_sd_mm=0.03)
    assert once.as_used.standard_uncertainty == pytest.approx(math.hypot(0.02, 0.03))
    assert twice.as_used.standard_uncertainty == pytest.approx(math.hypot(0.02, 0.03 * math.sqrt(2)))


def test_a_camera_that_never_opens_alike_is_not_called_within() -> None:
    found = set_infinity(sharpest=sharp(0.0), focusing=LENS, erection_sd_mm=0.12, budget=BUDGET)
    assert found.verdict == "cannot tell"


def test_the_error_is_as_uncertain_as_stated() -> None:
    rng = np.random.default_rng(8)
    stated = set_infinity(
        sharpest=sharp(0.9, 0.02),
        focusing=LENS,
        target_distance_mm=8000,
        u_focal_length_mm=0.75,
        u_target_distance_mm=50,
        u_glass_mm=0.01,
        erection_sd_mm=0.03,
        lead_mm=12,
    )
    drawn, used = [], []
    for _ in range(5000):
        found = set_infinity(
            sharpest=sharp(0.9 + rng.normal(0, 0.02)),
            focusing=UnitFocusing(focal_length_mm=75 + rng.normal(0, 0.75)),
            target_distance_mm=8000 + rng.normal(0, 50),
            glass_behind_film_mm=rng.normal(0, 0.01),
        )
        drawn.append(found.error.value)
        used.append(found.error.value + rng.normal(0, 0.03) - rng.normal(0, 0.03))
    assert stated.error.standard_uncertainty == pytest.approx(np.std(drawn), rel=0.04)
    assert stated.as_used.standard_uncertainty == pytest.approx(np.std(used), rel=0.04)
    assert stated.turn.standard_uncertainty == pytest.approx(30 * np.std(drawn), rel=0.04)


def test_the_scatter_of_openings_is_their_standard_deviation() -> None:
    assert erection_scatter([40.02, 40.05, 39.99]) == pytest.approx(0.03)


@pytest.mark.parametrize("heights", [[], [40.0]])
def test_one_opening_shows_no_scatter(heights) -> None:
    with pytest.raises(BadInputError, match="open and close it five times"):
        erection_scatter(heights)


def test_a_target_nearer_than_the_lens_allows_is_refused() -> None:
    with pytest.raises(BadInputError, match="shorter than a lens"):
        set_infinity(sharpest=sharp(0.0), focusing=LENS, target_distance_mm=200)


def test_a_lead_of_zero_is_refused() -> None:
    with pytest.raises(BadInputError, match="lead"):
        set_infinity(sharpest=sharp(0.0), focusing=LENS, lead_mm=0)


@pytest.mark.parametrize("brackets", [[], [(0.1, math.nan)]])
def test_settings_that_cannot_be_used_are_refused(brackets) -> None:
    with pytest.raises(BadInputError, match="settings"):
        sharpest_setting(brackets)
