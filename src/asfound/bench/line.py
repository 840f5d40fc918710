"""A line typed at the bench, written down."""

from dataclasses import dataclass, replace
from uuid import UUID

from asfound.bench.elsewhere import told_elsewhere
from asfound.bench.jobs import load_job
from asfound.bench.order import order_problems
from asfound.book import Book
from asfound.job import Entry, Job
from asfound.job.bodies import Note
from asfound.job.conditions import warnings_said
from asfound.job.line import Understood, describe, parse_line
from asfound.job.put_back import not_so
from asfound.job.remembering import memory_of
from asfound.problems import BadInputError


@dataclass(frozen=True, slots=True)
class Written:
    """What was written, and how the line was understood."""

    entries: tuple[Entry, ...]
    understood: Understood


def preview_line(job: Job, text: str, *, book: Book | None = None) -> Understood:
    """Return how a line would be understood now; nothing is written.

    With the book, readings are held against what other cameras of the model had.
    """
    understood = parse_line(text, memory_of(job))
    if understood.as_note or understood.problems:
        return understood
    problems = order_problems(job, understood.bodies)
    if problems:
        note = Note(text=text)
        return Understood((note,), describe(note), problems, as_note=True)
    told = told_elsewhere(book, job, understood.bodies) if book is not None else ()
    hints = understood.hints or not_so(job, understood.bodies)
    return replace(understood, hints=(*hints, *warnings_said(understood.bodies), *told))


def write_line(book: Book, job_id: UUID, text: str, *, as_note: bool = False) -> Written:
    """Write a line down; with `as_note`, also one that could not be understood, as free text.

    Raises
    ------
    BadInputError
        If the line has problems and is not to be kept as a note; nothing is written.
    """
    understood = preview_line(load_job(book, job_id), text, book=book)
    if not understood.bodies or (understood.problems and not as_note):
        raise BadInputError(*understood.problems)
    return Written(book.write(job_id, understood.bodies), understood)
