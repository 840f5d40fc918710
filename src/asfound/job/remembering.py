"""What the quick line remembers of a job, so that a repeat is one number."""

from asfound.job.bodies import Opened, ReadingTaken, Stage
from asfound.job.job import Job, key
from asfound.job.line import LineMemory
from asfound.job.restoring import due_of


def memory_of(job: Job) -> LineMemory:
    """Return the memory of the quick line: a pure part of the fold."""
    last = job.readings[-1].body if job.readings else None
    steps = [s for s in job.steps if s.action != "spacer"]
    entries = {number: entry.id for number, entry in enumerate(job.entries, start=1)}
    latest = next((e.id for e in reversed(job.live) if not isinstance(e.body, Opened)), None)
    return LineMemory(
        step=steps[-1].id if steps else None,
        quantity=last.quantity if last else "",
        place=last.place if last else "",
        places=_places(job, last),
        instrument=last.instrument if last else "",
        unit=last.reading.unit if last else "",
        units={kept.body.quantity.casefold(): kept.body.reading.unit for kept in job.readings},
        stage=_stage(job, last),
        depends_on=last.depends_on if last else (),
        last=last,
        parts=tuple(part.name for part in job.parts.values()),
        steps={step.number: step.id for step in job.steps},
        step_parts={step.id: step.part for step in job.steps},
        entries=entries,
        expectations=tuple(id_ for id_, _, held in job.expectations if held is None),
        state=job.state,
        due=due_of(job) if any(step.back for step in job.steps) else (),
        last_entry=latest,
    )


def _places(job: Job, last: ReadingTaken | None) -> tuple[str, ...]:
    """Return the stations of the last quantity in the order they were first read."""
    if last is None:
        return ()
    same = [kept.body.place for kept in job.readings if key(kept.body.quantity) == key(last.quantity)]
    return tuple(dict.fromkeys(place for place in same if place))


def _stage(job: Job, last: ReadingTaken | None) -> Stage:
    """Once a step is undone, readings are as left; before, as the last one was."""
    if any(step.back for step in job.steps):
        return "as left"
    return last.stage if last else "as found"
