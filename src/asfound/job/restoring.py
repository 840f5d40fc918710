"""What the job must come back to: readings to restore, and the way back with all that belongs to each step."""

from uuid import UUID

from asfound.job.bodies import ReadingTaken
from asfound.job.cautions import cautions_for
from asfound.job.job import Job, Kept, key
from asfound.quantity import Reading
from asfound.teardown.step import Step
from asfound.teardown.wayback import ReadingToRestore, WayBack, way_back


def way_back_of(job: Job) -> WayBack:
    """Return the way back of a job as it stands now."""
    restore, homeless = _restore_by_step(job)
    return way_back(
        job.steps,
        marks={s.id: [text for _, part, text in job.marks if key(part) == key(s.part)] for s in job.steps},
        restore=restore,
        cautions={s.id: _advice(job, s) for s in job.steps},
        waiting=_waiting_steps(job),
        unaccounted=(*_lost(job), *homeless),
    )


def readings_to_restore(job: Job) -> tuple[ReadingToRestore, ...]:
    """Return every reading that is to be come back to, with the fresh later one that did so, if any."""
    wanted = [kept for kept in job.readings if kept.body.restore]
    return tuple(
        ReadingToRestore(
            entry=kept.entry,
            quantity=kept.body.quantity,
            place=kept.body.place,
            reading=kept.body.reading,
            tolerance=kept.body.tolerance,
            restored=_restored_by(job, kept),
        )
        for kept in wanted
    )


def _restored_by(job: Job, wanted: Kept[ReadingTaken]) -> Reading | None:
    """Return the latest reading of the same thing, as left and not stale."""
    same = [
        kept.body.reading
        for kept in job.readings
        if kept.body.stage == "as left"
        and kept.stale_by is None
        and key(kept.body.quantity) == key(wanted.body.quantity)
        and key(kept.body.place) == key(wanted.body.place)
    ]
    return same[-1] if same else None


def _restore_by_step(job: Job) -> tuple[dict[UUID, list[ReadingToRestore]], list[str]]:
    """Lay each reading at the last-returning step among the parts it depends on.

    That is the step taken first: only when its part is on again can the reading be what it was.
    """
    by_step: dict[UUID, list[ReadingToRestore]] = {}
    homeless: list[str] = []
    depends = {kept.entry: {key(name) for name in kept.body.depends_on} for kept in job.readings}
    for item in readings_to_restore(job):
        step = next((s for s in job.steps if key(s.part) in depends[item.entry]), None)
        if step is not None:
            by_step.setdefault(step.id, []).append(item)
        elif item.open:
            homeless.append(
                f"{item.quantity} {item.place}".strip() + ": to be restored, at no step that took a part off"
            )
    return by_step, homeless


def _waiting_steps(job: Job) -> dict[UUID, str]:
    why = {key(waiting.part): waiting.why for waiting in job.waiting}
    return {s.id: why[key(s.part)] for s in job.steps if key(s.part) in why and not s.back}


def _lost(job: Job) -> list[str]:
    return [f"{part.name} is lost" for part in job.parts.values() if part.condition.startswith("lost")]


def _advice(job: Job, step: Step) -> list[str]:
    condition = job.parts[key(step.part)].condition if key(step.part) in job.parts else ""
    texts = (step.part, step.note, step.held_by, step.lies, condition)
    return [f"{caution.hazard}: {caution.advice}" for caution in cautions_for(*texts)]
