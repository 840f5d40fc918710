"""The entries of a job as they came, newest first, a day at a time."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import groupby
from uuid import UUID

from asfound.job import Entry, Job
from asfound.job.bodies import Fault, FiringsSet, HowRecorded, Opened, Photo, Recording, Restored, Struck
from asfound.web.moments import show_clock, show_day
from asfound.web.sayings import say


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryRow:
    """One entry: its number in the margin, what it says, and what can be done with it."""

    id: UUID
    number: int
    clock: str
    kind: str
    text: str
    details: tuple[str, ...]
    photo: str
    struck: bool
    can_strike: bool
    is_fault: bool
    is_new: bool
    is_tick: bool
    link: str


@dataclass(frozen=True, slots=True)
class Day:
    """The entries of one day."""

    name: str
    rows: tuple[EntryRow, ...]


def entry_days(job: Job, *, most: int, new: frozenset[UUID] = frozenset()) -> tuple[Day, ...]:
    """Return the latest entries by day, newest first, at most so many."""
    numbered = list(reversed(list(enumerate(job.entries, start=1))))[:most]
    rows = ((show_day(entry.clock), entry_row(job, entry, number, new)) for number, entry in numbered)
    days = groupby(rows, key=lambda pair: pair[0])
    return tuple(Day(day, _clock_once(row for _, row in group)) for day, group in days)


def _clock_once(rows: Iterable[EntryRow]) -> tuple[EntryRow, ...]:
    """Keep the time of day only where it differs from that of the row above."""
    shown: list[EntryRow] = []
    above = ""
    for row in rows:
        shown.append(replace(row, clock="") if row.clock == above else row)
        above = row.clock
    return tuple(shown)


def entry_row(job: Job, entry: Entry, number: int, new: frozenset[UUID] = frozenset()) -> EntryRow:
    """Return one entry's row."""
    saying, body = say(entry, job), entry.body
    return EntryRow(
        id=entry.id,
        number=number,
        clock=show_clock(entry.clock),
        kind=saying.kind,
        text=saying.text,
        details=saying.details,
        photo=body.attachment.sha256 if isinstance(body, Photo) else "",
        struck=entry.id in job.struck,
        can_strike=not isinstance(body, Opened | Struck | Restored),
        is_fault=isinstance(body, Fault) and body.stage != "proof",
        is_new=entry.id in new,
        is_tick=entry.kind == "tick",
        link=_link(job, entry),
    )


def _link(job: Job, entry: Entry) -> str:
    """Return where a recording is shown, from it and from what is said of it."""
    body = entry.body
    recording = body.recording if isinstance(body, HowRecorded | FiringsSet) else entry.id
    shown = isinstance(body, Recording) or any(id_ == recording for id_, _ in job.recordings)
    return f"/job/{job.id}/shutter?recording={recording}" if shown else ""
