"""What is waited for, as the pages say it: until when by this clock, and whether that is past."""

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from asfound.book import JobLine
from asfound.job import Waiting
from asfound.web.moments import moment

_WORDS = {"bath": "bath", "cure": "cure", "order": "on order", "word": "asked"}


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitRow:
    """One thing waited for.

    Attributes
    ----------
    sort : str
        "bath", "cure", "on order", "asked" for a decision of the owner's.
    when : str
        Until when, in words; "" where that was not said.
    left_ms : int or None
        How long a bath or a cure still has, below nothing once it is over.
    lasts_ms : int or None
        How long it takes altogether.
    ends_ms : int or None
        By what it stands among other dates: the end of a bath, or the beginning of the day something is expected.
    over : bool
        Whether that is past, or today.
    """

    what: str
    why: str
    sort: str
    when: str
    left_ms: int | None
    lasts_ms: int | None
    ends_ms: int | None
    over: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DateRow:
    """Something that ends or comes on a date, and whose it is."""

    day: str
    wait: WaitRow
    href: str
    ticket: str
    camera: str


def wait_row(waiting: Waiting, now_ms: int) -> WaitRow:
    """Return what a job waits for, as it stands at this moment."""
    ends = end_of(waiting)
    # What is expected on a day could be here at any time of it.
    return WaitRow(
        what=waiting.part,
        why=waiting.why.partition(", expected ")[0],
        sort=_WORDS[waiting.sort],
        when=_when(waiting, now_ms),
        left_ms=None if waiting.until_ms is None else waiting.until_ms - now_ms,
        lasts_ms=None if waiting.until_ms is None else waiting.until_ms - waiting.since_ms,
        ends_ms=ends,
        over=ends is not None and ends <= now_ms,
    )


def end_of(waiting: Waiting) -> int | None:
    """Return when a bath or a cure ends, or the beginning of the day something is expected; None where not said."""
    return waiting.until_ms if waiting.until_ms is not None else _begins(waiting.due)


def waits_of(line: JobLine, now_ms: int) -> tuple[WaitRow, ...]:
    """Return what a job of the list waits for; what ends first comes first."""
    return in_time(wait_row(waiting_from(said), now_ms) for said in line.summary.get("waits", ()))


def in_time(rows: Iterable[WaitRow]) -> tuple[WaitRow, ...]:
    """Return what is waited for by when it ends; what has no end last."""
    return tuple(sorted(rows, key=lambda row: (row.ends_ms is None, row.ends_ms or 0)))


def waiting_from(said: Mapping[str, Any]) -> Waiting:
    """Return what the list of jobs keeps of a wait."""
    due = said["due"]
    return Waiting(
        said["what"],
        said["why"],
        said["sort"],
        said["since_ms"],
        said["until_ms"],
        None if due is None else datetime.date.fromisoformat(due),
    )


def day_of(ends_ms: int, now_ms: int) -> str:
    """Return a day as it is said at the bench: today, tomorrow, Friday 27 November; the year where it is another."""
    at, now = moment(ends_ms), moment(now_ms)
    near = {0: "today", 1: "tomorrow", -1: "yesterday"}.get((at.date() - now.date()).days)
    return near or f"{at:%A} {at.day} {at:%B}" + ("" if at.year == now.year else f" {at.year}")


def _when(waiting: Waiting, now_ms: int) -> str:
    if waiting.until_ms is not None:
        over = waiting.until_ms <= now_ms
        day = day_of(waiting.until_ms, now_ms)
        clock = f"{moment(waiting.until_ms):%H:%M}"
        return f"{'over since' if over else 'until'} {clock if day == 'today' else f'{day}, {clock}'}"
    begins = _begins(waiting.due)
    if begins is None:
        return ""
    day = day_of(begins, now_ms)
    return f"was expected {day}" if begins <= now_ms and day != "today" else f"expected {day}"


@lru_cache(maxsize=256)
def _begins(due: datetime.date | None) -> int | None:
    if due is None:
        return None
    return round(datetime.datetime.combine(due, datetime.time()).astimezone().timestamp() * 1000)
