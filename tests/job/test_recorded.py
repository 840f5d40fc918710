"""What was said of a recording, in words."""

from uuid import uuid4

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.job.bodies import FiringsSet, HowRecorded
from asfound.job.line import describe
from asfound.job.recorded import show_stops, tell_firings, tell_how
from asfound.quantity import read_number

ID = uuid4()


def test_only_what_was_said_is_told():
    assert tell_how(HowRecorded(recording=ID)) == "nothing said"
    said = HowRecorded(recording=ID, sort="light", channel=1, aperture=3.5, whole_pupil=False, response_s=2e-5)
    assert tell_how(said) == "of light, channel 2, shot at f/3.5, the sensor sees part of the pupil, response 20 µs"
    assert describe(said).startswith("how it was recorded: of light")


def test_a_wrong_offset_is_seen_with_its_sign():
    said = HowRecorded(recording=ID, sort="sound", click_offset_s=-1.2e-3, u_click_offset_s=2e-4)
    assert tell_how(said) == "of sound, -1.2 ms to add between clicks, known to 0.2 ms"


def test_struck_firings_are_told_by_when_they_began():
    said = FiringsSet(recording=ID, marked="1/25, 1/50", shots=2, tolerance_stops=1 / 3, struck_s=(1.25, 4.0))
    text = "1/25, 1/50: in the order shot, 2 at each, held to 1/3 stop, 2 struck as bad, at 1.25 s and 4.00 s"
    assert tell_firings(said) == text
    assert describe(said) == f"set against the dial: {text}"


@pytest.mark.parametrize(("stops", "shown"), [(1 / 3, "1/3"), (0.5, "1/2"), (2 / 3, "2/3"), (1.0, "1"), (0.15, "0.15")])
def test_stops_are_told_as_one_writes_them(stops, shown):
    assert show_stops(stops) == shown


@given(st.floats(min_value=1e-3, max_value=4))
def test_stops_read_back_to_the_same_number(stops):
    assert read_number(show_stops(stops)) == stops
