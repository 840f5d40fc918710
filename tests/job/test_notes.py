"""Service notes write themselves from all cameras of one model."""

import random
import statistics
import uuid

import networkx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.job.bodies import (
    Camera,
    Expectation,
    ExpectationOutcome,
    Fault,
    Opened,
    ReadingTaken,
    StateChanged,
    StepFreed,
    StepTaken,
)
from asfound.job.fold import fold
from asfound.job.notes import next_parts, service_notes
from asfound.job.observed_order import partial_order
from asfound.job.observed_readings import outside
from asfound.job.observing import CameraSeen, StepSeen, merged, observe
from asfound.quantity import CameraState, Reading
from asfound.teardown import FastenerGroup


def camera(name, parts, freed=None):
    """Return a camera whose parts came off in this order, with what freed them where said."""
    freed = freed or {}
    steps = tuple(StepSeen(part=part, freed_by=freed.get(part)) for part in parts)
    return CameraSeen(camera=f"{name:064x}", model="Practice Six", steps=steps)


def order_of(*cameras):
    return partial_order(cameras).before


def test_a_pair_seen_both_ways_is_unordered():
    before = order_of(camera(1, "abc"), camera(2, "bac"))
    assert before == {"a": (), "b": (), "c": ("a", "b")}


def test_a_pair_in_the_same_order_on_every_camera_stays_ordered():
    assert order_of(camera(1, "ab"), camera(2, "acb"))["b"] == ("a", "c")


def test_what_one_camera_said_was_free_is_unordered_though_others_took_it_in_turn():
    said = camera(1, "ab", freed={"a": (), "b": ()})
    assert order_of(said, camera(2, "ab")) == {"a": (), "b": ()}


def test_cameras_that_only_together_make_a_circle_leave_its_parts_unordered_and_say_so():
    order = partial_order([camera(1, "ab"), camera(2, "bc"), camera(3, "ca")])
    assert order.before == {"a": (), "b": (), "c": ()}
    assert sorted(order.contradicted[0]) == ["a", "b", "c"]


@given(st.data())
def test_with_all_parts_on_every_camera_it_is_the_intersection_of_the_orders(data):
    parts = "abcdef"[: data.draw(st.integers(2, 6))]
    cameras = [camera(n, data.draw(st.permutations(parts))) for n in range(data.draw(st.integers(1, 4)))]
    order = partial_order(cameras)
    # Oracle: pairs in the same order everywhere; closure and reduction by NetworkX.
    rows = [[step.part for step in c.steps] for c in cameras]
    pairs = [(a, b) for a in parts for b in parts if a != b and all(r.index(a) < r.index(b) for r in rows)]
    graph = networkx.DiGraph(pairs)
    graph.add_nodes_from(parts)
    assert {(a, b) for b, earlier in order.before.items() for a in earlier} == set(
        networkx.transitive_closure(graph).edges
    )
    assert {(a, b) for b, earlier in order.just_before.items() for a in earlier} == set(
        networkx.transitive_reduction(graph).edges
    )
    assert all(order.parts.index(a) < order.parts.index(b) for a, b in pairs)


def test_the_parts_that_can_come_next_are_told():
    notes = service_notes(
        "Practice Six", [camera(1, ["Top plate", "finder", "cell"]), camera(2, ["top plate", "cell", "finder"])]
    )
    assert [part.part for part in next_parts(notes, [])] == ["Top plate"]
    assert {part.part for part in next_parts(notes, ["TOP PLATE"])} == {"finder", "cell"}


def job_of(new_bench, number, *bodies, serial="", model="Practice Six"):
    bench = new_bench(job=uuid.UUID(int=number))
    bench.write(Opened(ticket=str(number), camera=Camera(model=model, serial=serial), complaint="for A. Nobody"))
    bench.all(bodies)
    return fold(bench.entries)


def gap(value, **state):
    reading = Reading(value=value, unit="mm", standard_uncertainty=0.01)
    return [StateChanged(state=CameraState(**state)), ReadingTaken(quantity="gap", place="pointer", reading=reading)]


def test_readings_have_a_robust_mean_a_spread_and_a_number_of_cameras(new_bench):
    values = [0.40, 0.41, 0.39, 0.40, 4.0]
    jobs = [job_of(new_bench, n + 1, *gap(v, seated="push")) for n, v in enumerate(values)]
    (note,) = service_notes("Practice Six", map(observe, jobs)).readings
    assert (note.cameras, note.unit, note.state) == (5, "mm", "seated push")
    assert note.mean == pytest.approx(0.40, abs=0.02)
    assert note.mean < statistics.fmean(values) / 2


def test_a_camera_read_three_times_counts_once(new_bench):
    thrice = job_of(new_bench, 1, *gap(0.3), *gap(0.3), *gap(0.3))
    (note,) = service_notes("Practice Six", map(observe, [thrice, job_of(new_bench, 2, *gap(0.5))])).readings
    assert (note.cameras, note.mean) == (2, pytest.approx(0.4))


def test_pushed_and_pulled_are_two_quantities_and_another_dial_is_only_told(new_bench):
    jobs = [job_of(new_bench, 1, *gap(0.3, seated="push", dial="B")), job_of(new_bench, 2, *gap(0.5, seated="pull"))]
    assert len(service_notes("Practice Six", map(observe, jobs)).readings) == 2
    jobs[1] = job_of(new_bench, 2, *gap(0.5, seated="push", dial="1/25"))
    (note,) = service_notes("Practice Six", map(observe, jobs)).readings
    assert note.differs == ("dial",)


def test_a_reading_outside_what_other_cameras_had_is_warned_of(new_bench):
    jobs = [job_of(new_bench, n, *gap(0.40 + 0.01 * (n % 3))) for n in range(1, 8)]
    notes = service_notes("Practice Six", map(observe, jobs)).readings

    def warned(value):
        new = Reading(value=value, unit="mm", standard_uncertainty=0.01)
        return outside(notes, quantity="Gap", place="pointer", stage="as found", reading=new)

    assert warned(0.41) == ""
    assert "0.7 mm lies outside what other cameras had" in warned(0.7)
    assert "on 7 cameras" in warned(0.7)
    assert outside(notes, quantity="height", place="", stage="as found", reading=Reading(value=9.0, unit="mm")) == ""


def test_fasteners_tools_and_minutes_are_gathered(new_bench):
    def off(count, tool):
        group = FastenerGroup(count=count, thread="M1.4", length_mm=2.0)
        return StepTaken(action="off", part="cover plate", fasteners=(group,), tool=tool)

    jobs = [job_of(new_bench, n + 1, off(c, "fine blade")) for n, c in enumerate((4, 4, 3))]
    (part,) = service_notes("Practice Six", map(observe, jobs)).parts
    assert [str(note) for note in part.fasteners] == ["screw M1.4 × 2 mm: 4 on 2, 3 on 1 cameras"]
    assert part.tools == (("fine blade", 3),)
    assert part.minutes == pytest.approx(1.0)  # the bench of these tests writes an entry a minute


def test_faults_come_with_their_causes_and_counts(new_bench):
    def fault(cause, gone):
        said = [Fault(fault="slow speeds drag"), Fault(fault="slow speeds drag", stage="suspected", text="pallet")]
        said += [Fault(fault="slow speeds drag", stage="work", text=cause)]
        return said + ([Fault(fault="slow speeds drag", stage="proof")] if gone else [])

    jobs = [job_of(new_bench, 1, *fault("washed", True)), job_of(new_bench, 2, *fault("Washed", False))]
    (note,) = service_notes("Practice Six", map(observe, jobs)).faults
    assert (note.cameras, note.gone, note.causes) == (2, 1, (("washed", 2),))


def test_a_dead_end_stays_in_the_job_and_out_of_the_notes(new_bench):
    bench = new_bench()
    bench.write(Opened(ticket="1", camera=Camera(model="Practice Six")))
    bench.write(StepTaken(action="off", part="ring"))
    expected = bench.write(Expectation(text="it should free the name plate"))
    bench.write(ExpectationOutcome(expectation=expected.id, held=False))
    bench.write(StepTaken(action="back", part="ring"))
    bench.write(StepTaken(action="off", part="name plate"))
    job = fold(bench.entries)
    assert [step.part for step in job.steps] == ["ring", "name plate"]
    seen = observe(job)
    assert [step.part for step in seen.steps] == ["name plate"]
    assert seen.dead_ends_left_out == 1


def test_no_serial_and_no_complaint_is_told_unless_asked(new_bench):
    step = StepTaken(action="off", part="cover", note="scratched inside: 04417")
    job = job_of(new_bench, 1, step, serial="04417")
    told = observe(job).model_dump_json()
    assert "04417" not in told
    assert "Nobody" not in told
    assert observe(job, serials=True).serial == "04417"


cameras = st.lists(
    st.builds(
        camera, st.integers(1, 4), st.permutations("abcd").flatmap(lambda p: st.integers(1, 4).map(lambda n: p[:n]))
    ),
    max_size=6,
)


@given(cameras, cameras, st.randoms())
def test_merging_is_the_same_in_any_order_and_any_number_of_times(one, other, shuffle):
    both = [*one, *other]
    once = merged(both)
    shuffle.shuffle(both)
    assert merged(both) == once == merged([*once, *both])


def test_the_order_of_jobs_does_not_change_the_notes(new_bench):
    jobs = [
        observe(job_of(new_bench, n, *gap(0.1 * n), StepTaken(action="off", part=f"part {n % 3}"))) for n in range(1, 7)
    ]
    notes = service_notes("Practice Six", merged(jobs))
    random.Random(1).shuffle(jobs)
    assert service_notes("Practice Six", merged(jobs)) == notes


@pytest.mark.parametrize(
    ("serial", "note", "told"),
    [
        ("04417", "scratched in: No04417a", "scratched in: No…a"),
        ("A77", "a77 inside the back", "… inside the back"),
        ("7", "lens 7, no. 7; 17 and 1.7 and 0.7 mm are not it", "lens …, no. …; 17 and 1.7 and 0.7 mm are not it"),
        ("12", "12 on the rail, 12.5 on the scale", "… on the rail, 12.5 on the scale"),
    ],
)
def test_a_serial_is_blotted_out_of_texts_a_short_one_where_it_stands_alone(new_bench, serial, note, told):
    screw = FastenerGroup(count=2, thread=f"{serial} BA")
    job = job_of(new_bench, 1, StepTaken(action="off", part="plate", note=note, fasteners=(screw,)), serial=serial)
    (step,) = observe(job).steps
    assert step.note == told
    assert (step.fasteners[0].thread == f"{serial} BA") or len(serial) > 2


def test_what_was_said_not_to_have_freed_a_part_is_told_and_loosens_the_notes():
    steps = [StepSeen(part=part) for part in ("plate", "ring")]
    loosened = CameraSeen(camera="1" * 64, model="Practice Six", steps=(*steps, StepSeen(part="cell", not_by=(1,))))
    notes = service_notes("Practice Six", [loosened])
    assert {part.part: part.after for part in notes.parts}["cell"] == ("plate",)


def test_what_was_said_not_to_have_freed_a_part_is_observed(bench):
    ring, cell = bench.all([StepTaken(action="off", part="ring"), StepTaken(action="off", part="cell")])
    bench.write(StepFreed(step=cell.id, not_by=(ring.id,)))
    assert [step.not_by for step in observe(fold(bench.entries)).steps] == [(), (0,)]
