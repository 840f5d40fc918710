"""Ticks, strikes, undo, and pins on photographs: small entries about earlier ones."""

from uuid import UUID

from asfound.book import Book
from asfound.job import Entry
from asfound.job.bodies import Annotation, Opened, Pin, Restored, Struck, Tick
from asfound.job.pinning import PinNow
from asfound.problems import ConflictError, NotFoundError, Problem


def tick(book: Book, job_id: UUID, step_id: UUID, *, done: bool) -> Entry:
    """Tick a step of the way back off, or take the tick back."""
    job = book.job(job_id)
    if all(step.id != step_id for step in job.steps):
        raise NotFoundError(Problem("way back", "there is no such step in this job", "look at the way back again"))
    return book.write(job_id, [Tick(step=step_id, done=done)])[0]


def strike(book: Book, job_id: UUID, entry_id: UUID, *, reason: str = "") -> Entry:
    """Strike an entry through; it stays to be seen and can be restored."""
    entry = _find(book, job_id, entry_id)
    if isinstance(entry.body, Opened):
        problem = Problem("strike", "the opening of a job cannot be struck", "hand the job over instead")
        raise ConflictError(problem)
    return book.write(job_id, [Struck(entry=entry_id, reason=reason)])[0]


def restore(book: Book, job_id: UUID, entry_id: UUID) -> Entry:
    """Let a struck entry count again."""
    _find(book, job_id, entry_id)
    return book.write(job_id, [Restored(entry=entry_id)])[0]


def undo(book: Book, job_id: UUID) -> Entry | None:
    """Strike the latest entry that counts; None where only the opening is left.

    The latest entry may itself be a restoring: undoing goes on to the latest one that counts.
    """
    job = book.job(job_id)
    latest = next((e for e in reversed(job.live) if not isinstance(e.body, Opened)), None)
    return None if latest is None else strike(book, job_id, latest.id, reason="undo")


def _find(book: Book, job_id: UUID, entry_id: UUID) -> Entry:
    entry = next((e for e in book.job(job_id).entries if e.id == entry_id), None)
    if entry is None:
        raise NotFoundError(Problem("entry", "there is no such entry in this job", "look at the job's page again"))
    return entry


def add_pin(book: Book, job_id: UUID, photo: UUID, pin: Pin) -> Entry:
    """Set a pin, or an arrow, on a photograph of the job.

    Raises
    ------
    NotFoundError
        If there is no such photograph, or the pin's step is none of this job.
    """
    _check_pin(book, job_id, photo, pin)
    return book.write(job_id, [Annotation(photo=photo, pins=(pin,))])[0]


def change_pin(book: Book, job_id: UUID, pin_id: UUID, pin: Pin) -> Entry:
    """Move a pin, or say anew what it points at; it keeps its number.

    Raises
    ------
    NotFoundError
        If there is no such pin, or the step named is none of this job.
    """
    now = find_pin(book, job_id, pin_id)
    _check_pin(book, job_id, now.photo, pin)
    return book.write(job_id, [Annotation(photo=now.photo, pins=(pin,), instead_of=pin_id)])[0]


def find_pin(book: Book, job_id: UUID, pin_id: UUID) -> PinNow:
    """Return a pin as it stands.

    Raises
    ------
    NotFoundError
    """
    now = next((one for one in book.job(job_id).pins if one.id == pin_id), None)
    if now is None:
        raise NotFoundError(Problem("pin", "it is not on a photograph of this job any more", "load the page anew"))
    return now


def _check_pin(book: Book, job_id: UUID, photo: UUID, pin: Pin) -> None:
    job = book.job(job_id)
    if all(id_ != photo for id_, _ in job.photos):
        raise NotFoundError(Problem("photograph", "it is not in this job", "look at the job's page again"))
    if pin.step is not None and all(step.id != pin.step for step in job.steps):
        raise NotFoundError(Problem("step", "there is no such step in this job", "choose one from the list"))
