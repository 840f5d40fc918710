"""A book made again from its backup."""

from pathlib import Path

from asfound.book.archive import attachment_in, opened
from asfound.book.backup import SORT, Backup, beside, jobs_in, verify
from asfound.book.failures import told_plainly
from asfound.book.location import Location
from asfound.book.store import Book
from asfound.book.writing import make_folder, write_whole
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
    with Book.open(location) as book, opened(path, SORT) as archive:
        if book.jobs(limit=1):
            remedy = "name an empty folder with --book"
            raise ConflictError(Problem(str(location), "there is a book already", remedy))
        files = {location.folder / name: beside(archive, backup, name) for name, _ in backup.files}
        for target, content in files.items():
            if target.exists() and target.read_bytes() != content:
                raise ConflictError(Problem(str(target), "is there already", "name an empty folder with --book"))
        for sha256 in backup.attachments:
            with attachment_in(archive, sha256) as file:
                book.attach(file, name=sha256, media_type="application/octet-stream")
        with told_plainly(location.folder):
            for target, content in files.items():
                make_folder(target.parent)
                write_whole(target, content)
        book.merge_all(jobs_in(archive), excused=backup.missing)
    return backup
