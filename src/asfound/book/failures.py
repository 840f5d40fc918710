"""A refusal of disk or database, in words that say what to do."""

import contextlib
import errno
import os
import tempfile
from collections.abc import Iterator
from pathlib import Path

from sqlalchemy.exc import DBAPIError, IntegrityError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from asfound.problems import ConflictError, Problem, StorageError

FULL = ("the disk is full; nothing of this was written", "make room on the disk, then do it again")
READ_ONLY = ("the book may not be written to", "give yourself the right to write there, or name another book")
BUSY = ("another program kept the book busy for too long", "wait a moment, then do it again")
DAMAGED = ("the book's file is damaged", "restore the last backup: asfound book restore BACKUP FOLDER")
UNREACHABLE = ("the book cannot be reached", "check that the folder or the database server is there")
DISK = ("the disk reported an error", "check the disk, then run: asfound book check")

_PROBE_BYTES = 1 << 16

# By the name of SQLite's own result code, and by SQLSTATE for PostgreSQL (its first two or five characters).
_SQLITE = {
    "SQLITE_FULL": FULL,
    "SQLITE_READONLY": READ_ONLY,
    "SQLITE_PERM": READ_ONLY,
    "SQLITE_BUSY": BUSY,
    "SQLITE_LOCKED": BUSY,
    "SQLITE_CORRUPT": DAMAGED,
    "SQLITE_NOTADB": DAMAGED,
    "SQLITE_CANTOPEN": UNREACHABLE,
    "SQLITE_IOERR": DISK,
}
_POSTGRESQL = {"53100": FULL, "53": BUSY, "25006": READ_ONLY, "42501": READ_ONLY, "55P03": BUSY, "58": DISK}
_OS = {
    errno.ENOSPC: FULL,
    errno.EDQUOT: FULL,
    errno.EFBIG: FULL,
    errno.EROFS: READ_ONLY,
    errno.EACCES: READ_ONLY,
    errno.EPERM: READ_ONLY,
    errno.EIO: DISK,
}


@contextlib.contextmanager
def told_plainly(where: object) -> Iterator[None]:
    """Turn an error of disk or database inside the block into a StorageError that names `where`."""
    try:
        yield
    except IntegrityError as error:
        what = "the book already holds something else in this place"
        raise ConflictError(Problem(str(where), what, "run: asfound book check")) from error
    except DBAPIError as error:
        raise StorageError(Problem(str(where), *_of_database(error, where))) from error
    except UnicodeDecodeError as error:
        # From the database's own driver: what should be text is not.
        raise StorageError(Problem(str(where), *DAMAGED)) from error
    except (PoolTimeout, TimeoutError) as error:
        raise StorageError(Problem(str(where), *BUSY)) from error
    except OSError as error:
        what, remedy = _OS.get(error.errno or 0, UNREACHABLE)
        detail = f"{what} ({error.strerror})" if error.strerror else what
        raise StorageError(Problem(str(where), detail, remedy)) from error


@contextlib.contextmanager
def lists_legible(name: str) -> Iterator[None]:
    """Turn nonsense read from a projection inside the block into a StorageError that says how to mend it."""
    try:
        yield
    except UnicodeDecodeError:
        raise
    except (KeyError, TypeError, ValueError) as error:
        raise StorageError(Problem(name, "something in it cannot be read", "run: asfound book rebuild")) from error


def _of_database(error: DBAPIError, where: object) -> tuple[str, str]:
    name = getattr(error.orig, "sqlite_errorname", None) or ""
    state = getattr(error.orig, "sqlstate", None) or ""
    for known, words in _SQLITE.items():
        if name.startswith(known):
            return _of_folder(where, otherwise=words) if words in (DISK, UNREACHABLE) else words
    for length in (5, 2):
        if state[:length] in _POSTGRESQL:
            return _POSTGRESQL[state[:length]]
    if not name and not state:
        return UNREACHABLE
    return f"the database refused ({name or state})", "run: asfound book check"


def _of_folder(where: object, *, otherwise: tuple[str, str]) -> tuple[str, str]:
    """Return what is wrong with the book's folder: SQLite says only that it could not open or write a file."""
    folder = getattr(where, "folder", None)
    if not isinstance(folder, Path):
        return otherwise
    try:
        with tempfile.TemporaryFile(dir=folder) as file:
            file.write(bytes(_PROBE_BYTES))
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        return _OS.get(error.errno or 0, otherwise)
    return otherwise
