"""The whole book in one zip file, alike for either database: verified as it is written and as it is read.

`entries.txt` holds an entry a line, its hash before it, job by job; `attachments/` the files by their hash; `files/`
what lies beside the book, the drawer of springs and service notes taken in; `backup.json` says how many of each there
must be. Entries are one state of the book, also while others write; attachments are never changed, so that those of
that state are there.
"""

import contextlib
import errno
import hashlib
import io
import json
import re
import secrets
import struct
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from itertools import groupby
from pathlib import Path
from shutil import copyfileobj
from typing import IO
from uuid import UUID

from pydantic import TypeAdapter, ValidationError
from sqlalchemy.engine import Connection

from asfound.book.appending import Stored, job_ids, parsed, stored_of
from asfound.book.attachments import BLOCK, attachment_path, cited, file_hash, stream_hash, sync_file, sync_folder
from asfound.book.failures import told_plainly
from asfound.job import entry_hash
from asfound.problems import AsfoundError, BadInputError, ConflictError, Problem

FORMAT = 1
LONGEST_LINE = 8 << 20
# What the zip reader raises on bytes that make no sense; RuntimeError is "encrypted".
_ZIP_NONSENSE = (zipfile.BadZipFile, zlib.error, struct.error, EOFError, RuntimeError, ValueError, OverflowError)
_BESIDE = re.compile(r"drawer\.csv|notes/[A-Za-z0-9][A-Za-z0-9._-]{0,200}")
_ATTACHMENT = re.compile(r"attachments/([0-9a-f]{64})")


@dataclass(frozen=True, slots=True, kw_only=True)
class Backup:
    """What a backup holds.

    Attributes
    ----------
    made_ms : int
        Wall clock when it was made, milliseconds since 1970 UTC.
    jobs, entries : int
        How many.
    attachments : tuple of str
        Hashes of those in it.
    missing : tuple of str
        Hashes of those that were damaged or missing in the book already.
    entries_sha256 : str
        Hash of all entries as they stand in the file.
    files : tuple of (str, str)
        What lies beside the book, by name, with its hash.
    """

    format: int = FORMAT
    made_ms: int
    jobs: int
    entries: int
    attachments: tuple[str, ...]
    missing: tuple[str, ...]
    entries_sha256: str
    files: tuple[tuple[str, str], ...] = ()


def write_backup(connection: Connection, *, folder: Path, attachments: Path, path: Path, made_ms: int) -> Backup:
    """Write a backup to `path`, verify it, and only then give it its name.

    Raises
    ------
    ConflictError
        If `path` is there already.
    StorageError
        If the disk refuses.
    """
    if path.exists():
        raise ConflictError(Problem(str(path), "is there already", "name another file for the backup"))
    part = path.with_name(f".{path.name}.{secrets.token_hex(4)}.part")
    with told_plainly(path.parent):
        try:
            with zipfile.ZipFile(part, "x") as archive:
                backup = _fill(archive, connection, folder, attachments, made_ms)
            sync_file(part)
            verify(part)
            part.replace(path)
            sync_folder(path.parent)
        finally:
            part.unlink(missing_ok=True)
    return backup


def verify(path: Path) -> Backup:
    """Read a whole backup and hold every hash in it to what it covers.

    Raises
    ------
    BadInputError
        If anything is damaged or missing; the first such thing is named.
    """
    with opened(path) as archive:
        backup = read_summary(archive, path)
        digest, entries, jobs = hashlib.sha256(), 0, set[UUID]()
        for stored in _entries(archive, path):
            digest.update(_line(stored))
            jobs.add(parsed(stored.content).job)
            entries += 1
        if (entries, len(jobs), digest.hexdigest()) != (backup.entries, backup.jobs, backup.entries_sha256):
            raise _damaged(path, "entries are missing or out of order")
        for sha256 in backup.attachments:
            with attachment(archive, path, sha256) as file:
                if stream_hash(file) != sha256:
                    raise _damaged(path, f"attachment {sha256[:12]}… is damaged")
        for name, _ in backup.files:
            beside(archive, path, backup, name)
    return backup


@contextlib.contextmanager
def opened(path: Path) -> Iterator[zipfile.ZipFile]:
    """Open a backup; whatever is wrong inside the block with the zip file is told plainly."""
    with told_plainly(path):
        if not path.is_file():
            raise BadInputError(Problem(str(path), "there is no such file", "name a file made by asfound book backup"))
        try:
            with zipfile.ZipFile(path) as archive:
                yield archive
        except _ZIP_NONSENSE as error:
            raise _damaged(path, str(error) or type(error).__name__) from error
        except OSError as error:
            if error.errno not in (None, errno.EINVAL):
                raise
            # A place in the file that cannot be, led to by a damaged table of contents.
            raise _damaged(path, "its table of contents is damaged") from error


def read_summary(archive: zipfile.ZipFile, path: Path) -> Backup:
    """Return what a backup says that it holds."""
    try:
        raw = archive.read("backup.json")
        said = json.loads(raw)
        if said["format"] > FORMAT:
            what = f"the backup has format {said['format']}, this program knows {FORMAT}"
            raise BadInputError(Problem(str(path), what, "restore it with a newer asfound"))
        return TypeAdapter(Backup).validate_json(raw)
    except (KeyError, TypeError, ValueError, ValidationError) as error:
        remedy = "name a file made by asfound book backup"
        raise BadInputError(Problem(str(path), "is no backup of a bench book", remedy)) from error


def jobs_in(archive: zipfile.ZipFile, path: Path) -> Iterator[list[Stored]]:
    """Return the entries of a backup, a job at a time."""
    for _, entries in groupby(_entries(archive, path), key=lambda stored: parsed(stored.content).job):
        yield list(entries)


def attachment(archive: zipfile.ZipFile, path: Path, sha256: str) -> IO[bytes]:
    """Return an attachment of a backup, open to be read."""
    name = f"attachments/{sha256}"
    if not _ATTACHMENT.fullmatch(name):
        raise _damaged(path, f"{sha256[:80]!r} is no SHA-256")
    try:
        return archive.open(name)
    except KeyError as error:
        raise _damaged(path, f"attachment {sha256[:12]}… is missing") from error


def beside(archive: zipfile.ZipFile, path: Path, backup: Backup, name: str) -> bytes:
    """Return a file of a backup that lay beside the book, whole."""
    if not _BESIDE.fullmatch(name):
        raise _damaged(path, f"{name[:80]!r} is no file of a book")
    try:
        content = archive.read(f"files/{name}")
    except KeyError as error:
        raise _damaged(path, f"{name} is missing") from error
    if hashlib.sha256(content).hexdigest() != dict(backup.files)[name]:
        raise _damaged(path, f"{name} is damaged")
    return content


def _add_files(archive: zipfile.ZipFile, folder: Path) -> tuple[tuple[str, str], ...]:
    """Put in what lies beside the book, and return names and hashes."""
    names = (file.relative_to(folder).as_posix() for file in (folder / "drawer.csv", *folder.glob("notes/*")))
    kept = []
    for name in sorted(name for name in names if _BESIDE.fullmatch(name) and (folder / name).is_file()):
        content = (folder / name).read_bytes()
        archive.writestr(f"files/{name}", content, zipfile.ZIP_DEFLATED)
        kept.append((name, hashlib.sha256(content).hexdigest()))
    return tuple(kept)


def _fill(archive: zipfile.ZipFile, connection: Connection, folder: Path, attachments: Path, made_ms: int) -> Backup:
    digest, entries, jobs = hashlib.sha256(), 0, job_ids(connection)
    wanted: dict[str, None] = {}
    how = zipfile.ZipInfo("entries.txt")
    how.compress_type = zipfile.ZIP_DEFLATED
    with archive.open(how, "w", force_zip64=True) as file:
        for job in jobs:
            for stored in stored_of(connection, job):
                line = _line(stored)
                digest.update(line)
                file.write(line)
                entries += 1
                wanted.update({item.sha256: None for item in cited(parsed(stored.content).body)})
    kept = {sha256: _add_attachment(archive, attachments, sha256) for sha256 in sorted(wanted)}
    backup = Backup(
        made_ms=made_ms,
        jobs=len(jobs),
        entries=entries,
        attachments=tuple(sha256 for sha256, there in kept.items() if there),
        missing=tuple(sha256 for sha256, there in kept.items() if not there),
        entries_sha256=digest.hexdigest(),
        files=_add_files(archive, folder),
    )
    archive.writestr("backup.json", json.dumps(asdict(backup), indent=1))
    return backup


def _add_attachment(archive: zipfile.ZipFile, folder: Path, sha256: str) -> bool:
    source = attachment_path(folder, sha256)
    try:
        if file_hash(source) != sha256:
            return False
    except OSError:
        return False
    # Photographs and recordings hardly shrink; stored as they are they can be read by any program.
    with source.open("rb") as read, archive.open(f"attachments/{sha256}", "w", force_zip64=True) as write:
        copyfileobj(read, write, BLOCK)
    return True


def _line(stored: Stored) -> bytes:
    # Canonical JSON holds no line break of its own.
    return stored.hash.encode() + b" " + stored.content + b"\n"


def _entries(archive: zipfile.ZipFile, path: Path) -> Iterator[Stored]:
    try:
        file = io.BufferedReader(archive.open("entries.txt"), BLOCK)  # type: ignore[type-var]
    except KeyError as error:
        raise _damaged(path, "its entries are missing") from error
    with file:
        lines = iter(lambda: file.readline(LONGEST_LINE), b"")
        for number, line in enumerate(lines, start=1):
            yield _stored(line, path, number)


def _stored(line: bytes, path: Path, number: int) -> Stored:
    hash_, _, content = line.rstrip(b"\n").partition(b" ")
    stored = Stored(hash_.decode("ascii", "replace"), content)
    if entry_hash(content) != stored.hash:
        raise _damaged(path, f"entry {number} is not as it was written")
    try:
        parsed(content)
    except AsfoundError as error:
        raise _damaged(path, f"entry {number}: {error.problems[0].what}") from error
    return stored


def _damaged(path: Path, what: str) -> BadInputError:
    return BadInputError(Problem(str(path), what, "take an older backup; nothing was restored from this one"))
