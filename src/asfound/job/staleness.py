"""When a reading no longer speaks for the camera: something it depends on was touched after it."""

from collections.abc import Mapping, Sequence
from uuid import UUID

from asfound.job.bodies import (
    AdjusterMoved,
    PartCondition,
    Proof,
    ReadingTaken,
    ShutterTable,
    SpacerFound,
    StepTaken,
    Tick,
)
from asfound.job.entry import Entry
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
    """Return, for each stale reading, table or proof, the first later entry that touched what it depends on.

    Parameters
    ----------
    live : sequence of Entry
        The entries that count, in fold order.
    """
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
