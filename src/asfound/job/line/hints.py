"""Questions that stop nothing: a part's name close to a known one, a note that was perhaps meant as more."""

import difflib
import re
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
from asfound.job.line.words import BEGINNINGS

_CLOSE = 0.75
_CLOSE_WORD = 0.82


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


def hints_for_note(text: str, memory: LineMemory) -> tuple[str, ...]:
    """Return what a free note may have been meant as; nothing where it is plainly prose."""
    words = text.split()
    first = words[0].rstrip(":,;.").lower()
    near = difflib.get_close_matches(first, BEGINNINGS, n=1, cutoff=_CLOSE_WORD) if len(first) > 3 else []
    if near and near[0] != first:
        return (f"kept as a note; did you mean it to begin with: {near[0]}?",)
    if text[:1].isdigit() or text[:1] in ".,+-":
        return ("kept as a note; a number begins it, but it does not read as one reading",)
    if step := re.search(r"\b(off|back|slackened)\b", text):
        said = text.casefold()
        if any(said.startswith(part.casefold() + " ") for part in memory.parts):
            return (f"kept as a note; a step begins with its word: {step[1]} ...",)
    if re.search(r"\d\s*(?:mm|thou|gf|N|deg)\b", text):
        return ("kept as a note; a reading begins with its quantity, or with the word reading",)
    return ()


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
