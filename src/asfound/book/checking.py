"""Whether the book is whole: every hash, every chain, every attachment, and the projections."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from asfound.book import lists, projections
from asfound.book.appending import Stored, columns_of, job_ids, parsed
from asfound.book.attachments import attachment_path, cited, file_hash
from asfound.book.merging import broken_chain
from asfound.book.tables import ENTRY
from asfound.job import Entry, entry_hash
from asfound.job.bodies import Opened
from asfound.problems import AsfoundError, Problem

FROM_BACKUP = "restore the book from its last backup"


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """What was looked at, and what is wrong."""

    jobs: int
    entries: int
    attachments: int
    problems: tuple[Problem, ...]


def check(connection: Connection, *, attachments: Path, origin: str) -> Checked:
    """Look at every entry and attachment; each problem names its job."""
    problems = list(_file_problems(connection))
    entries, files = 0, dict[str, dict[str, None]]()
    jobs = job_ids(connection)
    for job in jobs:
        rows = connection.execute(ENTRY.select().where(ENTRY.c.job == str(job)).order_by(ENTRY.c.sequence)).all()
        entries += len(rows)
        name, sound, found = _look_at(job, rows, lists.ticket_of(connection, job))
        problems += found
        for item in (item for entry in sound for item in cited(entry.body)):
            files.setdefault(item.sha256, {})[f"{name}: {item.name}"] = None
    problems += _strays(connection, entries)
    problems += _attachment_problems(attachments, files)
    problems += _gaps(connection, origin)
    if not problems:
        problems += _projection_problems(connection)
    return Checked(jobs=len(jobs), entries=entries, attachments=len(files), problems=tuple(problems))


def _look_at(job: UUID, rows: Sequence[Row[Any]], listed: str) -> tuple[str, list[Entry], list[Problem]]:
    """Return a job's name, those of its entries that are sound, and what is wrong with the others.

    Where the entry that opens it cannot be read, its ticket is the one that it is listed with.
    """
    sound: list[Entry] = []
    stored: list[Stored] = []
    wrong: list[str] = []
    for row in rows:
        what, entry = _read(row)
        if entry is None:
            wrong.append(f"entry {row.sequence} of {row.origin} {what}")
        else:
            sound.append(entry)
            stored.append(Stored(row.hash, bytes(row.stored)))
    if not wrong and (broken := broken_chain(stored)) is not None:
        wrong.append(f"entry {broken.sequence} of {broken.origin} does not follow the one before it")
    opening = next((entry.body for entry in sound if isinstance(entry.body, Opened)), None)
    name = f"job {opening.ticket if opening else listed or job}"
    if not opening and not wrong:
        wrong.append("nothing opens this job")
    return name, sound, [Problem(name, what, FROM_BACKUP) for what in wrong]


def _read(row: Row[Any]) -> tuple[str, Entry | None]:
    content = bytes(row.stored)
    if entry_hash(content) != row.hash:
        return "is not as it was written", None
    try:
        entry = parsed(content)
    except AsfoundError as error:
        return f"cannot be read: {error.problems[0].what}", None
    repeated = columns_of(entry)
    differing = [name for name, value in repeated.items() if getattr(row, name) != value]
    return (f"is filed under another {differing[0]}", None) if differing else ("", entry)


def _strays(connection: Connection, looked_at: int) -> Iterator[Problem]:
    count = connection.execute(sa.select(sa.func.count()).select_from(ENTRY)).scalar_one()
    if count != looked_at:
        yield Problem("the book", f"{count - looked_at} entries are filed under no job", FROM_BACKUP)


def _attachment_problems(folder: Path, files: Mapping[str, Iterable[str]]) -> Iterator[Problem]:
    """Hold each attachment to its hash; one that is damaged is told of with every job that cites it."""
    for sha256, names in files.items():
        path = attachment_path(folder, sha256)
        try:
            what = "" if file_hash(path) == sha256 else "the attachment is not as it was kept"
        except OSError as error:
            what = f"the attachment cannot be read ({error.strerror}): {path}"
        if what:
            yield from (Problem(name, what, "attach it again, or " + FROM_BACKUP) for name in names)


def _gaps(connection: Connection, origin: str) -> Iterator[Problem]:
    query = sa.select(sa.func.count(), sa.func.max(ENTRY.c.sequence)).where(ENTRY.c.origin == origin)
    count, last = connection.execute(query).one()
    if count != (last or 0):
        what = f"this bench wrote {last} entries, {last - count} of them are not in the book"
        yield Problem(f"bench {origin}", what, FROM_BACKUP)


def _file_problems(connection: Connection) -> Iterator[Problem]:
    if connection.dialect.name != "sqlite":
        return
    for said in connection.exec_driver_sql("PRAGMA integrity_check").scalars():
        if said != "ok":
            yield Problem("the book's file", str(said), FROM_BACKUP)


def _projection_problems(connection: Connection) -> Iterator[Problem]:
    afresh = projections.afresh(connection)
    for name, content in projections.everything(connection).items():
        if content != afresh[name]:
            yield Problem(f"the {name}", "does not follow from the entries", "run: asfound book rebuild")
