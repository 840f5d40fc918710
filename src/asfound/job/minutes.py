"""How long each step took, from the times of the entries: nobody types minutes."""

from uuid import UUID

from asfound.job.bodies import SpacerFound, StepTaken, Tick
from asfound.job.job import Job

PAUSE_MINUTES = 45.0


def step_minutes(job: Job) -> dict[UUID, float]:
    """Return, for each step that was taken off, the minutes since the entry before it.

    A gap of more than 45 minutes is a pause, not work: that step has no time. Common practice, no source.
    """
    return _gaps(job, (StepTaken, SpacerFound))


def minutes_back(job: Job) -> dict[UUID, float]:
    """Return, for each entry that put something back, the minutes since the entry before it."""
    return _gaps(job, (Tick,))


def _gaps(job: Job, kinds: tuple[type, ...]) -> dict[UUID, float]:
    minutes: dict[UUID, float] = {}
    earlier = job.opened_at.wall_ms
    for entry in job.live:
        gap = (entry.clock.wall_ms - earlier) / 60_000
        earlier = entry.clock.wall_ms
        if isinstance(entry.body, kinds) and 0 <= gap <= PAUSE_MINUTES:
            minutes[entry.id] = gap
    return minutes
