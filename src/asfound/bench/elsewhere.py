"""What other cameras of a job's model told, at hand while the job goes on."""

import functools
from collections.abc import Iterable
from uuid import UUID

from asfound.bench.notes import kept_file, notes_on
from asfound.book import Book
from asfound.job import Job, key
from asfound.job.bodies import AnyBody, ReadingTaken
from asfound.job.notes import PartNote, ServiceNotes, next_parts
from asfound.job.observed_readings import note_of, outside
from asfound.problems import NotFoundError


def elsewhere(book: Book, job: Job) -> ServiceNotes | None:
    """Return the notes of the other cameras of a job's model; None where there are none.

    They are worked out from what the book keeps of each camera, and again only when another job on the model was
    touched or a file of notes was taken in.
    """
    touched = book.last_touched(model=job.camera.model, without=job.id)
    kept = kept_file(book, job.camera.model)
    taken_in = kept.stat().st_mtime_ns if kept.exists() else 0
    return _notes(book, job.id.int, key(job.camera.model), (touched, taken_in))


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
    readings = [body for body in bodies if isinstance(body, ReadingTaken)]
    notes = elsewhere(book, job) if readings else None
    if notes is None:
        return ()
    said = []
    for body in readings:
        subject = {"quantity": body.quantity, "place": body.place, "stage": body.stage, "reading": body.reading}
        warning = outside(notes.readings, **subject)  # type: ignore[arg-type]
        note = note_of(notes.readings, **subject)  # type: ignore[arg-type]
        said.append(f"look again: {warning}" if warning else f"elsewhere: {note}" if note is not None else "")
    return tuple(line for line in said if line)
