"""When a reading no longer speaks for the camera: something it depends on was touched after it."""

from collections.abc import Sequence
from uuid import UUID

from asfound.job.bodies import (
    AdjusterMoved,
    PartCondition,
    Proof,
    ReadingTaken,
    ShutterTable,
    SpacerFound,
    StepTaken,
)
from asfound.job.entry import Entry
from asfound.job.job import key

Dependent = ReadingTaken | ShutterTable | Proof


def touched(entry: Entry) -> tuple[str, ...]:
    """Return the keys of the parts and adjusters that an entry touches."""
    body = entry.body
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
    first_touch_after: dict[str, int] = {}
    stale: dict[UUID, UUID] = {}
    for position in range(len(live) - 1, -1, -1):
        entry = live[position]
        if isinstance(entry.body, Dependent):
            touches = [first_touch_after[name] for name in map(key, entry.body.depends_on) if name in first_touch_after]
            if touches:
                stale[entry.id] = live[min(touches)].id
        first_touch_after.update(dict.fromkeys(touched(entry), position))
    return stale
