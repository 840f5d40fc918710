"""Readings: named once, then one number; feeler answers; stations."""

from dataclasses import replace

import pytest

from asfound.job.bodies import Note, ReadingTaken
from asfound.job.line import LineMemory, parse_line, print_line, remember
from asfound.quantity import CameraState, FeelerAnswer, bracket
from asfound.quantity.tolerance import Tolerance


def after(*lines, memory=None):
    """Return the memory after these lines."""
    memory = memory or LineMemory()
    for line in lines:
        for taken in parse_line(line, memory).bodies:
            memory = remember(memory, taken)
    return memory


def read(line, memory=None):
    understood = parse_line(line, memory or LineMemory())
    assert understood.problems == ()
    assert all(isinstance(taken, ReadingTaken) for taken in understood.bodies)
    return understood.bodies


def one(line, memory=None):
    (taken,) = read(line, memory)
    return taken


@pytest.mark.parametrize(
    ("typed", "value", "unit"),
    [
        ("height tl 0.35", 0.35, "mm"),
        ("height tl 0,35mm", 0.35, "mm"),
        ("Height at TL .35 mm", 0.35, "mm"),
        ("ht tl: 14thou", 14, "thou"),
        ('height of the top left 0.014"', 0.014, "in"),
        ("height tl 350 um", 350, "µm"),
        ("torque tl 20 N mm", 20, "N·mm"),
        ("torque tl 20Nmm", 20, "N·mm"),
        ("torque tl 3 oz in", 3, "ozf·in"),
        ("force tl 12 gf", 12, "gf"),
        ("force tl 12 N", 12, "N"),
        ("force tl 12n", 12, "N"),
        ("open time tl 1/125 s", 1 / 125, "s"),
        ("parting tl 123", 123, "deg"),
        ("reading strut effort at tl 1 1/2 turns", 1.5, "turn"),
    ],
)
def test_a_number_with_its_unit_joined_or_apart(typed, value, unit):
    taken = one(typed)
    assert (taken.reading.value, taken.reading.unit) == (pytest.approx(value), unit)
    assert taken.place == "top left"


def test_everything_in_one_line():
    taken = one("height tl .35 mm +-0.01 with depth gauge as left restore +-0.02 needs standard, helical pushed f/8")
    assert taken.reading.standard_uncertainty == 0.01
    assert taken.reading.state == CameraState(seated="push", aperture=8)
    assert (taken.instrument, taken.stage, taken.restore) == ("depth gauge", "as left", True)
    assert taken.depends_on == ("standard", "helical")
    assert taken.tolerance.lower == pytest.approx(0.33)
    assert taken.tolerance.upper == pytest.approx(0.37)


def test_limits_carry_their_source():
    taken = one("gap 0.1 held to at most 0.15 by the maker's sheet")
    assert taken.tolerance == Tolerance(unit="mm", source="the maker's sheet", upper=0.15)
    assert not taken.restore


def test_a_note_after_a_reading_is_a_note_of_its_own():
    taken, note = parse_line("height tl .35; wobbly").bodies
    assert taken.reading.value == 0.35
    assert note == Note(text="wobbly")


# --- feelers ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "typed",
    [".35l .40n", ".35 loose .40 no", "loose .35 no .40", "35l40n", ".35L, .40 will not enter", ".35 mm loose 0,40n"],
)
def test_a_bracket_of_feelers_however_it_is_typed(typed):
    expected, _ = bracket([FeelerAnswer((0.35,), "loose"), FeelerAnswer((0.40,), "no")])
    taken = one(f"height tl {typed}")
    assert taken.reading == expected
    assert taken.raw == ("0.35 mm loose", "0.4 mm no")
    assert taken.instrument == "feeler"


def test_leaves_together_are_one_try():
    taken = one("gap .05+.30 loose .40n")
    assert taken.reading.lower == pytest.approx(0.35)
    assert taken.raw[0] == "0.05+0.3 mm loose"


@pytest.mark.parametrize(("typed", "unit"), [("14d", "thou"), (".014d", "in")])
def test_leaves_in_the_remembered_unit(typed, unit):
    memory = LineMemory(quantity="height", unit=unit, instrument="feeler")
    assert one(typed, memory).reading.value == pytest.approx(0.3556)


def test_a_whole_number_is_hundredths_of_a_mm_for_a_leaf_and_mm_for_a_gauge():
    assert one("height tl 35d").reading.value == 0.35
    assert one("height tl 35 with depth gauge").reading.value == 35


def test_the_next_leaf_of_the_set_at_hand():
    memory = LineMemory(quantity="height", unit="mm", instrument="feeler", leaves_mm=(0.35, 0.38, 0.5))
    taken = one("35+", memory)
    assert (taken.reading.lower, taken.reading.upper) == (0.35, 0.38)


# --- repeating ----------------------------------------------------------------------------------------


def test_a_named_quantity_is_read_in_the_unit_it_was_last_read_in():
    memory = after("reading gap at pointer 0.35 mm", "reading strut torque at tl 12 gf", "height tl 14 thou")
    assert one('read "gap" at pointer 0.40', memory).reading.unit == "mm"
    assert one('read "Strut torque" at tr 13', memory).reading.unit == "gf"
    assert one("reading gap 14 thou", memory).reading.unit == "thou"
    assert one("height tr .35", replace(memory, quantity="gap")).reading.unit == "mm", "a height is in mm unless said"
    assert parse_line("reading register 42.1", memory).problems != ()


def test_a_bare_number_repeats_quantity_place_instrument_and_unit():
    memory = after("force tl 12 gf with spring balance as left needs strut")
    taken = one("13", memory)
    expected = ("force", "top left", "spring balance", "as left", ("strut",))
    assert (taken.quantity, taken.place, taken.instrument, taken.stage, taken.depends_on) == expected
    assert (taken.reading.value, taken.reading.unit) == (13, "gf")


def test_bare_feeler_answers_repeat_likewise():
    taken = one(".36d .40n", after("height tl .35d .40n"))
    assert (taken.quantity, taken.place, taken.reading.value) == ("height", "top left", pytest.approx(0.36))


def test_with_a_feeler_in_the_hand_a_bare_number_is_the_leaf_that_drags():
    taken = one("36", after("height tl .35d"))
    expected, _ = bracket([FeelerAnswer((0.36,), "drag")])
    assert taken.reading == expected


def test_another_quantity_does_not_inherit_the_instrument():
    assert one("depth 3.2", after("height tl .35 with feeler")).instrument == ""


def test_a_remembered_unit_of_another_kind_is_not_taken():
    assert one("depth 3.2", after("force 12 gf")).reading.unit == "mm"


def test_one_key_is_the_same_again_at_the_next_station():
    memory = after("corner height tl .35d")
    taken = one(">", memory)
    assert (taken.place, taken.reading.value) == ("top right", 0.35)
    assert one("=", memory).place == "top left"


def test_corners_are_walked_the_way_they_were_begun():
    memory = after("height tl .35d", "> .36")
    assert memory.place == "top right"
    assert one("> .37", memory).place == "bottom right"
    backwards = after("height tl .35d", ".36d at bl")
    assert one("> .37", backwards).place == "bottom right"
    assert one("> .38", after("> .37", memory=backwards)).place == "top right"


def test_after_the_last_corner_comes_the_first():
    memory = after("height tl .35d", ">36", ">37", ">38")
    assert memory.place == "bottom left"
    assert one(">", memory).place == "top left"


def test_other_stations_follow_in_the_order_first_read():
    memory = after("gap at gate 0.1", "0.2 at door", "0.3 at gate")
    assert one("> 0.4", memory).place == "door"


def test_a_next_station_that_nobody_named_is_asked_for():
    understood = parse_line(">", after("gap at gate 0.1"))
    assert "next station" in understood.problems[0].what


def test_several_values_go_round_the_corners():
    taken = read("corner depth 31.02 31.05 31.00 31.04")
    assert [t.place for t in taken] == ["top left", "top right", "bottom right", "bottom left"]
    assert [t.reading.value for t in taken] == [31.02, 31.05, 31.00, 31.04]


def test_several_leaves_go_round_the_corners_too():
    taken = read("35 36 35 37", after("corner height tl .35d"))
    assert [t.reading.value for t in taken] == [0.35, 0.36, 0.35, 0.37]


def test_four_leaves_in_one_run_of_digits_are_one_to_a_corner():
    taken = read("35363537", after("corner height tl .35d"))
    assert [t.reading.value for t in taken] == [0.35, 0.36, 0.35, 0.37]
    assert [t.place for t in taken] == ["top left", "top right", "bottom right", "bottom left"]


def test_spring_force_both_ways_in_one_line():
    memory = after("spring force 120 100 gf")
    assert memory.places == ("out", "back")
    assert [t.place for t in read("12 14", memory)] == ["out", "back"]


@pytest.mark.parametrize(
    ("typed", "keys"), [("35", 3), ("35+", 4), (">", 2), ("=", 2), ("12 14", 6), ("35363537", 9), ("123", 4)]
)
def test_how_few_keys_a_reading_takes_with_the_return_key(typed, keys):
    memory = after("spring force 120 100 gf") if " " in typed else after("height tl .35d")
    memory = after("parting 120") if typed == "123" else memory
    understood = parse_line(typed, memory)
    assert understood.problems == ()
    assert not understood.as_note
    assert len(typed) + 1 == keys


def test_decimal_commas_in_a_list_of_commas():
    taken = read("corner depth 31,02, 31,05,31,00 31,04")
    assert [t.reading.value for t in taken] == [31.02, 31.05, 31.00, 31.04]


def test_a_dial_speed_is_a_place():
    assert one("open time at 1/25 38 ms").place == "1/25"


def test_more_values_than_stations_is_a_problem_at_the_first_too_many():
    text = "spring force 120 100 90 gf"
    (problem,) = parse_line(text).problems
    assert text[slice(*problem.span)] == "90 gf"


# --- the echo -----------------------------------------------------------------------------------------


def test_the_echo_names_what_where_state_mm_and_thou():
    echo = parse_line("height tl 0.35 mm +-0.01 pushed as left").echo
    for said in ("height", "top left", "0.35", "± 0.01", "mm", "13.8 thou", "seated push", "as left"):
        assert said in echo


def test_the_echo_of_thou_gives_mm():
    assert "0.356 mm" in parse_line("height tl 14 thou").echo


def test_memory_without_a_last_reading_has_no_value_to_repeat():
    memory = replace(after("height tl .35d"), last=None)
    assert "no value to repeat" in parse_line("=", memory).problems[0].what


@pytest.mark.parametrize(
    "typed", ["height 8 o'clock 0.35 mm", "height 0.35 mm at 8 O’Clock", "height 0.35 mm at 8o'clock"]
)
def test_a_place_on_a_ring_is_named_by_the_hour(typed):
    (body,) = parse_line(typed).bodies
    assert (body.quantity, body.place, body.reading.value) == ("height", "8 o'clock", 0.35)
    assert parse_line(print_line(body)).bodies == (body,)
