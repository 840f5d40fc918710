"""The practice job is whole: nothing in it that the bench would not have written."""

import numpy as np
import pytest

from asfound.bench.handover import open_items
from asfound.bench.jobs import load_job
from asfound.job import readings_to_restore, way_back_of
from asfound.job.bodies import Note


@pytest.fixture
def job(practice_book):
    return load_job(practice_book, "1")


def test_it_has_about_twenty_five_steps_and_a_late_found_spacer_where_it_belongs(job):
    assert 23 <= len(job.steps) <= 27
    numbers = [step.number for step in job.steps]
    assert numbers[numbers.index("5s1") - 1] == "5"


def test_no_line_of_it_fell_back_to_a_note(job):
    assert [entry for entry in job.entries if isinstance(entry.body, Note)] == []


def test_every_part_that_is_off_lies_somewhere(job):
    assert [p.name for p in job.parts.values() if p.whereabouts == "off" and not p.lies] == []


def test_the_slow_speeds_were_off_and_are_within(job):
    found, left = (kept.body for kept in job.tables)
    assert (found.stage, left.stage) == ("as found", "as left")
    assert [row.marked for row in found.rows if row.verdict == "outside"][:3] == ["1", "1/2", "1/5"]
    # The scenario's errors, recovered from the simulated recording: half the scatter of three shots of 0.03 stop.
    told = [0.12, 0.10, 0.06, 0.04, 0.08, 0.10, 0.13, 0.20]
    assert np.allclose([row.error_stops for row in left.rows], told, atol=4 * 0.03 / np.sqrt(3))


def test_the_table_as_left_is_fresh_and_the_one_as_found_is_not(job):
    found, left = job.tables
    assert found.stale_by is not None
    assert left.stale_by is None


def test_something_is_left_to_do_and_to_restore(job):
    assert len(way_back_of(job).open) >= 5
    assert any(item.restored is None for item in readings_to_restore(job))
    assert any(item.restored is not None for item in readings_to_restore(job))
    assert open_items(job)


def test_it_shows_a_caution_and_a_mark_on_the_way_back(job):
    steps = way_back_of(job).open
    assert any(step.cautions for step in steps)
    assert any(step.marks for step in steps)


def test_the_book_that_holds_it_is_whole(practice_book):
    checked = practice_book.check()
    assert checked.problems == ()
    assert checked.attachments == 8
