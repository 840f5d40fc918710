"""Undo is a strike, a strike can be restored, and only what is there can be ticked."""

import uuid

import pytest

from asfound.bench.jobs import load_job, open_job
from asfound.bench.line import write_line
from asfound.bench.marking import restore, strike, tick, undo
from asfound.job.bodies import Camera
from asfound.problems import ConflictError, NotFoundError


@pytest.fixture
def job_id(book):
    return open_job(book, camera=Camera(model="Practice Six")).id


def test_undo_strikes_the_latest_then_the_one_before(book, job_id):
    for name in ("cover", "name plate"):
        write_line(book, job_id, f"off {name}")
    undo(book, job_id)
    assert [s.part for s in load_job(book, job_id).steps] == ["cover"]
    undo(book, job_id)
    assert load_job(book, job_id).steps == ()
    assert undo(book, job_id) is None


def test_a_struck_entry_can_be_restored(book, job_id):
    (entry,) = write_line(book, job_id, "off cover").entries
    strike(book, job_id, entry.id)
    restore(book, job_id, entry.id)
    assert len(load_job(book, job_id).steps) == 1


def test_the_opening_cannot_be_struck(book, job_id):
    opening = load_job(book, job_id).entries[0]
    with pytest.raises(ConflictError, match="opening"):
        strike(book, job_id, opening.id)


def test_a_step_is_ticked_and_unticked(book, job_id):
    (entry,) = write_line(book, job_id, "off cover").entries
    tick(book, job_id, entry.id, done=True)
    assert load_job(book, job_id).steps[0].back
    tick(book, job_id, entry.id, done=False)
    assert not load_job(book, job_id).steps[0].back


def test_what_is_not_there_cannot_be_ticked_or_struck(book, job_id):
    with pytest.raises(NotFoundError, match="no such step"):
        tick(book, job_id, uuid.uuid4(), done=True)
    with pytest.raises(NotFoundError, match="no such entry"):
        strike(book, job_id, uuid.uuid4())
