"""The tray drawn: every row of the ledger is in one box, every fastener is one mark."""

import uuid

from hypothesis import given, settings
from hypothesis import strategies as st

from asfound.plots import page_svg
from asfound.plots.tray import screw_counts, screws_picture, tray_boxes, tray_picture
from asfound.teardown import FastenerGroup, Step, ledger

SHORT = FastenerGroup(count=3, thread="M1.4", length_mm=2.0)
LONG = FastenerGroup(count=1, thread="M1.4", length_mm=2.4)


def step(number, part, lies="", **more):
    return Step(id=uuid.UUID(int=number), number=str(number), action="off", part=part, lies=lies, **more)


STEPS = (
    step(1, "cover", "A1", fasteners=(SHORT, LONG)),
    step(2, "front ring", "A3"),
    step(3, "helical", "A2", fasteners=(SHORT,)),
    step(4, "name plate", "B1"),
    step(5, "spring", "envelope"),
    step(6, "washer"),
    step(7, "door", "C1", fasteners=(SHORT,), back=True, fasteners_back=(FastenerGroup(count=2),)),
)
WAITING = {uuid.UUID(int=3): "soaking in white spirit", uuid.UUID(int=4): "at the plater"}
ACCOUNT = ledger(STEPS, waiting=WAITING)


def test_what_soaks_is_away_missing_or_nowhere_has_a_box_of_its_own_kind():
    cells, others = tray_boxes(ACCOUNT)
    assert [(box.label, box.parts) for box in cells] == [("A1", ("cover",)), ("A2", ()), ("A3", ("front ring",))]
    assert {box.label: box.kind for box in others} == {
        "at the plater": "away",
        "envelope": "tray",
        "missing": "missing",
        "not said where": "nowhere",
        "soaking in white spirit": "solvent",
    }
    (missing,) = (box for box in others if box.kind == "missing")
    assert missing.fasteners == ("1 × screw M1.4 × 2 mm of door",)


def test_a_part_sent_away_leaves_its_screws_in_their_compartment():
    cells, _ = tray_boxes(ACCOUNT)
    assert {box.label: box.fasteners for box in cells}["A2"] == ("3 × screw M1.4 × 2 mm",)


def test_the_counts_tell_lengths_apart_and_add_up():
    counts = {one.sort: one for one in screw_counts(ACCOUNT)}
    short = counts["screw M1.4 × 2 mm"]
    assert (short.off, short.back, short.on_tray, short.missing) == (9, 2, 6, 1)
    assert counts["screw M1.4 × 2.4 mm"].off == 1


def test_both_widths_name_every_place_and_part():
    for width in ("wide", "narrow"):
        picture = tray_picture(ACCOUNT, width=width)
        svg = page_svg(picture)
        for word in ("A1", "front ring", "missing", "washer", "envelope"):
            assert word in svg, (width, word)
        assert "at the plater: name plate" in picture.description


def test_every_fastener_is_one_mark():
    svg = page_svg(screws_picture(ACCOUNT, width="narrow"))
    assert "1 missing" in svg
    assert "6 on the tray" in screws_picture(ACCOUNT).description


def test_an_empty_tray_says_so():
    assert "nothing is off" in page_svg(tray_picture(ledger(())))
    assert "no fastener came off" in screws_picture(ledger(())).description


places = st.sampled_from(["", "A1", "A12", "B3", "tray C2", "7", "in solvent", "envelope", "box of the owner"])


@settings(deadline=None, max_examples=60)
@given(st.lists(st.tuples(places, st.integers(1, 5), st.booleans()), max_size=8))
def test_nothing_that_is_off_is_left_out_of_the_boxes(rows):
    steps = [
        step(n, f"part {n}", place, fasteners=(FastenerGroup(count=count),), back=back)
        for n, (place, count, back) in enumerate(rows, start=1)
    ]
    account = ledger(steps)
    cells, others = tray_boxes(account)
    shown = [part for box in (*cells, *others) for part in box.parts]
    assert sorted(shown) == sorted(row.what for row in account.rows if not row.fastener and row.where != "camera")
    counted = sum(int(text.split()[0]) for box in (*cells, *others) for text in box.fasteners)
    assert counted == account.counts(fasteners=True)["tray"]
    assert sum(one.off for one in screw_counts(account)) == sum(count for _, count, _ in rows)
