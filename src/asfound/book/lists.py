"""The lists kept beside the entries: of the jobs, of what each camera tells of its model, of the instruments used."""

import functools
import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from asfound.book.failures import lists_legible
from asfound.book.words import keepable
from asfound.job import key
from asfound.job.instruments import InstrumentUsed
from asfound.job.observing import CameraSeen, ReadingSeen

METADATA = sa.MetaData()

JOB = sa.Table(
    "job_line",
    METADATA,
    sa.Column("id", sa.String(36), primary_key=True),
    sa.Column("ticket", sa.Text, nullable=False),
    sa.Column("ticket_key", sa.Text, nullable=False, index=True),
    sa.Column("opened_ms", sa.BigInteger, nullable=False),
    sa.Column("touched_ms", sa.BigInteger, nullable=False, index=True),
    sa.Column("entries", sa.BigInteger, nullable=False),
    sa.Column("handed_over", sa.Boolean, nullable=False),
    sa.Column("model_key", sa.Text, nullable=False),
    sa.Column("summary", sa.Text, nullable=False),
    sa.Index("job_line_model", "model_key", "touched_ms"),
    sa.Index("job_line_standing", "handed_over", "touched_ms", "id"),
)

# What each camera tells of its model, so that no job need be folded to tell what the others had.
SEEN = sa.Table(
    "camera_seen",
    METADATA,
    sa.Column("id", sa.String(36), primary_key=True),
    sa.Column("model_key", sa.Text, nullable=False, index=True),
    sa.Column("seen", sa.Text, nullable=False),
)

# Its readings once more, each by itself: one that is typed is held at once against what the others had.
READING = sa.Table(
    "reading_seen",
    METADATA,
    sa.Column("id", sa.String(36), primary_key=True),
    sa.Column("number", sa.Integer, primary_key=True),
    sa.Column("model_key", sa.Text, nullable=False),
    sa.Column("quantity_key", sa.Text, nullable=False),
    sa.Column("place_key", sa.Text, nullable=False),
    sa.Column("seen", sa.Text, nullable=False),
    sa.Index("reading_seen_subject", "model_key", "quantity_key", "place_key"),
)

# What the readings, dial tables and proofs of each job were taken with: one found wrong has spoilt a few jobs of many.
USED = sa.Table(
    "instrument_used",
    METADATA,
    sa.Column("id", sa.String(36), primary_key=True),
    sa.Column("number", sa.Integer, primary_key=True),
    sa.Column("instrument_key", sa.Text, nullable=False),
    sa.Column("name", sa.Text, nullable=False),
    sa.Column("times", sa.BigInteger, nullable=False),
    sa.Column("last_ms", sa.BigInteger, nullable=False),
    sa.Index("instrument_used_since", "instrument_key", "last_ms"),
)
LISTS = {"list of jobs": JOB, "list of cameras": SEEN, "list of readings": READING, "list of instruments": USED}


@dataclass(frozen=True, slots=True, kw_only=True)
class JobLine:
    """A job in the list.

    Attributes
    ----------
    id : UUID
    ticket, camera, complaint, waits_for : str
        As the summary of the fold says them.
    opened_ms, touched_ms : int
        Wall clock of the opening and of the last entry, milliseconds since 1970 UTC.
    entries : int
        How many, with those struck through.
    open_faults : int
    handed_over : bool
    summary : dict
        Everything that `asfound.job.summary` says of the job.
    """

    id: UUID
    ticket: str
    camera: str
    complaint: str
    waits_for: str
    opened_ms: int
    touched_ms: int
    entries: int
    open_faults: int
    handed_over: bool
    summary: dict[str, Any]


def lines(
    connection: Connection, *, handed_over: bool | None, model: str | None, limit: int | None
) -> tuple[JobLine, ...]:
    """Return the list of jobs, the last touched first; of one model, or of one standing, where that is asked."""
    query = JOB.select().order_by(JOB.c.touched_ms.desc(), JOB.c.id.desc()).limit(limit)
    if handed_over is not None:
        query = query.where(JOB.c.handed_over.is_(handed_over))
    if model is not None:
        query = query.where(JOB.c.model_key == keepable(key(model)))
    return tuple(_line(row) for row in connection.execute(query))


def number_gone(connection: Connection) -> int:
    """Return how many jobs were handed over."""
    query = sa.select(sa.func.count()).select_from(JOB).where(JOB.c.handed_over.is_(True))
    return connection.execute(query).scalar() or 0


def last_touched(connection: Connection, *, model: str, without: UUID) -> int:
    """Return when another job on a model was last touched, in milliseconds since 1970; 0 where there is none."""
    query = sa.select(JOB.c.touched_ms).where(JOB.c.model_key == keepable(key(model)), JOB.c.id != str(without))
    return connection.execute(query.order_by(JOB.c.touched_ms.desc()).limit(1)).scalar() or 0


def cameras_seen(connection: Connection, *, model: str, without: UUID | None) -> tuple[CameraSeen, ...]:
    """Return what each camera of a model tells, by job; a job that cannot be read whole tells nothing."""
    query = sa.select(SEEN.c.seen).where(SEEN.c.model_key == keepable(key(model))).order_by(SEEN.c.id)
    if without is not None:
        query = query.where(SEEN.c.id != str(without))
    with lists_legible("the list of cameras"):
        return tuple(_camera(text) for text in connection.execute(query).scalars())


def readings_seen(
    connection: Connection, *, model: str, quantity: str, place: str, without: UUID
) -> tuple[tuple[UUID, ReadingSeen], ...]:
    """Return the readings of one quantity at one place on other cameras of a model, each with its job."""
    named = {READING.c.model_key: model, READING.c.quantity_key: quantity, READING.c.place_key: place}
    query = READING.select().where(*(column == keepable(key(name)) for column, name in named.items()))
    query = query.where(READING.c.id != str(without)).order_by(READING.c.id, READING.c.number)
    with lists_legible("the list of readings"):
        return tuple((UUID(row.id), _reading(row.seen)) for row in connection.execute(query))


def lines_with(connection: Connection, *, instrument: str, since_ms: int) -> tuple[JobLine, ...]:
    """Return the jobs in which something was taken with an instrument at that moment or later, last touched first."""
    named = USED.c.instrument_key == keepable(key(instrument))
    its = sa.select(USED.c.id).where(named, USED.c.last_ms >= since_ms)
    query = JOB.select().where(JOB.c.id.in_(its)).order_by(JOB.c.touched_ms.desc(), JOB.c.id.desc())
    return tuple(_line(row) for row in connection.execute(query))


def instruments(connection: Connection) -> tuple[InstrumentUsed, ...]:
    """Return every instrument that something in any job was taken with, by name."""
    used = sa.func.sum(USED.c.times), sa.func.max(USED.c.last_ms)
    query = sa.select(sa.func.min(USED.c.name), *used).group_by(USED.c.instrument_key).order_by(USED.c.instrument_key)
    with lists_legible("the list of instruments"):
        return tuple(
            InstrumentUsed(name=name, times=int(times), last_ms=int(last_ms))
            for name, times, last_ms in connection.execute(query)
        )


def line(connection: Connection, job: UUID) -> JobLine | None:
    """Return one job's line."""
    row = connection.execute(JOB.select().where(JOB.c.id == str(job))).first()
    return None if row is None else _line(row)


def lines_of(connection: Connection, jobs: Sequence[UUID]) -> tuple[JobLine, ...]:
    """Return the lines of these jobs, in no order."""
    query = JOB.select().where(JOB.c.id.in_([str(job) for job in jobs]))
    return tuple(_line(row) for row in connection.execute(query))


def ticket_of(connection: Connection, job: UUID) -> str:
    """Return the ticket that a job is listed with; empty where it is not listed."""
    return connection.execute(sa.select(JOB.c.ticket).where(JOB.c.id == str(job))).scalar() or ""


def with_ticket(connection: Connection, ticket: str) -> tuple[JobLine, ...]:
    """Return the jobs with this ticket; more than one only after a merge."""
    return tuple(
        _line(row) for row in connection.execute(JOB.select().where(JOB.c.ticket_key == keepable(key(ticket))))
    )


def with_id_prefix(connection: Connection, prefix: str) -> tuple[JobLine, ...]:
    """Return the jobs whose id begins so; `prefix` holds hexadecimal digits and hyphens alone."""
    return tuple(_line(row) for row in connection.execute(JOB.select().where(JOB.c.id.like(f"{prefix}%"))))


def tickets(connection: Connection) -> tuple[str, ...]:
    """Return all tickets."""
    return tuple(connection.execute(sa.select(JOB.c.ticket)).scalars())


@functools.lru_cache(maxsize=1000)
def _camera(text: str) -> CameraSeen:
    """Return a camera from its row; remembered, since few of a model's cameras change while others are read."""
    return CameraSeen.model_validate_json(text)


@functools.lru_cache(maxsize=20_000)
def _reading(text: str) -> ReadingSeen:
    return ReadingSeen.model_validate_json(text)


def _line(row: Row[Any]) -> JobLine:
    with lists_legible("the list of jobs"):
        return _read_line(row)


@functools.lru_cache(maxsize=20_000)
def _summary(text: str) -> dict[str, Any]:
    """Return what a job's line says; remembered, since the list is asked for at every turn and few lines change."""
    said: dict[str, Any] = json.loads(text)
    return said


def _read_line(row: Row[Any]) -> JobLine:
    said = _summary(row.summary)
    return JobLine(
        id=UUID(row.id),
        ticket=row.ticket,
        camera=said["camera"],
        complaint=said["complaint"],
        waits_for=said["waits_for"],
        opened_ms=row.opened_ms,
        touched_ms=row.touched_ms,
        entries=row.entries,
        open_faults=said["open_faults"],
        handed_over=row.handed_over,
        summary=said,
    )
