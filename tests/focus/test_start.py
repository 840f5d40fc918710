import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.focus.start import Helical, combined_lead, entries, parting_clock, parting_order, which_start
from asfound.problems import BadInputError
from asfound.quantity import Reading

FOUR = Helical(lead_mm=3.0, starts=4)  # pitch 0.75


def height(value: float | None, u: float | None = 0.02, **bounds: float) -> Reading:
    return Reading(value=value, unit="mm", standard_uncertainty=u, **bounds)


def test_one_start_out_is_said_plainly() -> None:
    found = which_start(height_error=height(0.78), helicals=(FOUR,))
    assert found.answer == "out"
    assert found.advice == "one start out: re-enter one start earlier"
    assert found.candidates[0].left_mm == pytest.approx(0.03)
    assert found.uncertainties_between == pytest.approx(37.5)


def test_a_lens_too_far_in_was_entered_too_early() -> None:
    found = which_start(height_error=height(-1.52), helicals=(FOUR,))
    assert found.advice == "two starts out: re-enter two starts later"


def test_a_small_error_is_the_right_start() -> None:
    assert which_start(height_error=height(0.10), helicals=(FOUR,)).answer == "right"


def test_as_many_starts_out_as_there_are_is_a_whole_turn() -> None:
    assert "a whole turn" in which_start(height_error=height(3.0), helicals=(FOUR,)).advice


def test_between_two_starts_something_else_is_wrong() -> None:
    found = which_start(height_error=height(0.375, 0.01), helicals=(FOUR,))
    assert (found.answer, found.candidates) == ("no start", ())
    assert "spacer" in found.advice


def test_a_coarse_reading_cannot_tell() -> None:
    found = which_start(height_error=height(0.375, 0.2), helicals=(FOUR,))
    assert found.answer == "cannot tell"
    assert "bracket the height" in found.advice


def test_one_side_of_a_bracket_cannot_tell() -> None:
    found = which_start(height_error=height(None, None, lower=0.5), helicals=(FOUR,))
    assert found.answer == "cannot tell"
    assert math.isnan(found.candidates[0].left_mm)


def test_a_bracket_within_one_band_can_tell() -> None:
    found = which_start(height_error=height(None, None, lower=0.70, upper=0.80), helicals=(FOUR,))
    assert (found.answer, found.candidates[0].starts_out) == ("out", (1,))


@given(st.integers(2, 6), st.floats(0.4, 1.0), st.integers(-1, 1), st.floats(-0.2, 0.2), st.floats(0.001, 0.01))
def test_the_start_is_found_whatever_small_error_is_left(starts, pitch, shift, left, u) -> None:
    helical = Helical(lead_mm=starts * pitch, starts=starts)
    found = which_start(height_error=height(shift * pitch + left * pitch, u), helicals=(helical,))
    assert [candidate.starts_out for candidate in found.candidates] == [(shift,)]


def test_the_answer_is_wrong_less_often_than_one_time_in_twenty() -> None:
    rng = np.random.default_rng(3)
    wrong = 0
    for _ in range(1000):
        shift = int(rng.integers(-2, 3))
        true = shift * 0.75 + rng.uniform(-0.18, 0.18)
        found = which_start(height_error=height(true + rng.normal(0, 0.15), 0.15), helicals=(FOUR,))
        wrong += (shift,) not in [candidate.starts_out for candidate in found.candidates]
    assert wrong <= 50


def test_nested_helicals_of_one_pitch_cannot_be_told_apart_by_height() -> None:
    nest = (Helical(lead_mm=6, starts=8), Helical(lead_mm=3, starts=4, adds=False))
    found = which_start(height_error=height(0.75), helicals=nest)
    assert found.answer == "cannot tell"
    assert {c.starts_out for c in found.candidates} == {(1, 0), (0, -1)}
    assert "clock position" in found.advice


def test_nested_helicals_of_unlike_pitch_are_told_apart() -> None:
    nest = (Helical(lead_mm=12, starts=6), Helical(lead_mm=2.8, starts=4, adds=False))
    found = which_start(height_error=height(-0.71), helicals=nest)
    assert found.candidates[0].starts_out == (0, 1)
    assert found.advice == "inner helical one start out: re-enter one start earlier"


def test_leads_add_or_subtract() -> None:
    assert combined_lead((Helical(lead_mm=12, starts=6), Helical(lead_mm=3, starts=4))) == 15
    assert combined_lead((Helical(lead_mm=12, starts=6), Helical(lead_mm=3, starts=4, adds=False))) == 9


def test_leads_that_cancel_are_refused() -> None:
    with pytest.raises(BadInputError, match="cancel"):
        combined_lead((Helical(lead_mm=3, starts=4), Helical(lead_mm=3, starts=4, adds=False)))


def test_threads_meet_as_often_in_a_turn_as_there_are_starts() -> None:
    met = entries(helical=FOUR, first_clock_deg=30)
    assert [entry.clock_deg for entry in met] == [30, 300, 210, 120]
    assert [entry.height_mm for entry in met] == [0, 0.75, 1.5, 2.25]


@given(st.integers(1, 8), st.floats(0.3, 1.2), st.integers(0, 7), st.floats(0, 360), st.floats(1, 20))
def test_a_screw_followed_turn_by_turn_stands_where_the_entry_says(starts, pitch, start, clock, deep) -> None:
    # A helix followed apart from the formula: met at height zero, it sinks by its lead over 360 a degree.
    helical = Helical(lead_mm=starts * pitch, starts=starts)
    entry = entries(helical=helical, first_clock_deg=clock)[start % starts]
    turned_right = 360 * deep / helical.lead_mm
    turned_other = turned_right - (start % starts) * 360 / starts  # to the same final clock position
    height_right = -turned_right * helical.lead_mm / 360
    height_other = -turned_other * helical.lead_mm / 360
    assert entry.height_mm == pytest.approx(height_other - height_right, abs=1e-9)


@given(st.floats(0, 359), st.floats(0.1, 10))
def test_threads_part_where_they_met(clock, engaged) -> None:
    parted = parting_clock(helical=FOUR, clock_deg=clock, engaged_mm=engaged)
    back = parted - 360 * engaged / FOUR.lead_mm
    assert math.isclose(math.cos(math.radians(back - clock)), 1, abs_tol=1e-9)


def test_of_a_nest_the_thread_least_engaged_in_turns_parts_first() -> None:
    nest = (Helical(lead_mm=12, starts=6), Helical(lead_mm=3, starts=4, adds=False))
    found = parting_order(helicals=nest, engaged_mm=(8.0, 1.0), clock_deg=350)
    assert [(p.helical, p.turn_deg, p.clock_deg) for p in found] == [(1, 120, 110), (0, 240, 230)]


def test_a_nest_needs_a_travel_for_each_helical() -> None:
    with pytest.raises(BadInputError, match="1 travels for 2 helicals"):
        parting_order(helicals=(FOUR, FOUR), engaged_mm=(1.0,), clock_deg=0)


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_a_height_that_is_no_number_is_refused(value: float) -> None:
    with pytest.raises(BadInputError, match="no measurement"):
        which_start(height_error=height(value), helicals=(FOUR,))


@pytest.mark.parametrize("helical", [Helical(lead_mm=0, starts=4), Helical(lead_mm=3, starts=0)])
def test_a_thread_that_cannot_be_is_refused(helical) -> None:
    with pytest.raises(BadInputError):
        which_start(height_error=height(0.1), helicals=(helical,))


def test_a_height_nobody_measured_is_refused() -> None:
    with pytest.raises(BadInputError, match="neither a value nor a bound"):
        which_start(height_error=height(None, None), helicals=(FOUR,))
