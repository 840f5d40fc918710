"""A job as it stands now: what the fold of its entries gives."""

import functools
from dataclasses import dataclass
from typing import Generic, TypeVar
from uuid import UUID

from asfound.job.bodies import (
    Camera,
    FiringsSet,
    HowRecorded,
    Instrument,
    Photo,
    Proof,
    ReadingTaken,
    Recording,
    ShutterTable,
    SpacerFound,
)
from asfound.job.clock import Stamp
from asfound.job.entry import Entry
from asfound.job.pinning import PinNow
from asfound.job.waits import Waiting
from asfound.quantity import CameraState
from asfound.teardown.step import Step

B = TypeVar("B")


@functools.lru_cache(maxsize=20_000)
def key(name: str) -> str:
    """Return the form by which names are compared: case and spacing do not count."""
    return " ".join(name.casefold().split())


@dataclass(frozen=True, slots=True)
class PartNow:
    """A part: whether it is on, where it lies, its condition, and the step that took it off."""

    name: str
    whereabouts: str
    lies: str = ""
    condition: str = ""
    step: UUID | None = None


@dataclass(frozen=True, slots=True)
class Kept(Generic[B]):
    """A reading, table or proof with the state it was made in and, if stale, the entry that made it so."""

    entry: UUID
    body: B
    state: CameraState
    made_at: Stamp
    stale_by: UUID | None = None


@dataclass(frozen=True, slots=True)
class FaultNow:
    """A fault with everything said of it, in order; open until its proof."""

    name: str
    said: tuple[tuple[str, str, UUID], ...]

    @property
    def open(self) -> bool:
        """Whether nothing yet proves it gone."""
        return self.said[-1][0] != "proof"


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """Everything that the entries of one job say together.

    Attributes
    ----------
    entries, live : tuple of Entry
        All, in the order they fold; and those that count: neither struck through nor the strikes themselves.
    how_recorded, firings_set : dict
        By recording, what was last said of how it was made, and of how its firings are set against the dial.
    """

    id: UUID
    ticket: str
    camera: Camera
    complaint: str
    opened_at: Stamp
    touched_at: Stamp
    entries: tuple[Entry, ...]
    live: tuple[Entry, ...]
    struck: frozenset[UUID]
    state: CameraState
    states: dict[UUID, CameraState]
    steps: tuple[Step, ...]
    parts: dict[str, PartNow]
    readings: tuple[Kept[ReadingTaken], ...]
    tables: tuple[Kept[ShutterTable], ...]
    proofs: tuple[Kept[Proof], ...]
    spacers: tuple[tuple[UUID, SpacerFound], ...]
    marks: tuple[tuple[UUID, str, str], ...]
    expectations: tuple[tuple[UUID, str, bool | None], ...]
    faults: tuple[FaultNow, ...]
    photos: tuple[tuple[UUID, Photo], ...]
    pins: tuple[PinNow, ...]
    recordings: tuple[tuple[UUID, Recording], ...]
    how_recorded: dict[UUID, HowRecorded]
    firings_set: dict[UUID, FiringsSet]
    instruments: tuple[Instrument, ...]
    waiting: tuple[Waiting, ...]
    handed_over: Entry | None

    def number(self, entry: UUID) -> int:
        """Return an entry's number in this job, from 1, in the order they fold."""
        return next(n for n, e in enumerate(self.entries, start=1) if e.id == entry)
