"""The lists and the search: caches of the fold, written with each entry and rebuilt at will."""

import contextlib
import json
from collections.abc import Sequence
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from asfound.book import search
from asfound.book.appending import entries_of, job_ids, parsed, stored_of
from asfound.book.lists import JOB, LISTS, METADATA
from asfound.book.tables import ABOUT
from asfound.book.words import keepable
from asfound.job import Entry, Job, Stamp, fold, key, summary
from asfound.job.bodies import Camera, Opened
from asfound.job.instruments import InstrumentUsed, instruments_used
from asfound.job.observing import ReadingSeen, observe
from asfound.problems import AsfoundError, NotFoundError

# Raise it whenever the summary of a job, the text of a search or a table below changes: the book then rebuilds.
PROJECTION_VERSION = 5
_VERSION_NAME = "projections"
DAMAGED = "mending: it is damaged; run: asfound book check"

Row = dict[str, object]
Rows = dict[str, list[Row]]  # of each list, by its name


def project(connection: Connection, job: UUID, new: Sequence[Entry]) -> Job:
    """Bring a job's line up to date and make its new entries findable; return the job as it then stands."""
    now = fold(entries_of(connection, job))
    rows = _rows(job, now)
    for name, table in LISTS.items():
        _renew(connection, table, job, rows[name])
    search.add(connection, new)
    return now


def _renew(connection: Connection, table: sa.Table, job: UUID, rows: Sequence[Row]) -> None:
    """Write the rows of a job anew, but only those that are not there yet where the others stay as they are."""
    its = table.c.id == str(job)
    kept = {tuple(row) for row in connection.execute(table.select().where(its))}
    told = {_values(table, row): row for row in rows}
    if not kept <= told.keys():
        connection.execute(table.delete().where(its))
        kept = set()
    missing = [row for values, row in told.items() if values not in kept]
    if missing:
        connection.execute(table.insert(), missing)


def _values(table: sa.Table, row: Row) -> tuple[object, ...]:
    return tuple(row[column.name] for column in table.c)


def rebuild(connection: Connection) -> None:
    """Drop all projections and make them again from the entries."""
    search.drop(connection)
    METADATA.drop_all(connection)
    METADATA.create_all(connection)
    search.create(connection)
    for job in job_ids(connection):
        rows, entries = _readable(connection, job)
        for name, table in LISTS.items():
            if rows[name]:
                connection.execute(table.insert(), rows[name])
        search.add(connection, entries)
    connection.execute(ABOUT.delete().where(ABOUT.c.name == _VERSION_NAME))
    connection.execute(ABOUT.insert(), {"name": _VERSION_NAME, "value": str(PROJECTION_VERSION)})


def found_version(connection: Connection) -> int:
    """Return the version of the projections in the book; 0 where there are none."""
    query = sa.select(ABOUT.c.value).where(ABOUT.c.name == _VERSION_NAME)
    found = str(connection.execute(query).scalar())
    return int(found) if found.isdecimal() else 0


def everything(connection: Connection) -> dict[str, list[tuple[object, ...]]]:
    """Return the content of all projections, for comparison."""
    kept = {name: sorted(tuple(row) for row in connection.execute(table.select())) for name, table in LISTS.items()}
    return kept | {"search": search.everything(connection)}


def afresh(connection: Connection) -> dict[str, list[tuple[object, ...]]]:
    """Return what `everything` should be, computed from the entries alone."""
    found: dict[str, list[tuple[object, ...]]] = {name: [] for name in (*LISTS, "search")}
    for job in job_ids(connection):
        rows, entries = _readable(connection, job)
        for name, table in LISTS.items():
            found[name] += [_values(table, row) for row in rows[name]]
        found["search"] += search.expected(entries)
    return {name: sorted(rows) for name, rows in found.items()}


def _readable(connection: Connection, job: UUID) -> tuple[Rows, Sequence[Entry]]:
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
    rows = _rows(job, now)
    if not whole:
        line = rows["list of jobs"][0]
        said = json.loads(str(line["summary"])) | {"waits_for": DAMAGED}
        line |= {"entries": len(sound), "summary": json.dumps(said, ensure_ascii=False, sort_keys=True)}
        rows = {name: [line] if table is JOB else [] for name, table in LISTS.items()}
    return rows, sorted(sound, key=lambda entry: entry.order)


def _stand_in(job: UUID) -> Entry:
    """Return an opening for a job whose own can no longer be read."""
    body = Opened(ticket=str(job), camera=Camera(model="damaged"))
    return Entry(id=job, origin="-", sequence=1, previous=None, clock=Stamp(0), job=job, body=body)


def _rows(job: UUID, now: Job) -> Rows:
    seen = observe(now)
    its: Row = {"id": str(job), "model_key": keepable(key(now.camera.model))}
    return {
        "list of jobs": [its | _line_row(now)],
        "list of cameras": [its | {"seen": seen.model_dump_json(exclude_defaults=True)}],
        "list of readings": [its | _reading_row(number, reading) for number, reading in enumerate(seen.readings)],
        "list of instruments": [_used_row(job, n, one) for n, one in enumerate(instruments_used(now.live))],
    }


def _line_row(now: Job) -> Row:
    return {
        "ticket": keepable(now.ticket),
        "ticket_key": keepable(key(now.ticket)),
        "opened_ms": now.opened_at.wall_ms,
        "touched_ms": now.touched_at.wall_ms,
        "entries": len(now.entries),
        "handed_over": now.handed_over is not None,
        "summary": json.dumps(summary(now), ensure_ascii=False, sort_keys=True),
    }


def _reading_row(number: int, seen: ReadingSeen) -> Row:
    return {
        "number": number,
        "quantity_key": keepable(key(seen.quantity)),
        "place_key": keepable(key(seen.place)),
        "seen": seen.model_dump_json(exclude_defaults=True),
    }


def _used_row(job: UUID, number: int, used: InstrumentUsed) -> Row:
    return {
        "id": str(job),
        "number": number,
        "instrument_key": keepable(key(used.name)),
        "name": keepable(used.name),
        "times": used.times,
        "last_ms": used.last_ms,
    }
