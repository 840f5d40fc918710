import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.quantity import Reading, counted, decimals, show_length, show_number, show_reading, show_time


@pytest.mark.parametrize(
    ("value", "u", "text"),
    [
        # JCGM 100:2008, 7.2.6 (from memory): two digits of the uncertainty, the value to as many places.
        (100.02147, 0.00035, "100.02147"),
        (0.375, 0.01443, "0.375"),
        (50000838.2, 31.7, "50000838"),
        (-0.0001, 0.01, "0.000"),
        (12.0, None, "12.0"),
        (0.0, None, "0"),
    ],
)
def test_a_number_is_rounded_to_two_digits_of_its_uncertainty(value, u, text):
    assert show_number(value, u) == text


@given(st.floats(-1e6, 1e6), st.floats(1e-6, 1e3))
def test_rounding_loses_less_than_a_tenth_of_the_uncertainty(value, u):
    assert abs(float(show_number(value, u)) - value) <= max(0.051 * u, 0.5000001 * 10 ** -decimals(value, u))


def test_a_length_is_shown_in_mm_and_thou():
    assert show_length(0.35, 0.01) == "0.350 mm (13.8 thou)"


def test_a_time_is_shown_as_a_fraction_too():
    assert show_time(0.0382) == "38.2 ms (1/26.2 s)"
    assert show_time(1.5) == "1.50 s"


def test_a_reading_shows_plus_or_minus_only_when_it_has_a_value():
    assert show_reading(Reading(value=0.35, unit="mm", standard_uncertainty=0.01)) == ("0.350 ± 0.010 mm (13.8 thou)")
    one_sided = show_reading(Reading(value=None, unit="mm", lower=0.35))
    assert one_sided == "more than 0.35 mm (13.8 thou)"
    assert "±" not in one_sided
    assert show_reading(Reading(value=None, unit="mm")) == "not known"
    assert show_reading(Reading(value=None, unit="mm", upper=0.4)) == "less than 0.4 mm (15.7 thou)"
    assert show_reading(Reading(value=None, unit="mm", lower=0.35, upper=0.4)) == "0.35 to 0.4 mm"


def test_a_reading_in_thou_has_mm_beside_it():
    assert show_reading(Reading(value=14.0, unit="thou", standard_uncertainty=0.5)) == ("14.00 ± 0.50 thou (0.356 mm)")


def test_a_reading_flattens_to_names_with_units():
    flat = Reading(value=1.0, unit="N·mm", standard_uncertainty=0.1, degrees_of_freedom=4, lower=0.5).flat("x")
    assert flat == {"x_n_mm": 1.0, "u_x_n_mm": 0.1, "dof_x": 4, "x_lower_n_mm": 0.5}


def test_what_is_not_finite_is_still_printed():
    assert show_number(math.inf) == "inf"


@pytest.mark.parametrize(
    ("number", "words", "text"),
    [
        (0, ("job",), "0 jobs"),
        (1, ("job",), "1 job"),
        (2, ("job",), "2 jobs"),
        (1, ("try", "tries"), "1 try"),
        (3, ("try", "tries"), "3 tries"),
    ],
)
def test_one_is_told_without_a_plural(number, words, text):
    assert counted(number, *words) == text
