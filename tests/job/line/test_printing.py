"""A printed line reads back to the body it was printed from, whatever the body."""

import math
from uuid import UUID

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from asfound.job.bodies import (
    AdjusterMoved,
    Attached,
    Camera,
    Expectation,
    ExpectationOutcome,
    Fault,
    HandedOver,
    Instrument,
    Mark,
    Note,
    Opened,
    OrderTaken,
    PartArrived,
    PartCondition,
    PartOrdered,
    Photo,
    Proof,
    ProofLater,
    ReadingTaken,
    Restored,
    SpacerFound,
    StateChanged,
    StepFreed,
    StepTaken,
    Struck,
    Tick,
)
from asfound.job.line import LineMemory, parse_line, print_line
from asfound.quantity import UNITS, CameraState, Reading
from asfound.quantity.tolerance import Tolerance
from asfound.teardown.fastener import FastenerGroup

QUICK = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])

IDS = [UUID(int=number) for number in range(1, 9)]
MEMORY = LineMemory(
    step=IDS[3],
    quantity="height",
    place="top left",
    places=("top left", "top right"),
    instrument="feeler",
    unit="thou",
    stage="as left",
    depends_on=("front standard",),
    parts=("front ring", "Name plate", "strut"),
    steps={"3": IDS[2], "4": IDS[3], "7a": IDS[4]},
    entries={12: IDS[5], 3: IDS[6]},
    expectations=(IDS[7],),
    due=("front ring", "height top left"),
    last_entry=IDS[0],
)

# Words of the bench, words of the language itself, and anything else that Unicode holds.
TYPED = """front ring lens-board helical strut name plate and at in with by how note off back height tray A3
    deformed painted reached only needs freed way
    3 7a of the 0.35 mm tl 1/25 nothing within dry cocked f/8 late thread M1.4 10 BA cheese screw screws
    -- ; : , restore raw + - > = " 2026-01-01 held freed d n as left open because up clockwise from to inf"""
WORDS = [*TYPED.split(), "\\"]
phrases = st.lists(st.sampled_from(WORDS), max_size=5).map(" ".join)
texts = st.one_of(phrases, st.text(max_size=30)).map(str.strip)
names = texts.filter(bool)
numbers = st.floats(-1e6, 1e6, allow_nan=False).filter(lambda value: math.copysign(1, value) > 0 or value != 0)
positive = st.floats(1e-6, 190)
ids = st.sampled_from([*IDS, UUID(int=2**127 + 99)])
stages = st.sampled_from(["as found", "working", "as left"])


def maybe(strategy):
    return st.none() | strategy


states = st.builds(
    CameraState,
    dial=maybe(texts),
    shutter=maybe(st.sampled_from(["cocked", "released"])),
    aperture=maybe(positive),
    focus=maybe(texts),
    door=maybe(st.sampled_from(["open", "shut"])),
    struts=maybe(st.sampled_from(["locked", "unlocked", "folded"])),
    seated=maybe(st.sampled_from(["push", "pull"])),
    spacer=maybe(st.sampled_from(["in", "out"])),
    surface=maybe(st.sampled_from(["dirty", "dry", "greased"])),
)
units = st.sampled_from([*UNITS]) | texts
readings = st.builds(
    Reading,
    value=maybe(numbers),
    unit=units,
    standard_uncertainty=maybe(st.floats(0, 1e3)),
    degrees_of_freedom=maybe(positive),
    lower=maybe(numbers),
    upper=maybe(numbers),
    how=texts,
    state=states,
)
bounds = st.tuples(maybe(numbers), maybe(numbers)).map(lambda pair: tuple(sorted(pair)) if None not in pair else pair)
tolerances = st.builds(
    lambda unit, source, ends: Tolerance(unit=unit, source=source, lower=ends[0], upper=ends[1]),
    units,
    texts,
    bounds,
)
counts = st.integers(1, 60)
groups = counts.flatmap(
    lambda count: st.builds(
        FastenerGroup,
        count=st.just(count),
        what=st.sampled_from(["screw", "grub screw", "ring", "washer"]) | texts,
        thread=maybe(st.sampled_from(["M1.4", "M1.4 x 0.3", "10 BA", "1.7 x 0.35"]) | texts),
        length_mm=maybe(st.floats(1e-4, 499)),
        head=maybe(st.sampled_from(["cheese", "countersunk", "flat"]) | texts),
        drive=maybe(st.sampled_from(["slot", "spanner holes", "two-hole"]) | texts),
        place=texts,
        damaged=st.integers(0, count),
        left_hand=st.booleans(),
        lacquered=st.booleans(),
        painted=maybe(st.booleans()),
        deformed_head=maybe(st.booleans()),
        reachable=maybe(st.sampled_from(["face down", "door open", "with the lens out"]) | texts),
    )
)
few_ids = st.lists(ids, max_size=3).map(tuple)
few_names = st.lists(names, max_size=3).map(tuple)

BODIES = {
    "step": st.builds(
        StepTaken,
        action=st.sampled_from(["off", "slackened", "back"]),
        part=names,
        turns=maybe(positive),
        fasteners=st.lists(groups, max_size=3).map(tuple),
        lies=st.sampled_from(["A3", "in solvent"]) | texts,
        held_by=texts,
        freed_by=maybe(st.lists(ids, max_size=3).map(tuple)),
        tool=texts,
        pose=texts,
        note=texts,
    ),
    "freed": st.builds(StepFreed, step=ids, freed_by=maybe(few_ids), not_by=few_ids),
    "later": st.builds(ProofLater, what=names, text=texts),
    "order": st.builds(OrderTaken, steps=st.lists(ids, max_size=6).map(tuple)),
    "spacer": st.builds(
        SpacerFound,
        name=names,
        thickness=maybe(readings),
        between=few_names,
        belongs_after=maybe(ids),
        late=st.booleans(),
        lies=texts,
        note=texts,
    ),
    "reading": st.builds(
        ReadingTaken,
        quantity=st.sampled_from(["height", "force"]) | names,
        place=st.sampled_from(["top left", "tl"]) | texts,
        reading=readings,
        raw=st.lists(texts, max_size=3).map(tuple),
        instrument=texts,
        stage=stages,
        depends_on=few_names,
        needs_off=maybe(few_names),
        restore=st.booleans(),
        tolerance=maybe(tolerances),
    ),
    "state": st.builds(StateChanged, state=states),
    "mark": st.builds(Mark, part=names, text=texts),
    "fault": st.builds(
        Fault,
        fault=names,
        stage=st.sampled_from(["observed", "suspected", "decision", "work", "proof"]),
        text=texts,
    ),
    "expectation": st.builds(Expectation, text=texts),
    "outcome": st.builds(ExpectationOutcome, expectation=ids, held=st.booleans(), text=texts),
    "adjuster": st.builds(AdjusterMoved, adjuster=names, direction=texts, amount=texts, before=texts, after=texts),
    "condition": st.builds(
        PartCondition,
        part=names,
        condition=st.sampled_from(
            ["dirty", "soaking", "curing", "cured", "dry", "dry-fitted", "lubricated", "fitted", "lost"]
        ),
        using=texts,
        minutes=maybe(st.integers(1, 525_600)),
        note=texts,
    ),
    "note": st.builds(Note, text=texts),
    "ordered": st.builds(PartOrdered, part=names, where=texts, expected=maybe(st.dates())),
    "arrived": st.builds(PartArrived, part=names),
    "instrument": st.builds(
        Instrument,
        name=names,
        sort=texts,
        standard_uncertainty=maybe(st.floats(0, 1e3)),
        unit=units,
        checked_on=maybe(st.dates()),
    ),
    "tick": st.builds(Tick, step=ids, done=st.booleans()),
    "proof": st.builds(
        Proof,
        what=names,
        verdict=st.sampled_from(["within", "outside", "cannot tell", "not applicable"]),
        reading=maybe(readings),
        tolerance=maybe(tolerances),
        stage=stages,
        depends_on=few_names,
        needs_off=maybe(few_names),
        instrument=maybe(names),
        text=texts,
    ),
    "struck": st.builds(Struck, entry=ids, reason=texts),
    "restored": st.builds(Restored, entry=ids),
    "handed over": st.builds(HandedOver, text=texts, why_open=texts),
}


memories = st.sampled_from([LineMemory(), MEMORY])


def read_back(body, memory):
    line = print_line(body, memory)
    understood = parse_line(line, memory)
    assert understood.bodies == (body,), line
    assert understood.problems == ()
    assert len(line.splitlines()) == 1


@pytest.mark.parametrize("kind", BODIES)
def test_a_printed_line_reads_back_to_the_same_body(kind):
    settings(QUICK, max_examples=20)(given(BODIES[kind], memories)(read_back))()


@pytest.mark.soak
@pytest.mark.parametrize("kind", BODIES)
def test_many_printed_lines_read_back_to_the_same_body(kind):
    settings(QUICK, max_examples=2000)(given(BODIES[kind], memories)(read_back))()


def test_names_stand_bare_where_they_read_back():
    body = StepTaken(action="off", part="front ring", fasteners=(FastenerGroup(count=3),), lies="A3")
    assert print_line(body) == "off front ring 3 screws tray A3"


def test_a_name_that_holds_a_word_of_the_language_is_quoted():
    assert print_line(StepTaken(action="off", part="ring with flange")) == 'off "ring with flange"'


def test_a_text_of_two_lines_is_printed_on_one():
    assert print_line(Note(text="dry\ndusty")) == 'note "dry\\u000adusty"'


PHOTO = Attached(sha256="0" * 64, name="a.jpg", media_type="image/jpeg", size=1)


@pytest.mark.parametrize(
    "body", [Photo(attachment=PHOTO), Opened(ticket="7", camera=Camera(model="invented"))], ids=["photo", "opened"]
)
def test_a_kind_that_no_line_makes_is_not_printed(body):
    with pytest.raises(ValueError, match="no line makes"):
        print_line(body)
