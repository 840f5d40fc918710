"""When a reading no longer speaks for the camera: what it depends on was touched since, or its instrument read wrongly.

One computation for readings, dial tables and proofs alike.
"""

from collections.abc import Mapping, Sequence
from uuid import UUID

from asfound.job.bodies import (
    AdjusterMoved,
    InstrumentWrong,
    PartCondition,
    Proof,
    ReadingTaken,
    ShutterTable,
    SpacerFound,
    StepTaken,
    Tick,
)
from asfound.job.entry import Entry
from asfound.job.instruments import instrument_named, kinds_of
from asfound.job.job import key

Dependent = ReadingTaken | ShutterTable | Proof


def touched(entry: Entry, parts_of_steps: Mapping[UUID, str]) -> tuple[str, ...]:
    """Return the keys of the parts and adjusters that an entry touches; a tick touches its step's part."""
    body = entry.body
    if isinstance(body, Tick) and body.step in parts_of_steps:
        return (key(parts_of_steps[body.step]),)
    if isinstance(body, StepTaken):
        return (key(body.part),)
    if isinstance(body, AdjusterMoved):
        return (key(body.adjuster),)
    if isinstance(body, PartCondition) and body.condition != "dirty":
        return (key(body.part),)
    if isinstance(body, SpacerFound):
        return tuple(key(name) for name in (body.name, *body.between))
    return ()


def stale_by(live: Sequence[Entry]) -> dict[UUID, UUID]:
    """Return, for each stale reading, table or proof, the first later entry that took its ground away.

    That touched a part it depends on, or said that its instrument read wrongly when it was taken.

    Parameters
    ----------
    live : sequence of Entry
        The entries that count, in fold order.
    """
    place = {entry.id: n for n, entry in enumerate(live)}
    stale = _touched_since(live)
    for id_, wrong in read_wrongly(live).items():
        stale[id_] = min(stale.get(id_, wrong), wrong, key=lambda one: place[one])
    return stale


def _touched_since(live: Sequence[Entry]) -> dict[UUID, UUID]:
    parts_of_steps = {e.id: e.body.part for e in live if isinstance(e.body, StepTaken)}
    first_touch_after: dict[str, int] = {}
    stale: dict[UUID, UUID] = {}
    for position in range(len(live) - 1, -1, -1):
        entry = live[position]
        if isinstance(entry.body, Dependent):
            touches = [first_touch_after[name] for name in map(key, entry.body.depends_on) if name in first_touch_after]
            if touches:
                stale[entry.id] = live[min(touches)].id
        first_touch_after.update(dict.fromkeys(touched(entry, parts_of_steps), position))
    return stale


def read_wrongly(live: Sequence[Entry]) -> dict[UUID, UUID]:
    """Return what was taken with an instrument that is said later to have read wrongly, with the entry that says so.

    What was written together with such a reading and names no instrument of its own was worked out from it.
    """
    kinds = kinds_of(live)
    found: dict[UUID, UUID] = {}
    for place, entry in enumerate(live):
        if isinstance(entry.body, InstrumentWrong):
            for id_ in taken_with(live[:place], entry.body.instrument, entry.body.since_ms, kinds):
                found.setdefault(id_, entry.id)
    return found


def taken_with(
    live: Sequence[Entry], instrument: str, since_ms: int, kinds: Mapping[UUID, str] | None = None
) -> tuple[UUID, ...]:
    """Return the readings, tables and proofs that rest on an instrument since a moment (ms since 1970 UTC).

    Parameters
    ----------
    kinds : mapping of UUID to str, optional
        Of each recording, light, sound or video; taken from `live` where not given.
    """
    kinds = kinds_of(live) if kinds is None else kinds
    since = [entry for entry in live if entry.clock.wall_ms >= since_ms and isinstance(entry.body, Dependent)]
    with_ = {entry.id: key(instrument_named(entry, kinds)) for entry in since}
    together = {(entry.origin, entry.clock.wall_ms) for entry in since if with_[entry.id] == key(instrument)}
    return tuple(
        entry.id
        for entry in since
        if with_[entry.id] == key(instrument)
        or (not with_[entry.id] and (entry.origin, entry.clock.wall_ms) in together)
    )
