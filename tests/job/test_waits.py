"""What a job waits for, and until when."""

import datetime

import pytest

from asfound.job.bodies import PartArrived, PartCondition, PartOrdered, StepTaken
from asfound.job.fold import fold
from asfound.job.summary import summarise
from asfound.job.waits import show_minutes


def off(part):
    return StepTaken(action="off", part=part, lies="A1")


def waiting_of(bench, *bodies):
    bench.all(bodies)
    return fold(bench.entries).waiting


def test_a_bath_is_over_so_many_minutes_after_it_was_written(bench):
    (bath,) = waiting_of(bench, PartCondition(part="train", condition="soaking", using="benzine", minutes=20))
    written = next(e for e in bench.entries if e.kind == "condition").clock.wall_ms
    assert (bath.sort, bath.since_ms, bath.until_ms) == ("bath", written, written + 20 * 60_000)
    assert bath.why == "soaking in benzine, 20 min"


def test_a_cure_without_a_time_has_no_end_and_still_waits(bench):
    (cure,) = waiting_of(bench, PartCondition(part="leather", condition="curing", using="shellac"))
    assert (cure.sort, cure.until_ms, cure.why) == ("cure", None, "curing in shellac")


@pytest.mark.parametrize("end", ["dry", "cured", "fitted", "lost"])
def test_a_bath_ends_when_something_else_is_said_of_the_part(bench, end):
    soaking = PartCondition(part="train", condition="soaking", minutes=20)
    assert waiting_of(bench, soaking, PartCondition(part="Train", condition=end)) == ()


def test_what_was_sent_for_is_due_on_its_day_until_it_comes(bench):
    day = datetime.date(2026, 12, 1)
    (wait,) = waiting_of(bench, PartOrdered(part="bellows", where="the maker", expected=day))
    assert (wait.sort, wait.due, wait.until_ms) == ("order", day, None)
    assert waiting_of(bench, PartArrived(part="bellows")) == ()


@pytest.mark.parametrize(("part", "where"), [("the owner's word on new bellows", ""), ("yes or no", "the owner")])
def test_what_the_owner_was_asked_is_a_decision(bench, part, where):
    (wait,) = waiting_of(bench, PartOrdered(part=part, where=where))
    assert wait.sort == "word"


def test_what_can_be_done_is_not_what_waits(bench):
    bench.all([off("cover"), off("train"), PartCondition(part="train", condition="soaking")])
    assert summarise(fold(bench.entries)).to_do == "put back cover"
    bench.all([PartCondition(part="cover", condition="curing")])
    assert summarise(fold(bench.entries)).to_do == ""


def test_a_job_just_opened_is_looked_over_and_a_finished_one_handed_over(bench):
    assert summarise(fold(bench.entries)).to_do == "look it over"
    bench.all([off("cover"), StepTaken(action="back", part="cover")])
    assert summarise(fold(bench.entries)).to_do == "hand it over"


@pytest.mark.parametrize(
    ("minutes", "said"),
    [(None, ""), (20, "20 min"), (60, "1 h"), (90, "1 h 30 min"), (1440, "1 day"), (4320, "3 days")],
)
def test_minutes_are_said_as_people_say_them(minutes, said):
    assert show_minutes(minutes) == said
