"""How few keys a reading takes at the line, Enter counted, once its quantity has been named.

The counts are those asked of the bench: a feeler height three, a bracket four, the same at the next station one,
spring force both ways six, four corner depths nine, a helical's parting position four.
"""

import pytest

from asfound.job.line import LineMemory, parse_line, remember
from asfound.quantity import CameraState

ENTER = "\n"
PUSHED = CameraState(seated="push", door="open")


def after(*lines):
    """Return what is remembered after these lines, with the camera in a state."""
    memory = LineMemory(state=PUSHED)
    for line in lines:
        understood = parse_line(line, memory)
        assert understood.problems == (), line
        for body in understood.bodies:
            memory = remember(memory, body)
    return memory


HEIGHT = ("height tl .35 drag with feeler",)
KEYS = {
    "a feeler height": (HEIGHT, f"36{ENTER}", 3, [("height", "top left", 0.36)]),
    "a bracket": (HEIGHT, f"35+{ENTER}", 4, [("height", "top left", 0.375)]),
    "spring force both ways": (
        ("spring force 95 80 gf",),
        f"90 75{ENTER}",
        6,
        [("spring force", "out", 90), ("spring force", "back", 75)],
    ),
    "four corner depths": (
        ("corner depth tl .35 drag with feeler",),
        f"35363537{ENTER}",
        9,
        [
            ("corner depth", "top left", 0.35),
            ("corner depth", "top right", 0.36),
            ("corner depth", "bottom right", 0.35),
            ("corner depth", "bottom left", 0.37),
        ],
    ),
    "a helical's parting position": (
        ("parting position 117",),
        f"121{ENTER}",
        4,
        [("parting position", "", 121)],
    ),
}


def taken(understood):
    return [(body.quantity, body.place, pytest.approx(body.reading.value)) for body in understood.bodies]


@pytest.mark.parametrize("name", KEYS)
def test_so_few_keys_take_a_reading(name):
    before, typed, keys, readings = KEYS[name]
    assert len(typed) == keys
    understood = parse_line(typed.rstrip(ENTER), after(*before))
    assert understood.problems == ()
    assert taken(understood) == readings


def test_the_same_at_the_next_station_is_one_key():
    # On the page the right arrow sends this line; typed, it is one key and Enter.
    understood = parse_line(">", after(*HEIGHT))
    assert taken(understood) == [("height", "top right", 0.35)]


def test_a_new_height_at_the_next_station_is_one_key_more():
    typed = f">36{ENTER}"
    assert len(typed) == 4
    assert taken(parse_line(typed.rstrip(ENTER), after(*HEIGHT))) == [("height", "top right", 0.36)]


@pytest.mark.parametrize("name", KEYS)
def test_the_echo_names_what_state_and_value(name):
    before, typed, _, readings = KEYS[name]
    echo = parse_line(typed.rstrip(ENTER), after(*before)).echo
    for quantity, place, value in readings:
        assert quantity in echo
        assert place in echo
        assert f"{value:g}" in echo
    assert "in state" in echo
    assert "seated push" in echo
    if readings[0][0] in ("height", "corner depth"):
        assert " mm" in echo
        assert " thou)" in echo


def test_a_state_that_nobody_said_is_told_so():
    assert "state not said" in parse_line("height tl .35").echo


@pytest.mark.parametrize("text", ["12.34", "12,34", " 12.34", "+12.34", "0.487"])
def test_what_a_calliper_types_is_a_reading_of_the_last_quantity(text):
    understood = parse_line(text, after("diameter at shaft 12.30"))
    assert understood.problems == ()
    (body,) = understood.bodies
    assert (body.quantity, body.place) == ("diameter", "shaft")
    assert body.reading.value == pytest.approx(float(text.strip().replace(",", ".")))


def test_the_stations_walked_are_those_of_the_last_place():
    heights = after("height at hinge .40 drag with feeler", "height at catch .41", "height tl .35")
    assert taken(parse_line(">", heights)) == [("height", "top right", 0.35)]
    forces = after("spring force at left strut 300 gf", "spring force 95 80 gf")
    assert taken(parse_line("90 75", forces)) == [("spring force", "out", 90), ("spring force", "back", 75)]
