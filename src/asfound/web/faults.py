"""Faults as the pages show them: each with everything said of it, and by which entry."""

from dataclasses import dataclass
from uuid import UUID

from asfound.job import FaultNow, Job


@dataclass(frozen=True, slots=True)
class Said:
    """One thing said of a fault."""

    stage: str
    text: str
    entry: UUID
    number: int


@dataclass(frozen=True, slots=True)
class FaultRow:
    """A fault with all that was said of it, in order."""

    name: str
    said: tuple[Said, ...]


def fault_rows(job: Job, *, still_open: bool) -> tuple[FaultRow, ...]:
    """Return the faults that are open, or those proved gone."""
    return tuple(_row(job, fault) for fault in job.faults if fault.open is still_open)


def _row(job: Job, fault: FaultNow) -> FaultRow:
    said = tuple(Said(stage, text, entry, job.number(entry)) for stage, text, entry in fault.said)
    return FaultRow(fault.name, said)
