"""A line typed at the bench, written down."""

from dataclasses import dataclass
from uuid import UUID

from asfound.bench.jobs import load_job
from asfound.book import Book
from asfound.job import Entry, Job
from asfound.job.line import Understood, parse_line
from asfound.job.remembering import memory_of
from asfound.problems import BadInputError


@dataclass(frozen=True, slots=True)
class Written:
    """What was written, and how the line was understood."""

    entries: tuple[Entry, ...]
    understood: Understood


def preview_line(job: Job, text: str) -> Understood:
    """Return how a line would be understood now; nothing is written."""
    return parse_line(text, memory_of(job))


def write_line(book: Book, job_id: UUID, text: str, *, as_note: bool = False) -> Written:
    """Write a line down; with `as_note`, also one that could not be understood, as free text.

    Raises
    ------
    BadInputError
        If the line has problems and is not to be kept as a note; nothing is written.
    """
    understood = preview_line(load_job(book, job_id), text)
    if not understood.bodies or (understood.problems and not as_note):
        raise BadInputError(*understood.problems)
    return Written(book.write(job_id, understood.bodies), understood)
