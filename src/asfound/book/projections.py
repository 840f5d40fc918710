"""The list of jobs and the search: caches of the fold, written with each entry and rebuilt at will."""

import contextlib
import functools
import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from asfound.book import search
from asfound.book.appending import entries_of, job_ids, parsed, stored_of
from asfound.book.failures import lists_legible
from asfound.book.tables import ABOUT
from asfound.book.words import keepable
from asfound.job import Entry, Job, Stamp, fold, key, summary
from asfound.job.bodies import Camera, Opened
from asfound.job.observing import CameraSeen, observe
from asfound.problems import AsfoundError, NotFoundError

# Raise it whenever the summary of a job, the text of a search or a table below changes: the book then rebuilds.
PROJECTION_VERSION = 5
_VERSION_NAME = "projections"
DAMAGED = "mending: it is damaged; run: asfound book check"

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


def project(connection: Connection, job: UUID, new: Sequence[Entry]) -> Job:
    """Bring a job's line up to date and make its new entries findable; return the job as it then stands."""
    now = fold(entries_of(connection, job))
    for table, row in ((JOB, _row(job, now)), (SEEN, _seen(job, now))):
        connection.execute(table.delete().where(table.c.id == str(job)))
        connection.execute(table.insert(), row)
    search.add(connection, new)
    return now


def rebuild(connection: Connection) -> None:
    """Drop all projections and make them again from the entries."""
    search.drop(connection)
    METADATA.drop_all(connection)
    METADATA.create_all(connection)
    search.create(connection)
    for job in job_ids(connection):
        rows = _readable(connection, job)
        connection.execute(JOB.insert(), rows.line)
        if rows.seen is not None:
            connection.execute(SEEN.insert(), rows.seen)
        search.add(connection, rows.entries)
    connection.execute(ABOUT.delete().where(ABOUT.c.name == _VERSION_NAME))
    connection.execute(ABOUT.insert(), {"name": _VERSION_NAME, "value": str(PROJECTION_VERSION)})


def found_version(connection: Connection) -> int:
    """Return the version of the projections in the book; 0 where there are none."""
    query = sa.select(ABOUT.c.value).where(ABOUT.c.name == _VERSION_NAME)
    found = str(connection.execute(query).scalar())
    return int(found) if found.isdecimal() else 0


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


def everything(connection: Connection) -> dict[str, list[tuple[object, ...]]]:
    """Return the content of all projections, for comparison."""
    jobs, seen = (sorted(tuple(row) for row in connection.execute(table.select())) for table in (JOB, SEEN))
    return {"list of jobs": jobs, "list of cameras": seen, "search": search.everything(connection)}


def afresh(connection: Connection) -> dict[str, list[tuple[object, ...]]]:
    """Return what `everything` should be, computed from the entries alone."""
    jobs: list[tuple[object, ...]] = []
    seen: list[tuple[object, ...]] = []
    found: list[tuple[object, ...]] = []
    for job in job_ids(connection):
        rows = _readable(connection, job)
        jobs.append(tuple(rows.line[column.name] for column in JOB.c))
        if rows.seen is not None:
            seen.append(tuple(rows.seen[column.name] for column in SEEN.c))
        found += search.expected(rows.entries)
    return {"list of jobs": sorted(jobs), "list of cameras": sorted(seen), "search": sorted(found)}


class _Rows(NamedTuple):
    line: dict[str, object]
    seen: dict[str, object] | None
    entries: Sequence[Entry]


def _readable(connection: Connection, job: UUID) -> _Rows:
    """Return a job's rows and entries; one damaged entry must not keep the whole book from being opened."""
    sound = []
    stored = stored_of(connection, job)
    for item in stored:
        with contextlib.suppress(AsfoundError):
            sound.append(parsed(item.content))
    whole = len(sound) == len(stored)
    try:
        now = fold(sound)
    except NotFoundError:
        now, whole = fold([_stand_in(job), *sound]), False
    row = _row(job, now) | {"entries": len(sound)}
    if not whole:
        said = json.loads(str(row["summary"])) | {"waits_for": DAMAGED}
        row["summary"] = json.dumps(said, ensure_ascii=False, sort_keys=True)
    return _Rows(row, _seen(job, now) if whole else None, sorted(sound, key=lambda entry: entry.order))


def _stand_in(job: UUID) -> Entry:
    """Return an opening for a job whose own can no longer be read."""
    body = Opened(ticket=str(job), camera=Camera(model="damaged"))
    return Entry(id=job, origin="-", sequence=1, previous=None, clock=Stamp(0), job=job, body=body)


def _row(job: UUID, now: Job) -> dict[str, object]:
    return {
        "id": str(job),
        "ticket": keepable(now.ticket),
        "ticket_key": keepable(key(now.ticket)),
        "opened_ms": now.opened_at.wall_ms,
        "touched_ms": now.touched_at.wall_ms,
        "entries": len(now.entries),
        "handed_over": now.handed_over is not None,
        "model_key": keepable(key(now.camera.model)),
        "summary": json.dumps(summary(now), ensure_ascii=False, sort_keys=True),
    }


def _seen(job: UUID, now: Job) -> dict[str, object]:
    return {
        "id": str(job),
        "model_key": keepable(key(now.camera.model)),
        "seen": observe(now).model_dump_json(exclude_defaults=True),
    }


@functools.lru_cache(maxsize=1000)
def _camera(text: str) -> CameraSeen:
    """Return a camera from its row; remembered, since few of a model's cameras change while others are read."""
    return CameraSeen.model_validate_json(text)


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
