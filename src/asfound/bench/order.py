"""The order of the way back taken, and what freed a step said later."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from uuid import UUID

from asfound.bench.jobs import load_job
from asfound.book import Book
from asfound.job import Entry, Job, offer_of, way_back_of
from asfound.job.bodies import OrderTaken, StepFreed
from asfound.problems import BadInputError, ConflictError, NotFoundError, Problem
from asfound.teardown import freed_by


def take_order(book: Book, job_id: UUID, *, shown: Sequence[UUID] = ()) -> Job:
    """Take the better order that is offered, and return the job; from then on it is the one shown.

    Parameters
    ----------
    shown : sequence of UUID
        The order that it is held against, where that is not the book's own.

    Raises
    ------
    ConflictError
        If nothing better than the order shown was found.
    """
    job = load_job(book, job_id)
    offer = offer_of(job, shown=shown)
    if not offer.better:
        problem = Problem("way back", "no order better than the one shown was found", "go on as shown")
        raise ConflictError(problem)
    done = [step.id for step in job.steps if step.back]
    book.write(job_id, [OrderTaken(steps=(*done, *(step.id for step in offer.order)))])
    return load_job(book, job_id)


def keep_order(book: Book, job_id: UUID, shown: Sequence[UUID]) -> None:
    """Write down the order that somebody works by, where the book would show another."""
    job = load_job(book, job_id)
    held = [back.step.id for back in way_back_of(job, shown=shown).steps]
    if held != [back.step.id for back in way_back_of(job).steps]:
        book.write(job_id, [OrderTaken(steps=tuple(held))])


def say_freed(book: Book, job_id: UUID, step: UUID, by: Iterable[UUID]) -> Entry:
    """Say what freed a step that was recorded earlier; nothing stands for: it was free.

    Raises
    ------
    NotFoundError
        If a step is none of this job's.
    BadInputError
        If it is said to be freed by a step that did not come before it.
    """
    job = load_job(book, job_id)
    named = frozenset(by)
    known = {s.id for s in job.steps}
    if not {step, *named} <= known:
        raise NotFoundError(Problem("freed by", "there is no such step in this job", "look at the steps again"))
    said = [replace(s, freed_by=named) if s.id == step else s for s in job.steps]
    problems = [problem for problem in freed_by(said)[1] if problem.where == f"step {_number(job, step)}"]
    if problems:
        raise BadInputError(*problems)
    return book.write(job_id, [StepFreed(step=step, freed_by=tuple(sorted(named)))])[0]


def _number(job: Job, step: UUID) -> str:
    return next(s.number for s in job.steps if s.id == step)
