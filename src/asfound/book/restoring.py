"""A book made again from its backup."""

from pathlib import Path

from asfound.book.backup import Backup, attachment, beside, jobs_in, opened, verify
from asfound.book.failures import told_plainly
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
        If a book with jobs in it is there already, or another drawer or other service notes.
    """
    backup = verify(path)
    with Book.open(location) as book, opened(path) as archive:
        if book.jobs(limit=1):
            remedy = "name an empty folder with --book"
            raise ConflictError(Problem(str(location), "there is a book already", remedy))
        files = {location.folder / name: beside(archive, path, backup, name) for name, _ in backup.files}
        for target, content in files.items():
            if target.exists() and target.read_bytes() != content:
                raise ConflictError(Problem(str(target), "is there already", "name an empty folder with --book"))
        for sha256 in backup.attachments:
            with attachment(archive, path, sha256) as file:
                book.attach(file, name=sha256, media_type="application/octet-stream")
        with told_plainly(location.folder):
            for target, content in files.items():
                target.parent.mkdir(parents=True, exist_ok=True)
                target.write_bytes(content)
        book.merge_all(jobs_in(archive, path), excused=backup.missing)
    return backup
