"""What a job waits for: a part sent for, a bath, a cure, the owner's word; and when each should be over."""

import datetime
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from asfound.job.bodies import PartArrived, PartCondition, PartOrdered
from asfound.job.entry import Entry

WaitSort = Literal["order", "bath", "cure", "word"]
_SORTS: dict[str, WaitSort] = {"soaking": "bath", "curing": "cure"}
_OWNER = re.compile(r"\bowner(?:['’]s)?\b|\bdecision\b", re.I)


@dataclass(frozen=True, slots=True)
class Waiting:
    """Something the job waits for.

    Attributes
    ----------
    part, why : str
    sort : str
        "order" for what was sent for or away, "bath", "cure", or "word" for a decision of the owner's.
    since_ms : int
        When it was written down: milliseconds since 1970, UTC.
    until_ms : int or None
        When a bath or a cure is over, where it was said how long it takes.
    due : date or None
        The day a part or an answer is expected.
    """

    part: str
    why: str
    sort: WaitSort = "order"
    since_ms: int = 0
    until_ms: int | None = None
    due: datetime.date | None = None


def fold_waiting(live: Sequence[Entry]) -> tuple[Waiting, ...]:
    """Return what the job waits for: parts sent for and not here, answers, baths and cures not ended."""
    waiting: dict[str, Waiting] = {}
    for entry in live:
        body = entry.body
        if isinstance(body, PartOrdered):
            waiting[_key(body.part)] = _sent(entry, body)
        elif isinstance(body, PartArrived):
            waiting.pop(_key(body.part), None)
        elif isinstance(body, PartCondition):
            waiting.pop(_key(body.part), None)
            if body.condition in _SORTS:
                waiting[_key(body.part)] = _left(entry, body)
    return tuple(waiting.values())


def show_minutes(minutes: int | None) -> str:
    """Return how long: "20 min", "2 h", "3 days"; nothing where it was not said."""
    if minutes is None:
        return ""
    for size, unit in ((1440, "days"), (60, "h")):
        if minutes >= size and minutes % size == 0:
            return f"{minutes // size} {'day' if unit == 'days' and minutes == size else unit}"
    return f"{minutes} min" if minutes < 60 else f"{minutes // 60} h {minutes % 60} min"


def _key(name: str) -> str:
    return " ".join(name.casefold().split())


def _sent(entry: Entry, body: PartOrdered) -> Waiting:
    word = _OWNER.search(f"{body.part} {body.where}") is not None
    by = f", expected {body.expected.isoformat()}" if body.expected else ""
    why = (body.where or ("asked for" if word else "on order")) + by
    return Waiting(body.part, why, "word" if word else "order", entry.clock.wall_ms, due=body.expected)


def _left(entry: Entry, body: PartCondition) -> Waiting:
    used = body.using or ("solvent" if body.condition == "soaking" else "")
    lasts = show_minutes(body.minutes)
    why = f"{body.condition}{f' in {used}' if used else ''}{f', {lasts}' if lasts else ''}"
    begun = entry.clock.wall_ms
    until = None if body.minutes is None else begun + body.minutes * 60_000
    return Waiting(body.part, why, _SORTS[body.condition], begun, until)
