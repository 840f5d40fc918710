import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.problems import BadInputError
from asfound.quantity import Reading, Station, named_height, seat


def height(value, u=0.01, freedom=None):
    return Reading(value=value, unit="mm", standard_uncertainty=u, degrees_of_freedom=freedom)


def stations(values, angles=(90, 210, 330), lifted=(None, None, None)):
    return [
        Station(angle_deg=a, pressed=height(z), lifted=None if up is None else height(up))
        for a, z, up in zip(angles, values, lifted, strict=True)
    ]


def test_three_stations_give_mean_and_tilt():
    # Worked by hand from the plane through three points: R 25; 40.00, 40.06, 40.03; tilt 0.0793913 deg.
    found = seat(stations((40.00, 40.06, 40.03)), radius_mm=25)
    assert found.mean.value == pytest.approx(40.03)
    assert found.tilt_deg == pytest.approx(0.0793913, abs=5e-8)
    assert found.slope_x.value == pytest.approx((40.03 - 40.06) / (math.sqrt(3) * 25))
    assert found.slope_y.value == pytest.approx((2 * 40.00 - 40.06 - 40.03) / (3 * 25))


def test_uncertainty_of_evenly_spaced_stations():
    # JCGM 100:2008, equation 10, on the formulas above: u/root3 of the mean, u root(2/3)/R of either slope.
    found = seat(stations((40.0, 40.0, 40.0)), radius_mm=25)
    assert found.mean.standard_uncertainty == pytest.approx(0.01 / math.sqrt(3))
    for slope in (found.slope_x, found.slope_y):
        assert slope.standard_uncertainty == pytest.approx(0.01 * math.sqrt(2 / 3) / 25)
    assert found.rise_mm == pytest.approx(0, abs=1e-12)
    assert found.tilt_deg == pytest.approx(0, abs=1e-12)


@given(
    start=st.floats(0, 359),
    gaps=st.tuples(st.floats(100, 130), st.floats(100, 130)),
    a=st.floats(-0.01, 0.01),
    b=st.floats(-0.01, 0.01),
)
def test_heights_of_a_known_plane_give_it_back(start, gaps, a, b):
    angles = np.array([start, start + gaps[0], start + gaps[0] + gaps[1]])
    x, y = 20 * np.cos(np.radians(angles)), 20 * np.sin(np.radians(angles))
    found = seat(stations(30 + a * x + b * y, angles=angles), radius_mm=20)
    assert found.mean.value == pytest.approx(30)
    assert (found.slope_x.value, found.slope_y.value) == pytest.approx((a, b), abs=1e-12)
    assert found.rise_mm == pytest.approx(40 * math.hypot(a, b), abs=1e-10)


def test_rock_is_the_largest_change_from_pressed_to_lifted():
    found = seat(stations((1.0, 1.0, 1.0), lifted=(1.02, 1.05, None)), radius_mm=10)
    assert found.rock.value == pytest.approx(0.05)
    assert found.rock.standard_uncertainty == pytest.approx(0.01 * math.sqrt(2))
    assert found.rock_deg == 210


def test_rock_is_not_told_without_lifting():
    assert seat(stations((1.0, 1.0, 1.0)), radius_mm=10).rock is None


@pytest.mark.parametrize("angles", [(0, 10, 20), (0, 0, 180), (0, 180, 181)])
def test_stations_that_do_not_go_round_are_refused(angles):
    with pytest.raises(BadInputError, match="do not go round"):
        seat(stations((1, 1, 1), angles=angles), radius_mm=10)


def test_two_stations_or_no_radius_are_refused():
    with pytest.raises(BadInputError, match="there are 2"):
        seat(stations((1, 1, 1))[:2], radius_mm=10)
    with pytest.raises(BadInputError):
        seat(stations((1, 1, 1)), radius_mm=0)


def test_a_height_names_its_faces_and_its_stop():
    found = named_height(from_face="lens seat", to_face="film rails", stop="infinity stop", reading=height(100.0))
    assert str(found) == "lens seat to film rails, against infinity stop"


@pytest.mark.parametrize("names", [("", "rails", "stop"), ("seat", "rails", " "), ("rails", "Rails", "stop")])
def test_a_height_without_face_or_stop_is_refused(names):
    from_face, to_face, stop = names
    with pytest.raises(BadInputError):
        named_height(from_face=from_face, to_face=to_face, stop=stop, reading=height(1.0))
