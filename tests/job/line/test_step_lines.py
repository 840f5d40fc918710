"""Lines about taking apart, as a repairer types them."""

from uuid import UUID

import pytest

from asfound.job.bodies import OrderTaken, SpacerFound, StepFreed, StepTaken
from asfound.job.line import LineMemory, parse_line
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


@pytest.mark.parametrize(
    ("said", "group"),
    [
        ("1 screw deformed head", FastenerGroup(deformed_head=True)),
        ("1 screw factory-deformed", FastenerGroup(deformed_head=True)),
        ("1 screw head deformed by the factory", FastenerGroup(deformed_head=True)),
        ("2 screws not deformed", FastenerGroup(count=2, deformed_head=False)),
        ("2 screws painted", FastenerGroup(count=2, painted=True)),
        ("2 screws lacquered 1 chewed", FastenerGroup(count=2, lacquered=True, damaged=1)),
        ("1 screw reached only face down", FastenerGroup(reachable="face down")),
        ("1 screw not reachable until door open", FastenerGroup(reachable="door open")),
        ("1 screw x 2 at tl reachable only with the lens out", FastenerGroup(length_mm=2, place="top left")),
    ],
)
def test_what_a_fastener_is_like_as_found(said, group):
    (found,) = body(f"off cover {said} tray A1").fasteners
    assert (found.deformed_head, found.painted, found.lacquered) == (
        group.deformed_head,
        group.painted,
        group.lacquered,
    )
    assert (found.damaged, found.place) == (group.damaged, group.place)
    assert found.reachable == (group.reachable or ("the lens out" if "lens" in said else None))


def test_what_freed_an_earlier_step_is_typed_later():
    assert body("freed 7a by 3 4") == StepFreed(step=STEPS["7a"], freed_by=(STEPS["3"], STEPS["4"]))
    assert body("freed step 4 by nothing") == StepFreed(step=STEPS["4"], freed_by=())
    both = parse_line("freed 4 and 7a by 3", MEMORY).bodies
    assert both == tuple(StepFreed(step=STEPS[n], freed_by=(STEPS["3"],)) for n in ("4", "7a"))


def test_an_order_of_the_way_back_is_typed():
    assert body("way back 7a 3 4") == OrderTaken(steps=(STEPS["7a"], STEPS["3"], STEPS["4"]))


def test_the_echo_names_the_parts_of_the_steps():
    memory = LineMemory(steps=STEPS, step_parts={STEPS["3"]: "cover", STEPS["4"]: "name plate"})
    assert parse_line("freed 4 by 3", memory).echo == "step 4 name plate freed by 3 cover"
    assert parse_line("freed 4 by nothing", memory).echo == "step 4 name plate freed by nothing"
    assert parse_line("way back 4 3", memory).echo == "way back in this order: 4 name plate, then 3 cover"


@pytest.mark.parametrize("line", ["freed the blades with naphtha", "way back was long"])
def test_a_sentence_that_begins_so_stays_a_note(line):
    understood = parse_line(line, MEMORY)
    assert understood.as_note
    assert understood.problems == ()


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


@pytest.mark.parametrize("part", ["2nd ring", "lens 2", "G2 element", "lens group 1 and 2", "flat spring"])
def test_a_part_may_have_a_number(part):
    assert body(f"off {part} 3 screws") == StepTaken(action="off", part=part, fasteners=(FastenerGroup(count=3),))


@pytest.mark.parametrize(("lies", "said"), [("tray b2", "in tray B2"), ("in envelope", "in envelope")])
def test_the_echo_says_where_it_lies(lies, said):
    for line in ("spacer .2", "off ring"):
        assert f"lies {said}" in parse_line(f"{line} {lies}").echo


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
