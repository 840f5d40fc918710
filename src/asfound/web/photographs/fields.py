"""What the form of a pin holds: where it is, and the fastener it points at, chosen or typed."""

from collections.abc import Mapping
from dataclasses import replace
from uuid import UUID

from asfound.job import Job
from asfound.job.bodies import Pin, StepTaken
from asfound.job.line import parse_line
from asfound.problems import BadInputError, Problem, bad_input
from asfound.quantity.units import parse_quantity
from asfound.teardown.fastener import FastenerGroup

LONGEST_MM = 499.0
# In the form of a pin that is there: its fastener stays.
KEPT = "as it is"


def read_pin(job: Job, typed: Mapping[str, str], now: Pin | None = None) -> Pin:
    """Return the pin that a form describes; `now` is the one it changes.

    Raises
    ------
    BadInputError
        With every field that cannot be read.
    """
    problems: list[Problem] = []

    def share(name: str) -> float | None:
        try:
            return _share(typed.get(name, ""), name)
        except BadInputError as error:
            problems.extend(error.problems)
            return None

    x, y, tip_x, tip_y = (share(name) for name in ("x", "y", "tip_x", "tip_y"))
    if (tip_x is None) != (tip_y is None):
        problems.append(Problem("tip_x", "an arrow's tip needs both its numbers", "give both, or neither"))
    if not problems and (x is None or y is None):
        problems.append(Problem("x", "where the pin goes is not said", "tap the photograph, or give both numbers"))
    try:
        step, fastener, label = _fastener(job, typed, now)
    except BadInputError as error:
        raise BadInputError(*problems, *error.problems) from None
    if problems or x is None or y is None:
        raise BadInputError(*problems)
    return Pin(x=x, y=y, tip_x=tip_x, tip_y=tip_y, label=label, fastener=fastener, step=step)


def _share(text: str, where: str) -> float | None:
    if not text.strip():
        return None
    try:
        percent = float(text.strip().removesuffix("%").replace(",", "."))
    except ValueError:
        percent = float("nan")
    if not 0 <= percent <= 100:
        raise bad_input(where, f"{text[:40]!r} is no place on the photograph", "give 0 to 100, from the upper left")
    return percent / 100


def _fastener(job: Job, typed: Mapping[str, str], now: Pin | None) -> tuple[UUID | None, FastenerGroup | None, str]:
    """Return the step, the fastener and the words of a pin."""
    label = " ".join(typed.get("label", "").split())
    chosen = typed.get("fastener", "")
    length_mm = _length(typed.get("length", ""))
    if not chosen:
        group, label = _typed_fastener(label)
        if length_mm is not None:
            group = replace(group or FastenerGroup(), length_mm=length_mm)
        return None, group, label[:400]
    if chosen == KEPT and now is not None:
        kept = now.fastener
        if kept is not None and length_mm is not None:
            kept = replace(kept, length_mm=length_mm)
        return now.step, kept, label[:400]
    step, group = _chosen(job, chosen)
    one = replace(group, count=1, damaged=min(group.damaged, 1), length_mm=length_mm or group.length_mm)
    return step, one, label[:400]


def _length(text: str) -> float | None:
    if not text.strip():
        return None
    length = parse_quantity(text, unit="mm", where="length")
    if not 0 < length <= LONGEST_MM:
        raise bad_input("length", f"{length:g} mm is no length of a fastener", f"give 0 to {LONGEST_MM:g} mm")
    return length


def _chosen(job: Job, chosen: str) -> tuple[UUID, FastenerGroup]:
    name, _, index = chosen.partition("/")
    for step in job.steps:
        if str(step.id) == name and index.isdecimal() and int(index) < len(step.fasteners):
            return step.id, step.fasteners[int(index)]
    raise bad_input("fastener", "it is not among the job's fasteners any more", "choose it anew")


def _typed_fastener(words: str) -> tuple[FastenerGroup | None, str]:
    """Return the fastener that the words name as they would on the quick line; otherwise they stay words."""
    if not words:
        return None, ""
    understood = parse_line(f"off pinned part, 1 {words}")
    body = understood.bodies[0] if len(understood.bodies) == 1 and not understood.problems else None
    if isinstance(body, StepTaken) and body.part == "pinned part" and len(body.fasteners) == 1:
        bare = StepTaken(action="off", part="pinned part", fasteners=body.fasteners)
        if body == bare and body.fasteners[0].count == 1:
            return body.fasteners[0], ""
    return None, words
