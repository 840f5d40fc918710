"""Lines of state, faults, marks, parts away, ticks and strikes."""

from uuid import UUID

import pytest

from asfound.job.bodies import (
    AdjusterMoved,
    Expectation,
    ExpectationOutcome,
    Fault,
    HandedOver,
    Instrument,
    Mark,
    PartArrived,
    PartCondition,
    PartOrdered,
    Proof,
    ProofLater,
    Restored,
    StateChanged,
    Struck,
    Tick,
)
from asfound.job.line import LineMemory, parse_line
from asfound.quantity import CameraState

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
            PartCondition(part="cog", condition="soaking", using="spirit", minutes=20),
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
        (
            "proof infinity within with collimator: sharp",
            Proof(what="infinity", verdict="within", instrument="collimator", text="sharp"),
        ),
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


def test_what_is_said_after_a_state_is_a_note_of_its_own():
    changed, note = parse_line("door open; it sticks").bodies
    assert changed.state.door == "open"
    assert note.text == "it sticks"


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


def test_a_check_is_put_off_by_one_word():
    memory = LineMemory(due=("film gap top left", "speeds"))
    for line in ("later", "put off film gap tl", "put off film gap top left"):
        assert parse_line(line, memory).bodies == (ProofLater(what="film gap top left"),)
    assert parse_line("later: no light", memory).bodies == (ProofLater(what="film gap top left", text="no light"),)
    assert parse_line("put off infinity", memory).bodies == (ProofLater(what="infinity"),)


def test_later_with_nothing_due_asks_what():
    (problem,) = parse_line("later").problems
    assert "nothing is due" in problem.what


def test_a_sentence_that_begins_with_later_is_a_note():
    understood = parse_line("later I found a screw in the box", LineMemory(due=("speeds",)))
    assert understood.as_note
    assert not understood.problems
