"""One job to and from another bench as a file."""

import re
import shutil
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import IO
from uuid import UUID

from asfound.bench.jobs import load_job
from asfound.book import Book, TakenIn, take_in, write_bundle
from asfound.book.failures import told_plainly
from asfound.problems import ConflictError


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrived:
    """What came of taking in a bundle, in words.

    Attributes
    ----------
    job : UUID
    ticket : str
        The job's number; another job of this book may bear it too.
    said : tuple of str
        What was new, and what is to be known of it.
    """

    job: UUID
    ticket: str
    said: tuple[str, ...]


def bundle_name(book: Book, job_id: UUID) -> str:
    """Return the name under which a job's bundle is handed out."""
    ticket = re.sub(r"[^A-Za-z0-9]+", "-", load_job(book, job_id).ticket).strip("-") or "job"
    return f"job-{ticket[:60]}.bundle.zip"


def bundle_job(book: Book, job_id: UUID, folder: Path) -> Path:
    """Write a job's bundle into a folder under its usual name; return the file."""
    path = folder / bundle_name(book, job_id)
    write_bundle(book, job_id, path)
    return path


def take_in_file(book: Book, path: Path) -> Arrived:
    """Take in a bundle; what was known already changes nothing.

    Raises
    ------
    BadInputError, ConflictError, StorageError
        Nothing was taken in.
    """
    return _arrived(book, take_in(book, path))


def take_in_upload(book: Book, source: IO[bytes]) -> Arrived:
    """Take in a bundle that comes as a stream.

    Raises
    ------
    BadInputError, ConflictError, StorageError
        Nothing was taken in.
    """
    with told_plainly("the bundle"), tempfile.TemporaryDirectory(prefix="asfound-") as folder:
        path = Path(folder) / "bundle"
        with path.open("wb") as file:
            shutil.copyfileobj(source, file, 1 << 20)
        return take_in_file(book, path)


def _arrived(book: Book, done: TakenIn) -> Arrived:
    job = load_job(book, done.bundle.job)
    new, known = len(done.merged.added), done.merged.known
    said = [f"{_counted(new, 'new entry', 'new entries')}, {known} known already" if new else "nothing in it is new"]
    if done.new_attachments:
        said.append(_counted(done.new_attachments, "new attachment", "new attachments"))
    if done.bundle.missing:
        said.append(f"{_counted(len(done.bundle.missing), 'attachment', 'attachments')} missing where it was made")
    try:
        book.resolve(job.ticket)
    except ConflictError:
        said.append(f"another job is {job.ticket} here too: name this one by its id, {job.id}")
    return Arrived(job=job.id, ticket=job.ticket, said=tuple(said))


def _counted(number: int, one: str, more: str) -> str:
    return f"{number} {one if number == 1 else more}"
