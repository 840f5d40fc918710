"""Parts that were said to be put back and were not off: put back twice, or named otherwise than when they came off."""

import difflib
from collections.abc import Iterable
from uuid import UUID

from asfound.job.bodies import AnyBody, SpacerFound, StepTaken, Tick
from asfound.job.job import Job, key
from asfound.problems import Problem


def put_back_in_vain(job: Job) -> tuple[Problem, ...]:
    """Return a problem for each entry that puts back a part that is not off then."""
    off: dict[UUID, str] = {}
    back: dict[UUID, str] = {}
    problems = []
    for number, entry in enumerate(job.entries, start=1):
        body = entry.body
        if entry.id in job.struck:
            continue
        if isinstance(body, Tick):
            here, there = (off, back) if body.done else (back, off)
            if body.step in here:
                there[body.step] = here.pop(body.step)
        elif isinstance(body, SpacerFound):
            off[entry.id] = body.name
        elif isinstance(body, StepTaken) and body.action != "back":
            off[entry.id] = body.part
        elif isinstance(body, StepTaken):
            step = next((id_ for id_ in reversed(off) if key(off[id_]) == key(body.part)), None)
            if step is None:
                problems.append(_problem(number, body.part, off, back))
            else:
                back[step] = off.pop(step)
    return tuple(problems)


def not_so(job: Job, bodies: Iterable[AnyBody]) -> tuple[str, ...]:
    """Return what a job says against lines about to be written: a part off twice, or put back that is not off."""
    off = {key(step.part): step for step in job.steps if not step.back}
    back = {key(step.part) for step in job.steps if step.back} - set(off)
    said = []
    for body in bodies:
        if not isinstance(body, StepTaken):
            continue
        name, there = key(body.part), off.get(key(body.part))
        if body.action == "off" and there is not None and there.action == "off":
            said.append(f"{body.part} is off already, step {there.number}")
        elif body.action == "back" and name in back:
            said.append(f"{body.part} is back already; put back twice?")
        elif body.action == "back" and there is None:
            near = difflib.get_close_matches(name, off, n=1, cutoff=0.5)
            said.append(f"{body.part} never came off" + (f"; did you mean {off[near[0]].part}?" if near else ""))
    return tuple(said)


def _problem(number: int, part: str, off: dict[UUID, str], back: dict[UUID, str]) -> Problem:
    if key(part) in map(key, back.values()):
        return Problem(f"entry {number}", f"{part} was put back twice", "strike it, or write that it came off again")
    names = {key(name): name for name in off.values()}
    near = difflib.get_close_matches(key(part), names, n=1, cutoff=0.5)
    remedy = f"did you mean {names[near[0]]!r}?" if near else "write first that it came off"
    return Problem(f"entry {number}", f"{part} was put back and never came off", remedy)
