"""The state of a job is a pure function of its entries."""

import random
import uuid

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from asfound.job.bodies import (
    Camera,
    CameraDetails,
    Expectation,
    ExpectationOutcome,
    Fault,
    Note,
    Opened,
    PartArrived,
    PartCondition,
    PartOrdered,
    Restored,
    SpacerFound,
    StateChanged,
    StepTaken,
    Struck,
    Tick,
)
from asfound.job.fold import fold
from asfound.problems import NotFoundError
from asfound.quantity import CameraState


def off(part, **more):
    return StepTaken(action="off", part=part, **more)


def test_entries_in_any_order_and_twice_give_the_same_job(bench):
    bench.all([off("top plate", lies="A1"), Note(text="dirty"), off("name plate"), PartOrdered(part="felt")])
    shuffled = bench.entries * 2
    random.Random(3).shuffle(shuffled)
    assert fold(shuffled) == fold(bench.entries)


def test_without_an_opening_there_is_no_job(bench):
    with pytest.raises(NotFoundError, match="nothing opens this job"):
        fold(bench.entries[1:])


def test_the_camera_is_what_was_last_said_of_it(bench):
    bench.write(CameraDetails(camera=Camera(model="Practice Six", serial="0042")))
    assert fold(bench.entries).camera.serial == "0042"


def test_a_struck_entry_counts_for_nothing_but_stays_to_be_seen(bench):
    step = bench.write(off("top plate"))
    bench.write(Struck(entry=step.id))
    job = fold(bench.entries)
    assert job.steps == ()
    assert step in job.entries


def test_a_restored_entry_counts_again_and_the_later_of_strike_and_restore_wins(bench):
    step = bench.write(off("top plate"))
    bench.all([Struck(entry=step.id), Restored(entry=step.id)])
    assert len(fold(bench.entries).steps) == 1
    bench.write(Struck(entry=step.id))
    assert fold(bench.entries).steps == ()


def test_the_opening_of_a_job_cannot_be_struck(bench):
    bench.write(Struck(entry=bench.entries[0].id))
    assert fold(bench.entries).ticket == "1"


def test_striking_a_step_renumbers_no_other(bench):
    first, _ = bench.all([off("top plate"), off("name plate")])
    bench.write(Struck(entry=first.id))
    assert [(s.number, s.part) for s in fold(bench.entries).steps] == [("2", "name plate")]


def test_a_state_is_carried_forward_until_changed(bench):
    bench.write(StateChanged(state=CameraState(dial="B", shutter="released")))
    early = bench.write(off("name plate"))
    bench.write(StateChanged(state=CameraState(dial="1/25")))
    late = bench.write(off("speed ring"))
    job = fold(bench.entries)
    assert job.states[early.id] == CameraState(dial="B", shutter="released")
    assert job.states[late.id] == CameraState(dial="1/25", shutter="released")
    assert job.steps[1].state.dial == "1/25"


def test_parts_are_told_apart_by_name_whatever_the_case(bench):
    bench.all([off("Speed Ring", lies="B2"), PartCondition(part="speed  ring", condition="soaking", using="benzine")])
    job = fold(bench.entries)
    (part,) = job.parts.values()
    assert (part.whereabouts, part.lies, part.condition) == ("off", "B2", "soaking with benzine")
    assert [w.part for w in job.waiting] == ["speed ring"]


def test_a_part_put_back_is_in_the_camera_again(bench):
    bench.all([off("name plate"), StepTaken(action="back", part="Name plate")])
    job = fold(bench.entries)
    assert job.parts["name plate"].whereabouts == "in the camera"
    assert job.steps[0].back


def test_a_part_taken_off_twice_and_put_back_once_is_still_off_once(bench):
    bench.all([off("cover"), StepTaken(action="back", part="cover"), off("cover")])
    assert [s.back for s in fold(bench.entries).steps] == [True, False]


def test_a_tick_undoes_a_step_and_a_tick_taken_back_reopens_it(bench):
    step = bench.write(off("cover"))
    bench.write(Tick(step=step.id))
    assert fold(bench.entries).steps[0].back
    bench.write(Tick(step=step.id, done=False))
    assert not fold(bench.entries).steps[0].back


def test_a_late_found_spacer_stands_where_it_belongs(bench):
    bench.all([off("front cell"), off("retaining ring"), off("helical")])
    spacer = SpacerFound(
        name="brass shim", between=("front cell", "shutter"), belongs_after=bench.entries[1].id, late=True
    )
    bench.write(spacer)
    job = fold(bench.entries)
    assert [s.number for s in job.steps] == ["1", "1s1", "2", "3"]
    assert job.steps[1].freed_by == {bench.entries[1].id}


def test_what_is_on_order_is_waited_for_until_it_arrives(bench):
    bench.write(PartOrdered(part="felt", where="the felt maker"))
    assert fold(bench.entries).waiting[0].why == "the felt maker"
    bench.write(PartArrived(part="felt"))
    assert fold(bench.entries).waiting == ()


def test_a_fault_is_open_until_proved_gone(bench):
    bench.all([Fault(fault="1/2 hangs"), Fault(fault="1/2 hangs", stage="work", text="cleaned")])
    assert fold(bench.entries).faults[0].open
    bench.write(Fault(fault="1/2 Hangs", stage="proof", text="three shots"))
    (fault,) = fold(bench.entries).faults
    assert not fault.open
    assert [stage for stage, _, _ in fault.said] == ["observed", "work", "proof"]


def test_an_expectation_is_open_until_it_turns_out(bench):
    said = bench.write(Expectation(text="this ring frees the name plate"))
    assert fold(bench.entries).expectations[0][2] is None
    bench.write(ExpectationOutcome(expectation=said.id, held=False))
    assert fold(bench.entries).expectations[0][2] is False


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])  # the fixture is a class, not state
@given(st.lists(st.sampled_from(["note", "off", "strike", "restore"]), max_size=25), st.randoms(use_true_random=False))
def test_two_benches_on_one_job_fold_alike_in_either_order(new_bench, kinds, rng):
    one, two = new_bench("bench-a"), new_bench("bench-b")
    one.write(Opened(ticket="1", camera=Camera(model="Practice Six")))
    for n, kind in enumerate(kinds):
        bench = rng.choice([one, two])
        earlier = one.entries + two.entries
        target = rng.choice(earlier).id if earlier else uuid.UUID(int=0)
        body = {
            "note": Note(text=str(n)),
            "off": off(f"part {n}"),
            "strike": Struck(entry=target),
            "restore": Restored(entry=target),
        }[kind]
        bench.write(body)
    assert fold(one.entries + two.entries) == fold(two.entries + one.entries)
