"""A dry helical is not done, oil near blades warns, felt and bellows are looked at; proofs stand where they belong."""

import pytest

from asfound.job import offer_of, way_back_of
from asfound.job.bodies import OrderTaken, PartCondition, ReadingTaken, StepFreed, StepTaken, Tick
from asfound.job.conditions import condition_warnings
from asfound.job.entry import canonical_bytes
from asfound.job.fold import fold
from asfound.quantity import Reading
from asfound.teardown import FastenerGroup


def off(part, **more):
    return StepTaken(action="off", part=part, lies="A1", **more)


def condition(part, now, using=""):
    return PartCondition(part=part, condition=now, using=using)


def warnings(bench, *bodies):
    bench.all(bodies)
    return condition_warnings(fold(bench.entries))


def test_a_helical_put_back_dry_is_not_done(bench):
    bodies = [off("helical"), condition("helical", "dry"), StepTaken(action="back", part="helical")]
    assert warnings(bench, *bodies) == ("not done: helical is dry, a helical runs greased",)
    assert any("helical is dry" in line for line in way_back_of(fold(bench.entries)).unaccounted)
    bench.write(condition("helical", "lubricated", "light helical grease"))
    assert condition_warnings(fold(bench.entries)) == ()


def test_oil_on_blades_warns_at_their_step(bench):
    bench.all([off("shutter blades"), condition("shutter blades", "lubricated", "watch oil")])
    (step,) = way_back_of(fold(bench.entries)).open
    assert any("watch oil on shutter blades" in caution for caution in step.cautions)


def test_bellows_are_asked_for_pinholes_thickness_and_folding(bench):
    (line,) = warnings(bench, off("bellows"), condition("bellows", "dry"))
    assert line == "bellows: pinholes, folds shut, thickness not looked at"


def test_what_was_read_of_the_felt_is_not_asked_for_again(bench):
    thickness = ReadingTaken(quantity="thickness", place="felt", reading=Reading(value=0.8, unit="mm"))
    assert warnings(bench, off("door felt"), condition("door felt", "dry"), thickness) == ()


def height(stage="as found", **more):
    reading = Reading(value=0.35, unit="mm", standard_uncertainty=0.01)
    return ReadingTaken(quantity="height", reading=reading, stage=stage, depends_on=("helical",), restore=True, **more)


def proofs(bench):
    return {s.step.part: s.proofs for s in way_back_of(fold(bench.entries)).steps}


def test_a_reading_is_to_be_taken_as_soon_as_its_part_is_on_and_before_what_was_off_then(bench):
    bench.all([off("ring"), off("shutter"), height(), off("stop screw"), off("helical")])
    (proof,) = proofs(bench)["helical"]
    assert (proof.what, proof.until, proof.off_assumed, proof.missing) == ("height", "shutter", True, "missing")


def test_what_must_be_off_can_be_said(bench):
    bench.all([off("ring"), off("shutter"), height(needs_off=("ring",)), off("helical")])
    (proof,) = proofs(bench)["helical"]
    assert (proof.until, proof.off_assumed) == ("ring", False)


def test_a_reading_gone_stale_says_so_and_one_left_out_is_overdue(bench):
    entries = bench.all([off("shutter"), height(), off("helical")])
    bench.write(Tick(step=entries[2].id))
    assert proofs(bench)["helical"][0].overdue
    bench.write(height("as left"))
    assert (proofs(bench)["helical"][0].missing, proofs(bench)["helical"][0].overdue) == ("", False)
    bench.write(condition("helical", "lubricated", "grease"))
    assert proofs(bench)["helical"][0].missing == "stale"


def test_what_freed_a_step_can_be_said_later_and_struck_again(bench):
    first, second = bench.all([off("finder cover"), off("leather disc")])
    assert fold(bench.entries).steps[1].assumed
    bench.write(StepFreed(step=second.id, freed_by=()))
    assert fold(bench.entries).steps[1].freed_by == frozenset()
    bench.write(StepFreed(step=second.id, freed_by=(first.id,)))
    assert fold(bench.entries).steps[1].freed_by == {first.id}


def test_an_order_taken_is_shown_until_another_is(bench):
    one, two = bench.all([off("finder cover", freed_by=()), off("leather disc", freed_by=())])
    bench.write(OrderTaken(steps=(one.id, two.id)))
    assert [s.step.id for s in way_back_of(fold(bench.entries)).steps] == [one.id, two.id]
    bench.write(condition("finder cover", "soaking", "benzine"))
    assert [s.step.id for s in way_back_of(fold(bench.entries)).steps] == [one.id, two.id]


def order_of(bench):
    return [s.step.part for s in way_back_of(fold(bench.entries)).steps]


def test_what_waits_goes_late_until_the_first_part_goes_back(bench):
    bench.all([off("finder cover", freed_by=()), off("leather disc", freed_by=())])
    assert order_of(bench) == ["leather disc", "finder cover"]
    bench.write(condition("leather disc", "soaking", "benzine"))
    assert order_of(bench) == ["finder cover", "leather disc"]
    bench.write(condition("leather disc", "dry"))
    assert order_of(bench) == ["leather disc", "finder cover"]


def test_what_begins_or_ends_to_wait_on_the_way_back_changes_no_order_but_is_offered_late(bench):
    parts = ("shim", "finder cover", "leather disc")
    first, *_ = bench.all([off(part, freed_by=()) for part in parts])
    bench.write(Tick(step=first.id))
    before = order_of(bench)
    bench.write(condition("leather disc", "soaking", "benzine"))
    assert order_of(bench) == before
    offer = offer_of(fold(bench.entries))
    assert offer.better
    assert [step.part for step in offer.order if step.part != "shim"] == ["finder cover", "leather disc"]
    bench.write(condition("leather disc", "dry"))
    assert order_of(bench) == before


def test_a_tick_changes_no_order(bench):
    _, disc = bench.all([off("finder cover", freed_by=()), off("leather disc", freed_by=())])
    bench.write(condition("leather disc", "soaking", "benzine"))
    bench.write(off("helical", freed_by=()))
    before = order_of(bench)
    bench.write(Tick(step=disc.id))
    assert order_of(bench) == before


def test_a_screw_short_going_back_is_not_accounted_for(bench):
    four, three = (FastenerGroup(count=n, thread="M1.4", length_mm=2.0) for n in (4, 3))
    bench.all([off("cover", fasteners=(four,)), StepTaken(action="back", part="cover", fasteners=(three,))])
    assert way_back_of(fold(bench.entries)).unaccounted == ("cover: 3 × screw M1.4 × 2 mm back, 4 came off",)


def test_a_tick_taken_back_takes_back_what_was_said_to_have_gone_back(bench):
    step, _ = bench.all([off("cover", fasteners=(FastenerGroup(count=4),)), StepTaken(action="back", part="cover")])
    bench.write(Tick(step=step.id, done=False))
    assert fold(bench.entries).steps[0].fasteners_back is None


@pytest.mark.parametrize("name", [b"needs_off", b"deformed_head", b"reachable"])
def test_entries_that_do_not_use_the_newer_fields_are_stored_as_before(bench, name):
    entries = bench.all([height(), off("cover", fasteners=(FastenerGroup(count=2),))])
    assert all(name not in canonical_bytes(entry) for entry in entries)
