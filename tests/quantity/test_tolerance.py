"""A verdict is given only where the uncertainty leaves no doubt."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.quantity import Reading
from asfound.quantity.tolerance import Tolerance, verdict

TOLERANCE = Tolerance(unit="mm", source="depth of focus", lower=0.30, upper=0.40)


def reading(value, u=None, **bounds):
    return Reading(value=value, unit="mm", standard_uncertainty=u, **bounds)


@pytest.mark.parametrize(
    ("taken", "expected"),
    [
        (reading(0.35, 0.02), "within"),
        (reading(0.35, 0.03), "cannot tell"),
        (reading(0.45, 0.02), "outside"),
        (reading(0.43, 0.02), "cannot tell"),
        (reading(0.40), "within"),
        (reading(0.401), "outside"),
        (reading(0.375, 0.0144, lower=0.35, upper=0.40), "within"),
        (reading(0.425, 0.0144, lower=0.40, upper=0.45), "cannot tell"),
        (reading(None, lower=0.45), "outside"),
        (reading(None, lower=0.35), "cannot tell"),
        (reading(None), "cannot tell"),
    ],
)
def test_within_or_outside_only_beyond_doubt(taken, expected):
    # Guard bands of twice the standard uncertainty: guarded acceptance and rejection, JCGM 106:2012, 8.3 (memory).
    assert verdict(taken, TOLERANCE) == expected


def test_a_tolerance_that_binds_on_one_side_judges_that_side():
    at_least = Tolerance(unit="mm", source="x", lower=0.3)
    assert verdict(reading(9.0, 0.1), at_least) == "within"
    assert verdict(reading(None, lower=0.3), at_least) == "within"


def test_units_must_agree():
    with pytest.raises(ValueError, match="thou"):
        verdict(Reading(value=14, unit="thou"), TOLERANCE)


@given(st.floats(0, 1), st.floats(0, 0.2), st.floats(1, 3))
def test_more_doubt_never_makes_a_verdict_firmer(value, u, factor):
    firm = verdict(reading(value, u * factor), TOLERANCE)
    assert firm == "cannot tell" or firm == verdict(reading(value, u), TOLERANCE)


def test_bounds_are_printed_whole():
    assert str(Tolerance(unit="mm", source="x", lower=31.0, upper=31.04)) == "31 to 31.04 mm"
    assert str(Tolerance(unit="mm", source="x", lower=63.42 - 0.05)) == "at least 63.37 mm"
