"""What is typed at the bench, and what is understood."""

from uuid import UUID

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from asfound.job.bodies import (
    Note,
    StepTaken,
)
from asfound.job.line import LINE_LIMIT, LineMemory, parse_line
from asfound.job.line.words import QUANTITIES, QUANTITY_SHORT
from asfound.quantity import UNITS

STEPS = {"3": UUID(int=3), "4": UUID(int=4), "7a": UUID(int=7)}
ENTRIES = {3: UUID(int=33), 12: UUID(int=12)}
MEMORY = LineMemory(
    parts=("front ring", "Name plate"),
    steps=STEPS,
    entries=ENTRIES,
    expectations=(UUID(int=5), UUID(int=6)),
    last_entry=UUID(int=9),
)


def body(text, memory=MEMORY):
    """Return the one body of a line that has no problem."""
    understood = parse_line(text, memory)
    assert understood.problems == ()
    (only,) = understood.bodies
    return only


# --- any text -----------------------------------------------------------------------------------------

TYPED = """off slack back spacer reading height gap state dry fault mark expect held adjust proof tick > =
    3 screws M1.4 x 2.5 cheese slot tray A3 with freed by 3 7a nothing .35d .40n 35+ 35-40 +- 0.01 mm thou in N
    gf at tl as left restore needs held to by raw "x" " dial 1/25 f/8 cocked between and after late ; : -- > =
    clockwise from to due 2026-02-31 checked within unit how dof 1e999 0 1/0 turns 0 turns focus inf door open"""
PIECES = [*TYPED.split(), ",", "\\", '" "', '""', '"in"', "arrived", "adjust", "ordered", "soak", "instrument"]
likely = st.lists(st.sampled_from(PIECES), max_size=9).map(" ".join)
memories = st.sampled_from(
    [LineMemory(), MEMORY, LineMemory(quantity="height", unit="mm", instrument="feeler", place="top left")]
)


@settings(max_examples=250, deadline=None)
@given(st.one_of(likely, st.text(), st.text(st.characters())), memories)
@example("\ud800", LineMemory())
@example('arrived " " " "', LineMemory())
@example("height 1e308 in +- 1 mm", LineMemory())
def test_any_text_whatever_is_understood_or_kept(text, memory):
    understood = parse_line(text, memory)
    assert understood.bodies or understood.problems
    assert bool(understood.echo) == bool(understood.bodies)
    for problem in understood.problems:
        first, last = problem.span
        assert 0 <= first <= last <= len(text)
        assert problem.remedy


@settings(max_examples=200, deadline=None)
@given(likely, memories)
def test_a_line_with_a_problem_offers_all_of_it_as_a_note(text, memory):
    understood = parse_line(text, memory)
    if understood.problems and text.strip():
        assert understood.bodies == (Note(text=text),)
        assert understood.as_note


def test_an_empty_line_has_a_problem_and_nothing_to_write():
    understood = parse_line("  ")
    assert understood.bodies == ()
    assert len(understood.problems) == 1


def test_an_over_long_line_has_one_clear_problem_and_can_still_be_a_note():
    text = "off front ring " * 400
    understood = parse_line(text)
    (problem,) = understood.problems
    assert f"at most {LINE_LIMIT}" in problem.what
    assert understood.bodies == (Note(text=text),)


def test_a_line_too_long_even_for_a_note_says_so():
    understood = parse_line("x" * 20_001)
    assert understood.bodies == ()
    assert "several notes" in understood.problems[0].remedy


@pytest.mark.parametrize(
    "text",
    [
        *(f"{start}{' ' * 3900}x" for start in ("f", ".35", "force 20 N", "height 1 +")),
        *("off " + "a " * 1900, "off x 3 " + "cheese " * 550, "height " + "1+" * 1900),
        "adjust x " + "1" * 3900 + "/3 mm",
    ],
)
def test_a_problem_with_an_absurd_line_fits_on_a_screen(text):
    understood = parse_line(text, LineMemory(quantity="height", unit="mm"))
    assert understood.as_note
    assert all(len(problem.what) < 120 for problem in understood.problems)


# --- notes --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text", ["what a lovely day", "3 screws missing", "officer's camera", "the ring is off", "in the tray", "?"]
)
def test_a_line_that_begins_with_no_known_word_is_a_note(text):
    understood = parse_line(text)
    assert understood.bodies == (Note(text=text),)
    assert understood.as_note
    assert understood.problems == ()


def test_a_note_that_says_it_is_one_is_no_stopgap():
    understood = parse_line("note: off to buy leather")
    assert understood.bodies == (Note(text="off to buy leather"),)
    assert not understood.as_note


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("off front ring 3 screws M1.4 zz", "zz"),
        ("off front ring tray", ""),
        ("off shutter freed by 9", "9"),
        ("back of the camera is dented", "of the camera is dented"),
        ("ordered leather due 2026-02-31", "due 2026-02-31"),
        ("force 12", "12"),
        ("height tl 12 gf", "12 gf"),
        ("height tl", ""),
        ("height tl .35l .30n", ".35l .30n"),
        ("mark cog a dot", "cog a dot"),
        ("proof infinity", ""),
        ("strike 99", "99"),
        ("slack ring 0 turns", "slack ring 0 turns"),
        ("off ring 2 screws 3 bent", "2 screws 3 bent"),
        (".35", ".35"),
        ("proof infinity within +-0.05 mm", "+-0.05 mm"),
        ("height 3540 with feeler", "3540"),
        ('off "ring', '"ring'),
    ],
)
def test_a_line_that_goes_wrong_shows_where(text, place):
    understood = parse_line(text, MEMORY)
    (problem,) = understood.problems
    assert text[slice(*problem.span)] == place


def test_a_near_miss_of_a_known_part_is_offered_without_stopping_anything():
    understood = parse_line("off frnt ring", MEMORY)
    assert understood.bodies == (StepTaken(action="off", part="frnt ring"),)
    assert understood.problems == ()
    assert "front ring" in understood.hints[0]


def test_a_known_part_keeps_its_spelling():
    assert body("OFF THE NAME PLATE").part == "Name plate"


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("hieght tl .35", "height"),
        ("front ring off 3 screws", "off"),
        ("the gap is 0.3 mm", "quantity"),
        ("3 screws missing", "number"),
    ],
)
def test_a_note_that_was_perhaps_meant_as_more_says_so(text, hint):
    understood = parse_line(text, MEMORY)
    assert understood.as_note
    assert hint in understood.hints[0]


def test_plain_prose_gets_no_hint():
    assert parse_line("what a lovely day", MEMORY).hints == ()


# --- the grammar and the tables hold together ---------------------------------------------------------


@pytest.mark.parametrize("quantity", [*QUANTITIES, *QUANTITY_SHORT])
def test_every_quantity_begins_a_line(quantity):
    written = QUANTITY_SHORT.get(quantity, quantity)
    assert body(f"{quantity} at x 3 unit mm").quantity == written


@pytest.mark.parametrize("unit", [unit for unit in UNITS if unit != "1"])
def test_every_unit_is_read_after_a_number(unit):
    assert body(f"reading x 3.5{unit}").reading.unit == unit
    assert body(f"reading x 3.5 {unit}").reading.unit == unit


@pytest.mark.soak
def test_very_many_texts_are_understood_or_kept():
    law = test_any_text_whatever_is_understood_or_kept.hypothesis.inner_test
    settings(max_examples=5_000, deadline=None)(given(st.one_of(likely, st.text()), memories)(law))()
