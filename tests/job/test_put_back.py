"""A part put back that was not off is said, with the nearest name."""

from asfound.job import way_back_of
from asfound.job.bodies import SpacerFound, StepTaken, Struck, Tick
from asfound.job.fold import fold
from asfound.job.put_back import put_back_in_vain


def off(part):
    return StepTaken(action="off", part=part)


def back(part):
    return StepTaken(action="back", part=part)


def said(bench, *bodies):
    bench.all(bodies)
    return [problem.what for problem in put_back_in_vain(fold(bench.entries))]


def test_a_part_put_back_once_is_no_problem(bench):
    assert said(bench, off("ring"), SpacerFound(name="shim"), back("shim"), back("RING")) == []


def test_a_part_put_back_twice_is_said_with_its_entry(bench):
    assert said(bench, off("ring"), back("ring"), back("ring")) == ["ring was put back twice"]
    (problem,) = put_back_in_vain(fold(bench.entries))
    assert problem.where == f"entry {len(bench.entries)}"
    assert str(problem) in way_back_of(fold(bench.entries)).unaccounted


def test_a_part_that_came_off_twice_goes_back_twice(bench):
    assert said(bench, off("ring"), back("ring"), off("ring"), back("ring")) == []


def test_ticked_off_and_then_put_back_is_twice_unless_the_tick_was_taken_back(bench):
    step = bench.write(off("ring")).id
    assert said(bench, Tick(step=step, done=True), Tick(step=step, done=False), back("ring")) == []
    assert said(bench, Tick(step=step, done=True), back("ring")) == ["ring was put back twice"]


def test_a_name_that_never_came_off_is_told_the_nearest_that_is_off(bench):
    said(bench, off("distance ring"), off("front cell"), back("distnace ring"))
    (problem,) = put_back_in_vain(fold(bench.entries))
    assert problem.what == "distnace ring was put back and never came off"
    assert "'distance ring'" in problem.remedy


def test_what_is_struck_through_is_not_said(bench):
    bench.all([off("ring"), back("ring")])
    twice = bench.write(back("ring"))
    assert said(bench, Struck(entry=twice.id)) == []
