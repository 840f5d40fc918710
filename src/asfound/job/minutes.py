"""How long each step took, from the times of the entries: nobody types minutes."""

import itertools
from uuid import UUID

from asfound.job.bodies import SpacerFound, StepTaken
from asfound.job.job import Job

PAUSE_MINUTES = 45.0


def work_minutes(job: Job) -> float:
    """Return the minutes of work in a job: the gaps between its entries, those over 45 minutes left out as pauses.

    What was done before a job's first entry, and after a pause until the next entry, is not in it: it errs low.
    """
    times = [job.opened_at.wall_ms, *(entry.clock.wall_ms for entry in job.live)]
    gaps = ((later - earlier) / 60_000 for earlier, later in itertools.pairwise(times))
    return sum(gap for gap in gaps if 0 <= gap <= PAUSE_MINUTES)


def step_minutes(job: Job) -> dict[UUID, float]:
    """Return, for each step that was taken off, the minutes since the entry before it.

    A gap of more than 45 minutes is a pause, not work: that step has no time. Common practice, no source.
    """
    minutes: dict[UUID, float] = {}
    earlier = job.opened_at.wall_ms
    for entry in job.live:
        gap = (entry.clock.wall_ms - earlier) / 60_000
        earlier = entry.clock.wall_ms
        if isinstance(entry.body, StepTaken | SpacerFound) and 0 <= gap <= PAUSE_MINUTES:
            minutes[entry.id] = gap
    return minutes
