"""What other cameras of a job's model told, at hand while the job goes on."""

import functools
from collections import defaultdict
from collections.abc import Iterable
from uuid import UUID

from asfound.bench.notes import kept_file, notes_on, taken_in
from asfound.book import Book
from asfound.job import Job, key
from asfound.job.bodies import AnyBody, ReadingTaken
from asfound.job.notes import PartNote, ServiceNotes, next_parts
from asfound.job.observed_readings import ReadingNote, note_of, outside, reading_notes
from asfound.job.observing import CameraSeen, ReadingSeen, camera_name
from asfound.problems import NotFoundError


def elsewhere(book: Book, job: Job) -> ServiceNotes | None:
    """Return the notes of the other cameras of a job's model; None where there are none.

    They are worked out from what the book keeps of each camera, and again only when another job on the model was
    touched or a file of notes was taken in.
    """
    touched = book.last_touched(model=job.camera.model, without=job.id)
    kept = kept_file(book, job.camera.model)
    changed = kept.stat().st_mtime_ns if kept.exists() else 0
    return _notes(book, job.id.int, key(job.camera.model), (touched, changed))


@functools.lru_cache(maxsize=32)
def _notes(book: Book, job_id: int, model: str, _stamp: tuple[int, int]) -> ServiceNotes | None:
    try:
        return notes_on(book, model, without=book.job(UUID(int=job_id)))
    except NotFoundError:
        return None


def coming(book: Book, job: Job) -> tuple[PartNote, ...]:
    """Return the parts that come off next, as the other cameras tell; nothing once parts go back."""
    notes = elsewhere(book, job)
    if notes is None or any(step.back for step in job.steps):
        return ()
    return next_parts(notes, [step.part for step in job.steps])


def told_elsewhere(book: Book, job: Job, bodies: Iterable[AnyBody]) -> tuple[str, ...]:
    """Return, for each reading, a warning where it lies outside what other cameras had, else what they had."""
    said = []
    for body in bodies:
        if isinstance(body, ReadingTaken):
            notes = _notes_of(book, job, body)
            subject = {"quantity": body.quantity, "place": body.place, "stage": body.stage, "reading": body.reading}
            warning = outside(notes, **subject)  # type: ignore[arg-type]
            note = note_of(notes, **subject)  # type: ignore[arg-type]
            said.append(f"look again: {warning}" if warning else f"elsewhere: {note}" if note is not None else "")
    return tuple(line for line in said if line)


def _notes_of(book: Book, job: Job, body: ReadingTaken) -> tuple[ReadingNote, ...]:
    """Return what other cameras of a job's model had of one quantity at one place; their other readings wait."""
    model = job.camera.model
    readings: dict[str, list[ReadingSeen]] = defaultdict(list)
    for other, seen in book.readings_seen(model=model, quantity=body.quantity, place=body.place, without=job.id):
        readings[camera_name(other)].append(seen)
    taken = taken_in(book, model)
    own = {camera_name(line.id) for line in book.jobs(model=model)} if taken else set()
    told = [CameraSeen(camera=name, model=model, readings=tuple(seen)) for name, seen in readings.items()]
    return reading_notes([*told, *(seen for seen in taken if seen.camera not in own)])
