"""A reading is stale once something it depends on was touched after it."""

import datetime
import uuid

import pytest

from asfound.job.bodies import (
    AdjusterMoved,
    Attached,
    InstrumentWrong,
    Note,
    PartCondition,
    Proof,
    ReadingTaken,
    Recording,
    ShutterTable,
    SpacerFound,
    SpeedRow,
    StepTaken,
    Struck,
    Tick,
)
from asfound.job.clock import Stamp
from asfound.job.fold import fold
from asfound.quantity import Reading


def height(**more):
    reading = Reading(value=0.35, unit="mm", standard_uncertainty=0.01)
    return ReadingTaken(quantity="ring height", reading=reading, depends_on=("helical", "infinity stop"), **more)


TOUCHES = [
    StepTaken(action="off", part="Helical"),
    StepTaken(action="slackened", part="helical", turns=0.5),
    StepTaken(action="back", part="helical"),
    AdjusterMoved(adjuster="infinity stop", direction="in"),
    PartCondition(part="helical", condition="lubricated", using="light grease"),
    SpacerFound(name="shim", between=("helical", "standard")),
]


@pytest.mark.parametrize("touch", TOUCHES, ids=lambda body: f"{body.kind}-{getattr(body, 'action', '')}")
def test_touching_what_it_depends_on_makes_a_reading_stale(bench, touch):
    bench.write(height())
    assert fold(bench.entries).readings[0].stale_by is None
    touching = bench.write(touch)
    assert fold(bench.entries).readings[0].stale_by == touching.id


@pytest.mark.parametrize("touch", [Note(text="helical"), StepTaken(action="off", part="name plate")])
def test_what_it_does_not_depend_on_leaves_it_fresh(bench, touch):
    bench.all([height(), touch])
    assert fold(bench.entries).readings[0].stale_by is None


def test_only_what_comes_later_makes_it_stale(bench):
    bench.all([StepTaken(action="off", part="helical"), height()])
    assert fold(bench.entries).readings[0].stale_by is None


def test_the_first_touch_is_named(bench):
    bench.write(height())
    first = bench.write(StepTaken(action="slackened", part="helical"))
    bench.write(StepTaken(action="off", part="infinity stop"))
    assert fold(bench.entries).readings[0].stale_by == first.id


def test_a_struck_touch_leaves_it_fresh(bench):
    bench.write(height())
    touch = bench.write(StepTaken(action="off", part="helical"))
    bench.write(Struck(entry=touch.id))
    assert fold(bench.entries).readings[0].stale_by is None


def test_proofs_go_stale_like_readings(bench):
    bench.all(
        [Proof(what="infinity", verdict="within", depends_on=("helical",)), StepTaken(action="off", part="helical")]
    )
    assert fold(bench.entries).proofs[0].stale_by is not None


def test_a_tick_on_the_way_back_touches_its_part(bench):
    step = bench.write(StepTaken(action="off", part="helical"))
    bench.write(height())
    tick = bench.write(Tick(step=step.id))
    assert fold(bench.entries).readings[0].stale_by == tick.id


def gauged(quantity="depth", instrument="depth gauge", **more):
    return ReadingTaken(
        quantity=quantity, instrument=instrument, reading=Reading(value=1.0, unit="mm"), stage="as left", **more
    )


def wrong(since_ms, instrument="depth gauge"):
    day = datetime.datetime.fromtimestamp(since_ms / 1000, datetime.UTC).date()
    return InstrumentWrong(instrument=instrument, since=day, since_ms=since_ms)


def test_what_was_taken_with_an_instrument_since_it_read_wrongly_is_stale_from_that_day(bench):
    bench.write(gauged())
    after = bench.write(gauged())
    bench.write(gauged(instrument="calliper"))
    said = bench.write(wrong(after.clock.wall_ms, instrument="Depth  Gauge"))
    bench.write(gauged())  # mended or replaced since
    assert [kept.stale_by for kept in fold(bench.entries).readings] == [None, said.id, None, None]


def test_striking_what_was_said_of_the_instrument_makes_its_readings_good_again(bench):
    first = bench.write(gauged())
    said = bench.write(wrong(first.clock.wall_ms))
    bench.write(Struck(entry=said.id))
    assert fold(bench.entries).readings[0].stale_by is None


def test_the_earlier_of_touch_and_wrong_instrument_is_named(bench):
    first = bench.write(gauged(depends_on=("bed",)))
    touch = bench.write(StepTaken(action="off", part="bed"))
    bench.write(wrong(first.clock.wall_ms))
    assert fold(bench.entries).readings[0].stale_by == touch.id


def test_a_dial_table_rests_on_the_sound_input_unless_it_was_filmed(bench):
    row = SpeedRow(
        marked="1", reference_s=1, times_s=(1.0,), mean_s=1, error_stops=0, tolerance_stops=0.3, verdict="within"
    )
    film = Attached(sha256="a" * 64, name="a.mp4", media_type="video/mp4", size=1)
    video = bench.write(Recording(attachment=film, sort="video"))
    bench.write(ShutterTable(stage="as left", rows=(row,), tolerance_source="x"))
    bench.write(ShutterTable(stage="as left", rows=(row,), tolerance_source="x", recording=video.id))
    said = bench.write(wrong(0, instrument="sound input"))
    assert [kept.stale_by for kept in fold(bench.entries).tables] == [said.id, None]


def test_a_proof_goes_stale_with_the_instrument_that_it_names(bench):
    first = bench.write(Proof(what="infinity", verdict="within", instrument="Depth gauge"))
    bench.write(Proof(what="scale", verdict="within", instrument="ground glass"))
    bench.write(Proof(what="struts", verdict="within"))
    said = bench.write(wrong(first.clock.wall_ms))
    bench.write(Proof(what="infinity", verdict="within", instrument="depth gauge"))
    assert [kept.stale_by for kept in fold(bench.entries).proofs] == [said.id, None, None, None]


def test_what_was_worked_out_together_with_a_wrong_reading_goes_with_it(bench):
    base = bench.write(gauged())
    derived = base.model_copy(
        update={
            "id": uuid.uuid4(),
            "sequence": base.sequence + 1,
            "clock": Stamp(base.clock.wall_ms, base.clock.counter + 1),
            "body": Proof(what="parallelism", verdict="within"),
        }
    )
    later = bench.write(Proof(what="infinity", verdict="within"))
    said = bench.write(wrong(base.clock.wall_ms))
    job = fold([*bench.entries, derived])
    assert {kept.entry: kept.stale_by for kept in job.proofs} == {derived.id: said.id, later.id: None}
