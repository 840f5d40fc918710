"""A reading is stale once something it depends on was touched after it."""

import pytest

from asfound.job.bodies import (
    AdjusterMoved,
    Note,
    PartCondition,
    Proof,
    ReadingTaken,
    SpacerFound,
    StepTaken,
    Struck,
    Tick,
)
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
