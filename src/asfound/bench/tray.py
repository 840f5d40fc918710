"""Where everything of a job is, now or at an earlier moment."""

from uuid import UUID

from asfound.book import Book
from asfound.job import Job, fold, key
from asfound.problems import NotFoundError, Problem
from asfound.teardown import Ledger, TrayMap, ledger, tray_map


def ledger_of(job: Job) -> Ledger:
    """Return where every part and fastener of a job is."""
    away = {key(waiting.part): waiting.why for waiting in job.waiting}
    waiting = {step.id: away[key(step.part)] for step in job.steps if key(step.part) in away}
    gone = {key(part.name) for part in job.parts.values() if part.condition.startswith("lost")}
    return ledger(job.steps, waiting=waiting, lost=frozenset(s.id for s in job.steps if key(s.part) in gone))


def ledger_at(book: Book, job_id: UUID, number: int) -> Ledger:
    """Return where everything was after the entry of this number.

    Raises
    ------
    NotFoundError
        If the job has no such entry.
    """
    entries = book.entries(job_id)
    if not 1 <= number <= len(entries):
        raise NotFoundError(Problem("entry", f"there is no entry {number}", f"use 1 to {len(entries)}"))
    return ledger_of(fold(entries[:number]))


def tray_of(job: Job) -> TrayMap:
    """Return the map of a job's tray."""
    return tray_map(ledger_of(job))
