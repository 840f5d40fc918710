"""A reading that is typed is held at once against what other cameras of the model had."""

import pytest

from asfound.bench.elsewhere import coming, elsewhere, told_elsewhere
from asfound.bench.jobs import open_job
from asfound.bench.notes import keep_notes, notes_on
from asfound.job.bodies import Camera, ReadingTaken, StepTaken, Struck
from asfound.job.observed_readings import note_of, outside
from asfound.job.observing import CameraSeen, NotesFile, ReadingSeen, observe
from asfound.quantity import CameraState, Reading


def gap(value, *, quantity="gap", place="", **state):
    reading = Reading(value=value, unit="mm", standard_uncertainty=0.01, state=CameraState(**state))
    return ReadingTaken(quantity=quantity, place=place, reading=reading)


def camera(book, *bodies, model="Otter"):
    job = open_job(book, camera=Camera(model=model, serial="4711"))
    book.write(job.id, [StepTaken(action="off", part="plate"), *bodies])
    return book.job(job.id)


@pytest.fixture
def mine(book):
    """Give a job on a model of which seven other cameras are known."""
    for n in range(7):
        camera(book, gap(0.40 + 0.01 * (n % 3)), gap(0.8, place="3 o'clock"), gap(0.5, seated="push"))
    camera(book, gap(7.0), model="Heron")
    return camera(book, model="OTTER")


@pytest.mark.parametrize("typed", [gap(0.41), gap(0.9), gap(0.41, quantity=" GAP"), gap(0.8, place="3 O'Clock")])
def test_it_says_what_the_notes_of_the_model_say(book, mine, typed):
    told = told_elsewhere(book, mine, [typed])
    notes = notes_on(book, "Otter", without=mine).readings
    subject = {"quantity": typed.quantity, "place": typed.place, "stage": typed.stage, "reading": typed.reading}
    warning, note = outside(notes, **subject), note_of(notes, **subject)
    assert told == ((f"look again: {warning}",) if warning else (f"elsewhere: {note}",))


def test_of_what_no_other_camera_told_nothing_is_said(book, mine):
    assert told_elsewhere(book, mine, [gap(0.4, place="9 o'clock"), gap(3.0, quantity="register")]) == ()


def test_the_camera_itself_is_no_other_camera(book, mine):
    book.write(mine.id, [gap(0.2, place="noon")])
    mine = book.job(mine.id)
    keep_notes(book, NotesFile(model="Otter", cameras=(observe(mine),)))
    assert told_elsewhere(book, mine, [gap(0.2, place="noon")]) == ()
    assert elsewhere(book, mine).cameras == 7


def test_a_camera_known_by_its_job_and_by_a_file_counts_once(book, mine):
    other = camera(book, gap(0.3, place="noon"))
    keep_notes(book, NotesFile(model="Otter", cameras=(observe(other), far_off(0.31))))
    (told,) = told_elsewhere(book, mine, [gap(0.3, place="noon")])
    assert "on 2 cameras" in told


def far_off(value):
    """Return a camera of another book."""
    reading = gap(value, place="noon")
    seen = ReadingSeen(quantity=reading.quantity, place=reading.place, reading=reading.reading)
    return CameraSeen(camera="ab" * 32, model="Otter", readings=(seen,))


def test_another_reading_is_told_of_as_soon_as_it_is_written(book, mine):
    assert told_elsewhere(book, mine, [gap(0.3, place="noon")]) == ()
    other = camera(book, gap(0.3, place="noon"))
    assert "one camera" in told_elsewhere(book, mine, [gap(0.3, place="noon")])[0]
    book.write(other.id, [Struck(entry=other.readings[0].entry)])
    assert told_elsewhere(book, mine, [gap(0.3, place="noon")]) == ()


def test_what_comes_off_next_is_told_until_parts_go_back(book, mine):
    fresh = open_job(book, camera=Camera(model="Otter"))
    assert [part.part for part in coming(book, fresh)] == ["plate"]
    assert coming(book, mine) == ()
