"""The part of the fold that follows parts and steps: what is off, where it lies, what went back."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import count
from uuid import UUID

from asfound.job.bodies import (
    PartArrived,
    PartCondition,
    PartOrdered,
    SpacerFound,
    StepFreed,
    StepTaken,
    Tick,
)
from asfound.job.entry import Entry
from asfound.job.job import PartNow, key
from asfound.quantity import CameraState
from asfound.teardown.step import Step


def fold_steps(ordered: Sequence[Entry], struck: set[UUID], states: dict[UUID, CameraState]) -> tuple[Step, ...]:
    """Return the steps in the order the parts came off, a late-found spacer where it belongs.

    Struck steps keep their number, so that no number changes under the hands; only they are not returned.
    """
    steps: list[Step] = []
    numbers = count(1)
    for entry in ordered:
        body = entry.body
        number = str(next(numbers)) if isinstance(body, StepTaken) and body.action != "back" else ""
        if entry.id in struck:
            continue
        if isinstance(body, SpacerFound):
            _insert_spacer(steps, entry.id, body, states[entry.id])
        elif isinstance(body, StepTaken) and number:
            steps.append(_step(entry.id, number, body, states[entry.id]))
        elif isinstance(body, StepTaken):
            _put_back(steps, body)
        elif isinstance(body, Tick):
            steps[:] = [_ticked(s, body.done) if s.id == body.step else s for s in steps]
        elif isinstance(body, StepFreed):
            steps[:] = [_freed(s, body) if s.id == body.step else s for s in steps]
    return tuple(steps)


def _step(id_: UUID, number: str, body: StepTaken, state: CameraState) -> Step:
    assert body.action != "back"
    return Step(
        id=id_,
        number=number,
        action=body.action,
        part=body.part,
        turns=body.turns,
        fasteners=body.fasteners,
        lies=body.lies,
        held_by=body.held_by,
        freed_by=None if body.freed_by is None else frozenset(body.freed_by),
        tool=body.tool,
        pose=body.pose,
        note=body.note,
        state=state,
    )


def _insert_spacer(steps: list[Step], id_: UUID, body: SpacerFound, state: CameraState) -> None:
    """Put a spacer behind the step it belongs after, and behind other spacers found there."""
    place = next((n for n, s in enumerate(steps, start=1) if s.id == body.belongs_after), len(steps))
    while place < len(steps) and steps[place].action == "spacer":
        place += 1
    base = next((s.number for s in reversed(steps[:place]) if s.action != "spacer"), "0")
    found_there = sum(s.action == "spacer" and s.number.startswith(base + "s") for s in steps)
    between = " and ".join(body.between)
    step = Step(
        id=id_,
        number=f"{base}s{found_there + 1}",
        action="spacer",
        part=body.name,
        lies=body.lies,
        freed_by=None if body.belongs_after is None else frozenset({body.belongs_after}),
        note=f"between {between}. {body.note}".strip() if between else body.note,
        state=state,
    )
    steps.insert(place, step)


def _put_back(steps: list[Step], body: StepTaken) -> None:
    """Mark the latest step not yet undone that took this part off or slackened it."""
    for place in range(len(steps) - 1, -1, -1):
        if key(steps[place].part) == key(body.part) and not steps[place].back:
            steps[place] = replace(steps[place], back=True, fasteners_back=body.fasteners or None)
            return


def _freed(step: Step, body: StepFreed) -> Step:
    """Return a step with what was said later of what freed it; one said not to have is added to those before."""
    if body.freed_by is not None:
        return replace(step, freed_by=frozenset(body.freed_by), not_by=frozenset())
    return replace(step, freed_by=None, not_by=step.not_by | set(body.not_by) if body.not_by else frozenset())


def _ticked(step: Step, done: bool) -> Step:
    """Return a step done, or not done after all: then nothing of it went back."""
    return replace(step, back=done, fasteners_back=step.fasteners_back if done else None)


def fold_parts(live: Sequence[Entry], steps: Sequence[Step]) -> dict[str, PartNow]:
    """Return every part named in the job: where it is and in what condition, by `key` of its name."""
    parts = {key(s.part): _part_of_step(s) for s in steps}
    for entry in live:
        body = entry.body
        if isinstance(body, PartCondition):
            now = parts.get(key(body.part), PartNow(body.part, "in the camera"))
            using = f" with {body.using}" if body.using else ""
            parts[key(body.part)] = replace(now, condition=body.condition + using)
        elif isinstance(body, PartOrdered):
            now = parts.get(key(body.part), PartNow(body.part, "wanted"))
            parts[key(body.part)] = replace(now, whereabouts="waiting", lies=body.where or "on order")
        elif isinstance(body, PartArrived):
            now = parts.get(key(body.part), PartNow(body.part, "here"))
            parts[key(body.part)] = replace(now, whereabouts="here", lies="")
    return parts


def _part_of_step(step: Step) -> PartNow:
    if step.back:
        return PartNow(step.part, "in the camera", step=step.id)
    whereabouts = "slackened" if step.action == "slackened" else "off"
    return PartNow(step.part, whereabouts, lies=step.lies, step=step.id)
