"""A book made again from its backup."""

from pathlib import Path

from asfound.book.backup import Backup, attachment, jobs_in, opened, verify
from asfound.book.location import Location
from asfound.book.store import Book
from asfound.problems import ConflictError, Problem


def restore(path: Path, location: Location) -> Backup:
    """Make the book in a backup again at `location`, all of it or nothing.

    The bench goes on under a new name, so that entries written after the backup was made may still be merged.

    Raises
    ------
    BadInputError
        If the backup is damaged.
    ConflictError
        If a book with jobs in it is there already.
    """
    backup = verify(path)
    with Book.open(location) as book, opened(path) as archive:
        if book.jobs(limit=1):
            remedy = "name an empty folder with --book"
            raise ConflictError(Problem(str(location), "there is a book already", remedy))
        for sha256 in backup.attachments:
            with attachment(archive, path, sha256) as file:
                book.attach(file, name=sha256, media_type="application/octet-stream")
        book.merge_all(jobs_in(archive, path), excused=backup.missing)
    return backup
