"""What must come off to reach a part: on a job, or as a model's notes tell."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace

from asfound.job.job import Job, key
from asfound.job.minutes import step_minutes
from asfound.job.notes import ServiceNotes
from asfound.job.observing import CameraSeen
from asfound.teardown.access import HeadRisk, Way
from asfound.teardown.fastener import FastenerGroup
from asfound.teardown.freeing import freed_by

USUAL_MINUTES = 3.0


def ways_in_job(job: Job, *, risk: HeadRisk | None = None) -> tuple[dict[str, tuple[Way, ...]], dict[str, str]]:
    """Return the ways by which parts came off in a job, by the key of their name, and the names.

    A part that came off twice in different ways has both. Where a step was not timed, three minutes stand for it.
    """
    heads = risk or HeadRisk()
    before, _ = freed_by(job.steps)
    part_of = {step.id: key(step.part) for step in job.steps}
    minutes = step_minutes(job)
    ways: dict[str, list[Way]] = defaultdict(list)
    for step in job.steps:
        way = Way(
            needs=frozenset(part_of[id_] for id_ in before[step.id]) - {part_of[step.id]},
            minutes=max(minutes.get(step.id, USUAL_MINUTES), 0.1),
            risk_minutes=heads.of(step.fasteners),
            tool=step.tool,
            pose=step.pose,
            fasteners=step.fasteners,
            assumed=step.assumed and bool(before[step.id]),
        )
        if all(other.needs != way.needs for other in ways[part_of[step.id]]):
            ways[part_of[step.id]].append(way)
    return {part: tuple(found) for part, found in ways.items()}, {key(s.part): s.part for s in job.steps}


def off_now(job: Job) -> frozenset[str]:
    """Return the keys of the parts that are off, or slackened, at this moment."""
    return frozenset(key(step.part) for step in job.steps if not step.back)


def ways_in_notes(
    notes: ServiceNotes, cameras: tuple[CameraSeen, ...], *, risk: HeadRisk | None = None
) -> tuple[dict[str, tuple[Way, ...]], dict[str, str]]:
    """Return the ways by which parts came off on the cameras of a model, and the names.

    What all cameras needed is one way. What one camera said freed the part, if it was less, is another. Tools and
    poses are those that most often worked; minutes are robust means.
    """
    heads = risk or HeadRisk()
    said = _said(cameras)
    fasteners = _worst_fasteners(cameras)
    ways = {}
    for part in notes.parts:
        name = key(part.part)
        needs = frozenset(notes.order.before[name])
        own = Way(
            needs=needs,
            minutes=USUAL_MINUTES if part.minutes is None else max(part.minutes, 0.1),
            risk_minutes=heads.of(fasteners.get(name, ())),
            tool=part.tools[0][0] if part.tools else "",
            pose=part.poses[0][0] if part.poses else "",
            fasteners=fasteners.get(name, ()),
            assumed=part.assumed and bool(needs),
            seen_on=part.cameras,
        )
        others = [with_needs(own, n) for n in sorted(said.get(name, ()), key=sorted) if n != needs]
        ways[name] = (own, *others)
    return ways, dict(notes.order.names)


def with_needs(way: Way, needs: frozenset[str]) -> Way:
    """Return the same way with other needs that were said."""
    return replace(way, needs=needs, assumed=False)


def _said(cameras: tuple[CameraSeen, ...]) -> Mapping[str, set[frozenset[str]]]:
    """Return, for each part, the needs that some camera said, each once."""
    said: dict[str, set[frozenset[str]]] = defaultdict(set)
    for camera in cameras:
        names = [key(step.part) for step in camera.steps]
        for step, name in zip(camera.steps, names, strict=True):
            if step.freed_by is not None:
                said[name].add(frozenset(names[n] for n in step.freed_by if n < len(names)) - {name})
    return said


def _worst_fasteners(cameras: tuple[CameraSeen, ...]) -> dict[str, tuple[FastenerGroup, ...]]:
    """Return the fasteners of each part as on the camera that had the most damaged."""
    worst: dict[str, tuple[FastenerGroup, ...]] = {}
    for camera in cameras:
        for step in camera.steps:
            held = worst.get(key(step.part), ())
            if step.fasteners and (not held or sum(g.damaged for g in step.fasteners) > sum(g.damaged for g in held)):
                worst[key(step.part)] = step.fasteners
    return worst
