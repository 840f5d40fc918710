import math

import GTC
import numpy as np
import pytest
from scipy import stats

from asfound.problems import BadInputError
from asfound.quantity import Reading
from asfound.shape import compare_struts, erection, give, tilt_between_deg, with_erection

HEIGHTS = [40.02, 40.05, 40.03, 40.04, 40.02]


def test_scatter_of_five_openings():
    found = erection(HEIGHTS)
    assert found.height.value == pytest.approx(np.mean(HEIGHTS))
    # scipy.stats as oracle.
    assert found.height.standard_uncertainty == pytest.approx(stats.sem(HEIGHTS))
    assert found.scatter.standard_uncertainty == pytest.approx(np.std(HEIGHTS, ddof=1))
    assert found.scatter.degrees_of_freedom == 4
    assert found.range_mm == pytest.approx(0.03)


def test_one_opening_shows_no_scatter():
    with pytest.raises(BadInputError):
        erection([40.0])


def test_scatter_goes_into_a_focus_reading():
    focus = Reading(value=0.04, unit="mm", standard_uncertainty=0.01, degrees_of_freedom=6)
    scatter = erection(HEIGHTS).scatter
    found = with_erection(focus, scatter)
    theirs = GTC.ureal(0.04, 0.01, 6) + GTC.ureal(0, scatter.standard_uncertainty, 4)
    assert found.value == 0.04
    assert found.standard_uncertainty == pytest.approx(theirs.u)
    assert found.degrees_of_freedom == pytest.approx(theirs.df)


def test_scatter_is_not_added_to_another_kind_of_reading():
    with pytest.raises(BadInputError):
        with_erection(Reading(value=1.0, unit="deg"), erection(HEIGHTS).scatter)


def test_give_is_movement_over_both_forces():
    found = give(pushed_mm=40.00, pulled_mm=40.10, push_n=2, pull_n=3, u_height_mm=0.01, u_force_n=0.1)
    force = GTC.ureal(2, 0.1) + GTC.ureal(3, 0.1)
    theirs = (GTC.ureal(40.10, 0.01) - GTC.ureal(40.00, 0.01)) / force
    assert found.value == pytest.approx(0.02)
    assert found.standard_uncertainty == pytest.approx(theirs.u)
    assert found.unit == "mm/N"


def test_no_force_has_no_give():
    with pytest.raises(BadInputError):
        give(pushed_mm=1, pulled_mm=2, push_n=0, pull_n=1, u_height_mm=0.01)


def known(value, u=0.001):
    return Reading(value=value, unit="mm/N", standard_uncertainty=u)


def test_a_weak_strut_stands_out_of_four():
    found = compare_struts({"a": known(0.01), "b": known(0.011), "c": known(0.03), "d": known(0.01)})
    assert (found[0].name, found[0].verdict) == ("c", "weaker")
    assert found[0].times_others == pytest.approx(0.03 / (0.031 / 3))
    assert {s.name: s.verdict for s in found}["b"] in ("alike", "stiffer")


def test_struts_that_differ_within_their_uncertainty_are_alike():
    assert {s.verdict for s in compare_struts({"l": known(0.0100), "r": known(0.0105)})} == {"alike"}


def test_struts_measured_too_coarsely_cannot_be_told():
    found = compare_struts({"l": known(0.010, 0.01), "r": known(0.012, 0.01)})
    assert {s.verdict for s in found} == {"cannot tell"}


def test_one_strut_cannot_be_compared():
    with pytest.raises(BadInputError):
        compare_struts({"l": known(0.01)})


def test_tilt_between_two_struts():
    assert tilt_between_deg(first_mm=0.2, second_mm=0.1, apart_mm=50) == pytest.approx(math.degrees(math.atan(0.002)))
    with pytest.raises(BadInputError):
        tilt_between_deg(first_mm=0.2, second_mm=0.1, apart_mm=0)
