"""Undo is a strike, a strike can be restored, and only what is there can be ticked."""

import io
import uuid
from uuid import uuid4

import pytest
from PIL import Image

from asfound.bench.jobs import load_job, open_job
from asfound.bench.line import write_line
from asfound.bench.marking import add_pin, change_pin, restore, strike, tick, undo
from asfound.bench.photographs import add_photo
from asfound.job.bodies import Camera, Pin
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


@pytest.fixture
def pinned(book):
    """Give a book with a job, a photograph of it, and a step."""
    job_id = open_job(book, camera=Camera(model="Practice Six")).id
    step = write_line(book, job_id, "off cover, 2 screws M1.4x2.5 slot").entries[0].id
    stream = io.BytesIO()
    Image.new("RGB", (64, 48), "white").save(stream, "JPEG")
    stream.seek(0)
    return job_id, add_photo(book, job_id, stream, "p.jpg").id, step


def test_a_pin_is_set_moved_and_taken_off(book, pinned):
    job_id, photo, step = pinned
    screw = load_job(book, job_id).steps[0].fasteners[0]
    pin = add_pin(book, job_id, photo, Pin(x=0.25, y=0.5, fastener=screw, step=step)).id
    change_pin(book, job_id, pin, Pin(x=0.75, y=0.5, fastener=screw, step=step))
    [now] = load_job(book, job_id).pins
    assert (now.id, now.number, now.pin.x) == (pin, 1, 0.75)
    strike(book, job_id, pin)
    assert load_job(book, job_id).pins == ()
    with pytest.raises(NotFoundError, match="not on a photograph"):
        change_pin(book, job_id, pin, Pin(x=0, y=0))


def test_a_pin_on_what_is_not_there_is_refused(book, pinned):
    job_id, photo, _ = pinned
    with pytest.raises(NotFoundError, match="photograph"):
        add_pin(book, job_id, uuid4(), Pin(x=0, y=0))
    with pytest.raises(NotFoundError, match="step"):
        add_pin(book, job_id, photo, Pin(x=0, y=0, step=uuid4()))
