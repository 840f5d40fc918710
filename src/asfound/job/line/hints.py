"""Questions that stop nothing: a part's name close to one that the job knows."""

import difflib
from collections.abc import Iterator, Sequence

from asfound.job.bodies import (
    AdjusterMoved,
    AnyBody,
    Mark,
    PartArrived,
    PartCondition,
    PartOrdered,
    ReadingTaken,
    SpacerFound,
    StepTaken,
)
from asfound.job.line.memory import LineMemory

_CLOSE = 0.75


def hints_for(bodies: Sequence[AnyBody], memory: LineMemory) -> tuple[str, ...]:
    """Return a hint for each part that the job does not know but nearly does."""
    known = {part.casefold(): part for part in memory.parts}
    hints = []
    for name in dict.fromkeys(name for body in bodies for name in _parts(body)):
        if name.casefold() in known:
            continue
        near = difflib.get_close_matches(name.casefold(), list(known), n=1, cutoff=_CLOSE)
        if near:
            hints.append(f"{name} is new to this job; did you mean {known[near[0]]}?")
    return tuple(hints)


def _parts(body: AnyBody) -> Iterator[str]:
    match body:
        case StepTaken() | Mark() | PartCondition() | PartOrdered() | PartArrived():
            yield body.part
        case AdjusterMoved():
            yield body.adjuster
        case SpacerFound():
            yield from body.between
        case ReadingTaken():
            yield from body.depends_on
