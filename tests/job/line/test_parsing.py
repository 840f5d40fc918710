"""What is typed at the bench, and what is understood."""

from uuid import UUID

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from asfound.job.bodies import (
    AdjusterMoved,
    Expectation,
    ExpectationOutcome,
    Fault,
    HandedOver,
    Instrument,
    Mark,
    Note,
    PartArrived,
    PartCondition,
    PartOrdered,
    Proof,
    Restored,
    SpacerFound,
    StateChanged,
    StepTaken,
    Struck,
    Tick,
)
from asfound.job.line import LINE_LIMIT, LineMemory, parse_line
from asfound.job.line.words import QUANTITIES, QUANTITY_SHORT
from asfound.quantity import UNITS, CameraState
from asfound.teardown.fastener import FastenerGroup

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
PIECES = [*TYPED.split(), ",", "\\"]
likely = st.lists(st.sampled_from(PIECES), max_size=9).map(" ".join)
memories = st.sampled_from(
    [LineMemory(), MEMORY, LineMemory(quantity="height", unit="mm", instrument="feeler", place="top left")]
)


@settings(max_examples=300, deadline=None)
@given(st.one_of(likely, st.text(), st.text(st.characters())), memories)
@example("\ud800", LineMemory())
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


# --- taking apart -------------------------------------------------------------------------------------


def test_a_part_off_with_everything_in_one_line():
    line = "off front ring 3 screws M1.4 x 2.5 cheese slot tray a3 with pin spanner face down freed by 3 7a; chewed"
    group = FastenerGroup(count=3, thread="M1.4", length_mm=2.5, head="cheese", drive="slot")
    assert body(line) == StepTaken(
        action="off",
        part="front ring",
        fasteners=(group,),
        lies="A3",
        freed_by=(STEPS["3"], STEPS["7a"]),
        tool="pin spanner",
        pose="face down",
        note="chewed",
    )


@pytest.mark.parametrize(
    "line",
    [
        "off cover 3 screws M1.4 x 2.5",
        "Off  COVER,3x screws m1,4x2,5mm",
        "took off the cover 3 screws M1.4 2.5 mm long",
        "remove cover three M1.4 screws x 2.5",
        "lifted off cover held by 3 screws M 1.4 × 2.5",
    ],
)
def test_case_commas_and_spaces_do_not_matter(line):
    group = FastenerGroup(count=3, thread="M1.4", length_mm=2.5)
    taken = body(line)
    assert taken.part.lower() == "cover"
    assert taken.fasteners == (group,)


@pytest.mark.parametrize(
    ("said", "group"),
    [
        ("2 nuts 10BA", FastenerGroup(count=2, what="nut", thread="10 BA")),
        ("1 ring left-hand spanner holes", FastenerGroup(what="ring", left_hand=True, drive="spanner holes")),
        ("4 csk screws lacquered", FastenerGroup(count=4, head="countersunk", lacquered=True)),
        ("3 screws 1 chewed at top left", FastenerGroup(count=3, damaged=1, place="top left")),
        ("2 screws bent", FastenerGroup(count=2, damaged=2)),
        ("3 screws M1.4 x 0.3 x 2", FastenerGroup(count=3, thread="M1.4 x 0.3", length_mm=2)),
        ("3 screws 1.7 x 0.35", FastenerGroup(count=3, thread="1.7 x 0.35")),
        ("3 screws 80 thou long", FastenerGroup(count=3, length_mm=2.032)),
        ("two grub screws", FastenerGroup(count=2, what="grub screw")),
    ],
)
def test_fasteners_as_a_repairer_writes_them(said, group):
    (found,) = body(f"off cover {said}").fasteners
    assert found.length_mm == pytest.approx(group.length_mm)
    assert found.sort == group.sort
    assert (found.count, found.damaged, found.place) == (group.count, group.damaged, group.place)
    assert found.lacquered == group.lacquered


def test_several_groups_of_fasteners_keep_their_own_lengths():
    groups = body("off cover 3 screws x 2.5 and 2 screws x 4 tray B1").fasteners
    assert [(group.count, group.length_mm) for group in groups] == [(3, 2.5), (2, 4.0)]


@pytest.mark.parametrize(
    ("said", "turns"),
    [("1 1/2 turns", 1.5), ("by half a turn", 0.5), ("0,75turns", 0.75), ("90 deg", 0.25), ("1/8 t", 0.125)],
)
def test_slackened_by_so_many_turns(said, turns):
    assert body(f"slack clamp ring {said}") == StepTaken(action="slackened", part="clamp ring", turns=turns)


def test_freed_by_nothing_is_not_the_same_as_nobody_said():
    assert body("off cover freed by nothing").freed_by == ()
    assert body("off cover").freed_by is None


@pytest.mark.parametrize(
    ("said", "lies"),
    [("tray a3", "A3"), ("in a3", "A3"), ("in cell 12", "12"), ("in solvent", "in solvent"), ("lies bench", "bench")],
)
def test_where_a_part_lies(said, lies):
    assert body(f"off cover {said}").lies == lies


def test_fasteners_alone_are_a_part_of_their_own():
    taken = body("slack 3 grub screws on focus ring half a turn")
    assert (taken.part, taken.turns) == ("focus ring grub screws", 0.5)
    assert taken.fasteners == (FastenerGroup(count=3, what="grub screw"),)


def test_a_note_in_brackets_and_a_part_off_by_hand():
    taken = body("off cover by hand (one screw short)")
    assert (taken.part, taken.tool, taken.note) == ("cover", "hand", "one screw short")


def test_a_part_goes_back():
    assert body("back front ring") == StepTaken(action="back", part="front ring")


def test_a_spacer_found_late_is_put_where_it_belongs():
    found = body("spacer brass 0.1 mm after step 4 between lens board and front ring tray b2")
    assert isinstance(found, SpacerFound)
    assert (found.name, found.thickness.value, found.thickness.unit) == ("brass", 0.1, "mm")
    assert (found.between, found.belongs_after, found.late) == (("lens board", "front ring"), STEPS["4"], True)
    assert found.lies == "B2"


def test_a_spacer_in_the_order_of_work_is_not_late():
    assert not body("shim 4 thou").late


# --- what is said -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("dial 1/25 cocked", StateChanged(state=CameraState(dial="1/25", shutter="cocked"))),
        ("fired", StateChanged(state=CameraState(shutter="released"))),
        ("shutter is cocked", StateChanged(state=CameraState(shutter="cocked"))),
        ("shutter uncocked", StateChanged(state=CameraState(shutter="released"))),
        ("aperture 8", StateChanged(state=CameraState(aperture=8))),
        ("speed set to 1/25", StateChanged(state=CameraState(dial="1/25"))),
        ("door closed", StateChanged(state=CameraState(door="shut"))),
        ("struts unlocked", StateChanged(state=CameraState(struts="unlocked"))),
        ("pulled out", StateChanged(state=CameraState(seated="pull"))),
        ("focus set to the inf", StateChanged(state=CameraState(focus="infinity"))),
        ("focus at 1.5 m", StateChanged(state=CameraState(focus="1.5 m"))),
        ("f5,6 focus at infinity stop", StateChanged(state=CameraState(aperture=5.6, focus="infinity stop"))),
        ("door open, struts locked", StateChanged(state=CameraState(door="open", struts="locked"))),
        ("seated push", StateChanged(state=CameraState(seated="push"))),
        ("spacer out", StateChanged(state=CameraState(spacer="out"))),
        ("greased", StateChanged(state=CameraState(surface="greased"))),
        ("dry front ring", PartCondition(part="front ring", condition="dry")),
        ("soaking cog in white spirit", PartCondition(part="cog", condition="soaking", using="white spirit")),
        (
            "soak cog for 20 min in spirit",
            PartCondition(part="cog", condition="soaking", using="spirit", note="for 20 min"),
        ),
        ("greased cog with oil", PartCondition(part="cog", condition="lubricated", using="oil")),
        ("condition cog fitted; runs free", PartCondition(part="cog", condition="fitted", note="runs free")),
        ("mark front ring: dot by screw", Mark(part="front ring", text="dot by screw")),
        ("mark front ring a dot at 12", Mark(part="front ring", text="a dot at 12")),
        ("mark front ring a dot by the screw", Mark(part="front ring", text="a dot by the screw")),
        ("fault slow speeds drag: 1/10 worst", Fault(fault="slow speeds drag", text="1/10 worst")),
        ("fault: light leak at corner", Fault(fault="light leak at corner")),
        ("decided light leak: patch it", Fault(fault="light leak", stage="decision", text="patch it")),
        ("fault shutter seen to stick", Fault(fault="shutter seen to stick")),
        ("suspect light leak: corner", Fault(fault="light leak", stage="suspected", text="corner")),
        ("fault light leak proved: dark", Fault(fault="light leak", stage="proof", text="dark")),
        ("expect this ring frees the plate", Expectation(text="this ring frees the plate")),
        ("held", ExpectationOutcome(expectation=UUID(int=6), held=True)),
        ("did not hold 12: no", ExpectationOutcome(expectation=ENTRIES[12], held=False, text="no")),
        ("ordered leather from a friend", PartOrdered(part="leather", where="a friend")),
        ("arrived leather", PartArrived(part="leather")),
        ("tick step 7a", Tick(step=STEPS["7a"])),
        ("untick 3", Tick(step=STEPS["3"], done=False)),
        ("proof infinity within: seen", Proof(what="infinity", verdict="within", text="seen")),
        ("strike 12: twice", Struck(entry=ENTRIES[12], reason="twice")),
        ("restore #12", Restored(entry=ENTRIES[12])),
        ("undo", Struck(entry=UUID(int=9))),
        ("handed over: all well", HandedOver(text="all well")),
        (
            "handed over: fine; still open because no bellows",
            HandedOver(text="fine", why_open="no bellows"),
        ),
        ("handed over open because no bellows", HandedOver(why_open="no bellows")),
    ],
)
def test_a_line_says_what_it_seems_to_say(line, expected):
    assert body(line) == expected


def test_an_adjuster_with_its_way_and_how_far():
    assert body("adjust front cell cw 1/4 turn from 3 to 3.25") == AdjusterMoved(
        adjuster="front cell", direction="clockwise", amount="1/4 turn", before="3", after="3.25"
    )


def test_an_instrument_with_how_well_it_reads():
    found = body("instrument depth gauge sort dial +-0.01 mm checked 2026-01-02")
    assert isinstance(found, Instrument)
    assert (found.name, found.sort, found.standard_uncertainty, found.unit) == ("depth gauge", "dial", 0.01, "mm")
    assert found.checked_on.isoformat() == "2026-01-02"


@pytest.mark.parametrize(("value", "found"), [("0.01", "within"), ("0.2", "outside"), ("0.04", "cannot tell")])
def test_a_proof_with_reading_and_limits_is_judged(value, found):
    assert body(f"proof infinity {value} mm +-0.01 held to -0.05 to 0.05").verdict == found


def test_several_numbers_tick_several_steps():
    assert parse_line("tick 3 and 4", MEMORY).bodies == (Tick(step=STEPS["3"]), Tick(step=STEPS["4"]))


# --- the grammar and the tables hold together ---------------------------------------------------------


@pytest.mark.parametrize("quantity", [*QUANTITIES, *QUANTITY_SHORT])
def test_every_quantity_begins_a_line(quantity):
    written = QUANTITY_SHORT.get(quantity, quantity)
    assert body(f"{quantity} at x 3 unit mm").quantity == written


@pytest.mark.parametrize("unit", [unit for unit in UNITS if unit != "1"])
def test_every_unit_is_read_after_a_number(unit):
    assert body(f"reading x 3.5{unit}").reading.unit == unit
    assert body(f"reading x 3.5 {unit}").reading.unit == unit
