"""The whole book in one zip file, alike for either database: verified as it is written and as it is read.

The entries stand in it job by job, the attachments by their hash; `files/` holds what lies beside the book, the drawer
of springs and service notes taken in; `backup.json` says how many of each there must be. Entries are one state of the
book, also while others write; attachments are never changed, so that those of that state are there. At the end stands
the hash of the whole file.
"""

import hashlib
import json
import re
import secrets
import zipfile
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from itertools import groupby
from pathlib import Path
from uuid import UUID

from pydantic import TypeAdapter, ValidationError
from sqlalchemy.engine import Connection

from asfound.book import archive as archives
from asfound.book.appending import Stored, job_ids, parsed, stored_of
from asfound.book.archive import Archive, Sort, entries_in, line_of
from asfound.book.attachments import cited
from asfound.book.failures import told_plainly
from asfound.book.writing import put_in_place, sync_file
from asfound.job.bodies import Opened
from asfound.problems import BadInputError, ConflictError, Problem

FORMAT = 1
SORT = Sort(
    called="backup of a bench book",
    made_by="asfound book backup",
    when_damaged="take an older backup; nothing was restored from this one",
    longest=1 << 30,
)
_BESIDE = re.compile(r"[a-z]{1,40}\.csv|notes/[A-Za-z0-9][A-Za-z0-9._-]{0,200}")


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
    sealed : bool
        Whether the file ends in the hash of the whole of it; older ones do not.
    """

    format: int = FORMAT
    made_ms: int
    jobs: int
    entries: int
    attachments: tuple[str, ...]
    missing: tuple[str, ...]
    entries_sha256: str
    files: tuple[tuple[str, str], ...] = ()
    sealed: bool = False


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
                archives.leave_room_for_seal(archive)
            archives.seal(part)
            sync_file(part)
            verify(part)
            put_in_place(part, path)
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
    with archives.opened(path, SORT) as archive:
        backup = read_summary(archive)
        owners = _verify_entries(archive, backup)
        for sha256 in backup.attachments:
            archives.hold_to_hash(archive, sha256, owners.get(sha256, f"attachment {sha256[:12]}…"))
        for name, _ in backup.files:
            beside(archive, backup, name)
        if backup.sealed and not archives.is_sealed(path):
            raise archive.damaged("it is not as it was written, though every entry and attachment in it is sound")
    return backup


def _verify_entries(archive: Archive, backup: Backup) -> dict[str, str]:
    """Hold all entries to the summary; return what each attachment is, by its hash."""
    digest, entries, tickets = hashlib.sha256(), 0, dict[UUID, str]()
    owners: dict[str, str] = {}
    for stored in entries_in(archive):
        digest.update(line_of(stored))
        entries += 1
        entry = parsed(stored.content)
        ticket = tickets.setdefault(entry.job, str(entry.job))
        if isinstance(entry.body, Opened):
            ticket = tickets[entry.job] = entry.body.ticket
        owners.update({item.sha256: f"job {ticket}: attachment {item.name}" for item in cited(entry.body)})
    if (entries, len(tickets), digest.hexdigest()) != (backup.entries, backup.jobs, backup.entries_sha256):
        raise archive.damaged("entries are missing or out of order")
    return owners


def read_summary(archive: Archive) -> Backup:
    """Return what a backup says that it holds."""
    raw = archives.summary_bytes(archive, "backup.json")
    try:
        said = json.loads(raw)
        if said["format"] > FORMAT:
            what = f"the backup has format {said['format']}, this program knows {FORMAT}"
            raise BadInputError(Problem(str(archive.path), what, "restore it with a newer asfound"))
        return TypeAdapter(Backup).validate_json(raw)
    except (KeyError, TypeError, ValueError, ValidationError, RecursionError) as error:
        raise archives.unknown(archive.path, SORT) from error


def jobs_in(archive: Archive) -> Iterator[list[Stored]]:
    """Return the entries of a backup, a job at a time."""
    for _, entries in groupby(entries_in(archive), key=lambda stored: parsed(stored.content).job):
        yield list(entries)


def beside(archive: Archive, backup: Backup, name: str) -> bytes:
    """Return a file of a backup that lay beside the book, whole."""
    if not _BESIDE.fullmatch(name):
        raise archive.damaged(f"{name[:80]!r} is no file of a book")
    try:
        content = archive.zip.read(f"files/{name}")
    except KeyError as error:
        raise archive.damaged(f"{name} is missing") from error
    if hashlib.sha256(content).hexdigest() != dict(backup.files)[name]:
        raise archive.damaged(f"{name} is damaged")
    return content


def _add_files(archive: zipfile.ZipFile, folder: Path) -> tuple[tuple[str, str], ...]:
    """Put in what lies beside the book, and return names and hashes."""
    names = (file.relative_to(folder).as_posix() for file in (*folder.glob("*.csv"), *folder.glob("notes/*")))
    kept = []
    for name in sorted(name for name in names if _BESIDE.fullmatch(name) and (folder / name).is_file()):
        content = (folder / name).read_bytes()
        archive.writestr(f"files/{name}", content, zipfile.ZIP_DEFLATED)
        kept.append((name, hashlib.sha256(content).hexdigest()))
    return tuple(kept)


def _fill(archive: zipfile.ZipFile, connection: Connection, folder: Path, attachments: Path, made_ms: int) -> Backup:
    digest, entries, jobs = hashlib.sha256(), 0, job_ids(connection)
    wanted: dict[str, None] = {}
    with archive.open(archives.packed("entries.txt"), "w", force_zip64=True) as file:
        for job in jobs:
            for stored in stored_of(connection, job):
                line = line_of(stored)
                digest.update(line)
                file.write(line)
                entries += 1
                wanted.update({item.sha256: None for item in cited(parsed(stored.content).body)})
    kept = {sha256: archives.add_attachment(archive, attachments, sha256) for sha256 in sorted(wanted)}
    backup = Backup(
        made_ms=made_ms,
        jobs=len(jobs),
        entries=entries,
        attachments=tuple(sha256 for sha256, there in kept.items() if there),
        missing=tuple(sha256 for sha256, there in kept.items() if not there),
        entries_sha256=digest.hexdigest(),
        files=_add_files(archive, folder),
        sealed=True,
    )
    archive.writestr("backup.json", json.dumps(asdict(backup), indent=1))
    return backup
