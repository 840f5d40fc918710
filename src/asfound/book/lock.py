"""One server to a SQLite book."""

import contextlib
from collections.abc import Iterator

from filelock import FileLock, Timeout

from asfound.book.failures import told_plainly
from asfound.book.location import Location
from asfound.problems import ConflictError, Problem


@contextlib.contextmanager
def server_lock(location: Location) -> Iterator[None]:
    """Hold the server's place at the book while the block runs; the system frees it if the program dies.

    Several servers may share a book on PostgreSQL; commands may write to either while a server runs.

    Raises
    ------
    ConflictError
        If another server has this book open.
    """
    if not location.is_file:
        yield
        return
    with told_plainly(location):
        location.folder.mkdir(parents=True, exist_ok=True)
        lock = FileLock(location.folder / "server.lock", timeout=0)
        try:
            lock.acquire()
        except Timeout as error:
            what = "another server has this book open already"
            remedy = "use that one, stop it first, or name another book with --book"
            raise ConflictError(Problem(str(location), what, remedy)) from error
    try:
        yield
    finally:
        lock.release()
