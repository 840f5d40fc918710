"""Entries into and out of their table: the only place that reads or writes it."""

import contextlib
import functools
from collections.abc import Iterable, Sequence
from typing import NamedTuple
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.engine import Connection
from uuid_utils.compat import uuid7

from asfound.book.tables import ENTRY
from asfound.job import Entry, Stamp, canonical_bytes, entry_hash, next_stamp, read_entry
from asfound.job.bodies import Body


class Stored(NamedTuple):
    """An entry as it is stored, with the hash taken when it was written."""

    hash: str
    content: bytes


@functools.lru_cache(maxsize=20_000)
def parsed(content: bytes) -> Entry:
    """Return the entry in stored bytes; remembered, since neither ever changes."""
    return read_entry(content)


def compose(
    connection: Connection, *, job: UUID, origin: str, bodies: Sequence[Body], wall_ms: int
) -> tuple[tuple[Entry, Stored], ...]:
    """Return the entries that come next for these bodies: sequence, chain and clock carried on."""
    sequence = last_sequence(connection, origin)
    previous = last_hash(connection, origin=origin, job=job)
    stamp = latest_stamp(connection)
    composed = []
    for number, body in enumerate(bodies, start=sequence + 1):
        stamp = next_stamp(latest=stamp, wall_ms=wall_ms)
        entry = Entry.model_validate(
            {
                "id": uuid7(),
                "origin": origin,
                "sequence": number,
                "previous": previous,
                "clock": stamp,
                "job": job,
                "body": body,
            }
        )
        content = canonical_bytes(entry)
        previous = entry_hash(content)
        composed.append((entry, Stored(previous, content)))
    return tuple(composed)


def insert(connection: Connection, composed: Iterable[tuple[Entry, Stored]]) -> None:
    """Add entries to their table."""
    connection.execute(ENTRY.insert(), [_row(entry, stored) for entry, stored in composed])


def _row(entry: Entry, stored: Stored) -> dict[str, object]:
    return {**columns_of(entry), "hash": stored.hash, "stored": stored.content}


def columns_of(entry: Entry) -> dict[str, object]:
    """Return what the table repeats of an entry, to find it by."""
    return {
        "id": str(entry.id),
        "origin": entry.origin,
        "sequence": entry.sequence,
        "job": str(entry.job),
        "wall_ms": entry.clock.wall_ms,
        "counter": entry.clock.counter,
    }


def last_sequence(connection: Connection, origin: str) -> int:
    """Return the highest sequence that an origin has written here, 0 for none."""
    query = sa.select(sa.func.max(ENTRY.c.sequence)).where(ENTRY.c.origin == origin)
    return connection.execute(query).scalar() or 0


def last_hash(connection: Connection, *, origin: str, job: UUID) -> str | None:
    """Return the hash of the last entry of an origin in a job."""
    query = sa.select(ENTRY.c.hash).where(ENTRY.c.origin == origin, ENTRY.c.job == str(job))
    return connection.execute(query.order_by(ENTRY.c.sequence.desc()).limit(1)).scalar()


def latest_stamp(connection: Connection) -> Stamp | None:
    """Return the latest stamp in the book, own or merged."""
    query = sa.select(ENTRY.c.wall_ms, ENTRY.c.counter)
    row = connection.execute(query.order_by(ENTRY.c.wall_ms.desc(), ENTRY.c.counter.desc()).limit(1)).first()
    return None if row is None else Stamp(row.wall_ms, row.counter)


def stored_of(connection: Connection, job: UUID) -> tuple[Stored, ...]:
    """Return a job's entries as stored, in the order they were written at each bench."""
    query = sa.select(ENTRY.c.hash, ENTRY.c.stored).where(ENTRY.c.job == str(job))
    rows = connection.execute(query.order_by(ENTRY.c.origin, ENTRY.c.sequence))
    return tuple(Stored(row.hash, bytes(row.stored)) for row in rows)


def entries_of(connection: Connection, job: UUID) -> tuple[Entry, ...]:
    """Return a job's entries in the order they fold."""
    entries = (parsed(stored.content) for stored in stored_of(connection, job))
    return tuple(sorted(entries, key=lambda entry: entry.order))


def job_ids(connection: Connection) -> tuple[UUID, ...]:
    """Return every job that has an entry, the first opened first; what is damaged and names none is left out."""
    found = []
    for text in connection.execute(sa.select(ENTRY.c.job).distinct()).scalars():
        with contextlib.suppress(ValueError, AttributeError, TypeError):
            found.append(UUID(text))
    return tuple(sorted(found))


def is_begun(connection: Connection, job: UUID) -> bool:
    """Return whether a job has any entry."""
    query = sa.select(ENTRY.c.id).where(ENTRY.c.job == str(job)).limit(1)
    return connection.execute(query).first() is not None
