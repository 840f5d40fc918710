"""Entries that another bench wrote, taken in: each once, in any order, and only with an unbroken chain."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby
from typing import TypeVar
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from asfound.book.appending import Stored, insert, parsed, stored_of
from asfound.book.projections import project
from asfound.book.tables import ENTRY
from asfound.job import Entry, entry_hash
from asfound.job.bodies import Opened
from asfound.problems import BadInputError, ConflictError, Problem

ASK_AGAIN = "have it sent again; nothing was taken in"
_AT_ONCE = 500
T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Merged:
    """What a merge did: entries added and entries known already, and the jobs that gained any."""

    added: tuple[UUID, ...]
    known: int
    jobs: tuple[UUID, ...]


def merge(connection: Connection, arriving: Iterable[Stored]) -> Merged:
    """Take in what the book lacks.

    Raises
    ------
    BadInputError
        If an entry's hash is not that of its bytes.
    ConflictError
        If an entry contradicts one in the book, one before it is missing, or nothing opens its job.
    """
    read = {entry.id: (entry, stored) for entry, stored in map(_read, arriving)}
    known = _known(connection, read)
    new = [pair for id_, pair in read.items() if id_ not in known]
    if not new:
        return Merged(added=(), known=len(known), jobs=())
    new.sort(key=lambda pair: (pair[0].job, pair[0].origin, pair[0].sequence))
    _refuse_taken_places(connection, [entry for entry, _ in new])
    insert(connection, new)
    by_job = {job: [entry for entry, _ in pairs] for job, pairs in groupby(new, key=lambda pair: pair[0].job)}
    for job, entries in by_job.items():
        _refuse_broken(connection, job)
        project(connection, job, entries)
    return Merged(added=tuple(entry.id for entry, _ in new), known=len(known), jobs=tuple(by_job))


def broken_chain(stored: Iterable[Stored]) -> Entry | None:
    """Return the first of a job's entries that does not follow the one before it of its origin."""
    last: dict[str, str] = {}
    for item in sorted(stored, key=lambda item: parsed(item.content).sequence):
        entry = parsed(item.content)
        if entry.previous != last.get(entry.origin):
            return entry
        last[entry.origin] = item.hash
    return None


def _read(stored: Stored) -> tuple[Entry, Stored]:
    stored = Stored(*stored)
    if entry_hash(stored.content) != stored.hash:
        what = f"an entry is not as it was written (its hash should be {stored.hash[:12]}…)"
        raise BadInputError(Problem("merge", what, ASK_AGAIN))
    return parsed(stored.content), stored


def _known(connection: Connection, read: dict[UUID, tuple[Entry, Stored]]) -> set[UUID]:
    known = set()
    for some in _in_portions([str(id_) for id_ in read]):
        for row in connection.execute(sa.select(ENTRY.c.id, ENTRY.c.hash).where(ENTRY.c.id.in_(some))):
            entry, stored = read[UUID(row.id)]
            if stored.hash != row.hash:
                raise _conflict(f"entry {entry.id} of job {entry.job} differs from the one in the book")
            known.add(entry.id)
    return known


def _refuse_taken_places(connection: Connection, new: list[Entry]) -> None:
    places: dict[tuple[str, int], Entry] = {}
    for entry in new:
        other = places.setdefault((entry.origin, entry.sequence), entry)
        if other is not entry:
            raise _conflict(f"entries {other.id} and {entry.id} claim the same place at {entry.origin}")
    place = sa.tuple_(ENTRY.c.origin, ENTRY.c.sequence)
    for some in _in_portions(list(places)):
        taken = connection.execute(sa.select(ENTRY.c.id, ENTRY.c.origin).where(place.in_(some))).first()
        if taken is not None:
            raise _conflict(f"another entry has the place of {taken.id} at {taken.origin}")


def _refuse_broken(connection: Connection, job: UUID) -> None:
    stored = stored_of(connection, job)
    broken = broken_chain(stored)
    if broken is not None:
        raise _conflict(f"entry {broken.id} of job {job} follows one that is not there")
    if not any(isinstance(parsed(item.content).body, Opened) for item in stored):
        raise _conflict(f"nothing opens job {job}")


def _conflict(what: str) -> ConflictError:
    return ConflictError(Problem("merge", what, ASK_AGAIN))


def _in_portions(items: list[T]) -> Iterable[list[T]]:
    return (items[start : start + _AT_ONCE] for start in range(0, len(items), _AT_ONCE))
