"""What the readings, dial tables and proofs of a job were taken with."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from asfound.job.bodies import Proof, ReadingTaken, Recording, ShutterTable
from asfound.job.entry import Entry
from asfound.job.job import key

# What times a recording of sound or light, where nobody says more.
SOUND_INPUT = "sound input"


@dataclass(frozen=True, slots=True, kw_only=True)
class InstrumentUsed:
    """An instrument that readings, tables or proofs were taken with.

    Attributes
    ----------
    name : str
        As it was first called.
    times : int
        How many were taken with it.
    last_ms : int
        Wall clock of the last of them, in milliseconds since 1970 UTC.
    """

    name: str
    times: int
    last_ms: int


def instruments_used(live: Sequence[Entry]) -> tuple[InstrumentUsed, ...]:
    """Return each instrument that what counts in a job was taken with, in the order first named.

    Parameters
    ----------
    live : sequence of Entry
        The entries that count.
    """
    kinds = kinds_of(live)
    found: dict[str, InstrumentUsed] = {}
    for entry in live:
        name, when = instrument_named(entry, kinds), entry.clock.wall_ms
        if name:
            before = found.get(key(name), InstrumentUsed(name=name, times=0, last_ms=when))
            found[key(name)] = InstrumentUsed(
                name=before.name, times=before.times + 1, last_ms=max(before.last_ms, when)
            )
    return tuple(found.values())


def kinds_of(live: Sequence[Entry]) -> dict[UUID, str]:
    """Return of each recording whether it is of light, sound or video."""
    return {entry.id: entry.body.sort for entry in live if isinstance(entry.body, Recording)}


def instrument_named(entry: Entry, kinds: Mapping[UUID, str]) -> str:
    """Return what a reading, table or proof was taken with; "" where nothing is named.

    A dial table rests on the sound input where it says nothing else, unless it was filmed.
    """
    body = entry.body
    if isinstance(body, ReadingTaken | Proof):
        return body.instrument or ""
    if isinstance(body, ShutterTable):
        filmed = body.recording is not None and kinds.get(body.recording) == "video"
        return body.instrument or ("" if filmed else SOUND_INPUT)
    return ""
