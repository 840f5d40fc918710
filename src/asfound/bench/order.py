"""The order of the way back taken, and what freed a step said later."""

import difflib
from collections.abc import Iterable, Sequence
from dataclasses import replace
from uuid import UUID

from asfound.bench.jobs import load_job
from asfound.book import Book
from asfound.job import Entry, Job, key, offer_of, order_taken, way_back_of
from asfound.job.bodies import AnyBody, OrderTaken, ProofLater, StepFreed
from asfound.job.proofs_placed import checks_of
from asfound.problems import BadInputError, ConflictError, NotFoundError, Problem
from asfound.teardown import freed_by


def take_order(book: Book, job_id: UUID) -> Job:
    """Take the better order that is offered, and return the job; from then on it is the one shown.

    Raises
    ------
    ConflictError
        If nothing better than the order shown was found.
    """
    job = load_job(book, job_id)
    offer = offer_of(job)
    if not offer.better:
        problem = Problem("way back", "no order better than the one shown was found", "go on as shown")
        raise ConflictError(problem)
    done = [step.id for step in job.steps if step.back]
    book.write(job_id, [OrderTaken(steps=(*done, *(step.id for step in offer.order)))])
    return load_job(book, job_id)


def keep_order(book: Book, job_id: UUID) -> None:
    """Write down the order that somebody begins to work by, unless one is; it is held whatever is taken off later."""
    job = load_job(book, job_id)
    if not order_taken(job):
        book.write(job_id, [OrderTaken(steps=tuple(back.step.id for back in way_back_of(job).steps))])


def put_off(book: Book, job_id: UUID, what: str) -> Entry:
    """Leave a check of the way back for later; the handover asks for it until it was made.

    Raises
    ------
    NotFoundError
        If the way back has no such check that is still to be made.
    """
    job = load_job(book, job_id)
    missing = {key(check.what): check.what for check in checks_of(job) if check.missing}
    if key(what) not in missing:
        near = difflib.get_close_matches(key(what), missing, n=1, cutoff=0.5)
        remedy = f"did you mean {missing[near[0]]!r}?" if near else "look at the way back again"
        raise NotFoundError(Problem("check", f"the way back does not ask for {what[:60]!r}", remedy))
    return book.write(job_id, [ProofLater(what=missing[key(what)])])[0]


def loosen(book: Book, job_id: UUID, step: UUID, from_step: UUID) -> Entry:
    """Say that one step did not free another, while the rest of the order before it stays assumed.

    Raises
    ------
    NotFoundError
        If a step is none of this job's.
    ConflictError
        If it is not assumed any more that one freed the other.
    """
    job = load_job(book, job_id)
    found = next((s for s in job.steps if s.id == step), None)
    if found is None or all(s.id != from_step for s in job.steps):
        raise NotFoundError(Problem("freed by", "there is no such step in this job", "look at the steps again"))
    if not found.assumed or from_step not in freed_by(job.steps)[0][step]:
        what = f"{found.part} is not assumed to be freed by that step"
        raise ConflictError(Problem("freed by", what, "look at the steps again"))
    return book.write(job_id, [StepFreed(step=step, not_by=(from_step,))])[0]


def order_problems(job: Job, bodies: Iterable[AnyBody]) -> tuple[Problem, ...]:
    """Return what is wrong with what lines say of the order: a step freed by a later one, an order that cannot be."""
    problems: list[Problem] = []
    for body in bodies:
        if isinstance(body, StepFreed):
            problems += freeing_problems(job, body.step, body.freed_by)
        elif isinstance(body, OrderTaken):
            problems += _impossible(job, body.steps)
    return tuple(problems)


def freeing_problems(job: Job, step: UUID, by: Iterable[UUID] | None) -> list[Problem]:
    """Return why a step cannot have been freed by these; a circle is named step by step."""
    said = [replace(s, freed_by=None if by is None else frozenset(by)) if s.id == step else s for s in job.steps]
    return [problem for problem in freed_by(said)[1] if problem.where == f"step {_number(job, step)}"]


def _impossible(job: Job, order: Sequence[UUID]) -> list[Problem]:
    """Return what stands in the way of an order back: a step named twice, or laid in too early."""
    numbers = {s.id: f"{s.number} {s.part}" for s in job.steps}
    twice = [id_ for n, id_ in enumerate(order) if id_ in order[:n]]
    if twice:
        name = numbers.get(twice[0], "a step")
        return [Problem("way back", f"{name} would be put back twice", "name each step once")]
    place = {id_: n for n, id_ in enumerate(order)}
    for step, before in freed_by(job.steps)[0].items():
        early = [id_ for id_ in before if id_ in place and step in place and place[id_] < place[step]]
        if early:
            what = f"{numbers[early[0]]} freed {numbers[step]}: it cannot go back first"
            return [Problem("way back", what, "change the order, or say what freed what")]
    return []


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
    problems = freeing_problems(job, step, named)
    if problems:
        raise BadInputError(*problems)
    return book.write(job_id, [StepFreed(step=step, freed_by=tuple(sorted(named)))])[0]


def _number(job: Job, step: UUID) -> str:
    return next(s.number for s in job.steps if s.id == step)
