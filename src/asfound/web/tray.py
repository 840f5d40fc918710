"""The tray: where every part that is off lies."""

import re
from dataclasses import dataclass

from asfound.job import Job, key
from asfound.job.pinned import say_pins
from asfound.web.sayings import say_fasteners


@dataclass(frozen=True, slots=True)
class Lying:
    """A part in the tray, its fasteners with the pins that point at them, and the step that put it there."""

    part: str
    fasteners: str
    step: str
    condition: str


@dataclass(frozen=True, slots=True)
class Cell:
    """One compartment, or another place; an empty label is nowhere said."""

    label: str
    parts: tuple[Lying, ...]


def tray_of(job: Job) -> tuple[Cell, ...]:
    """Return the places where parts lie: tray cells in their order, then other places, then nowhere."""
    cells: dict[str, tuple[str, list[Lying]]] = {}
    for step in job.steps:
        if step.back or step.action == "slackened":
            continue
        now = job.parts.get(key(step.part))
        place = now.lies if now is not None and now.whereabouts == "waiting" else step.lies
        condition = now.condition if now is not None else ""
        held = "; ".join((*filter(None, [say_fasteners(step.fasteners)]), *say_pins(job, step.id)))
        lying = Lying(step.part, held, step.number, condition)
        cells.setdefault(key(place), (place, []))[1].append(lying)
    return tuple(Cell(label, tuple(parts)) for label, parts in sorted(cells.values(), key=lambda cell: _order(cell[0])))


def _order(label: str) -> tuple[int, str, int, str]:
    """Cells such as B2 by letter and number, then names, then nowhere."""
    if not label:
        return 2, "", 0, ""
    cell = re.fullmatch(r"(?:tray\s+|cell\s+)?([A-Za-z]?)\s*(\d{1,3})", label.strip(), re.IGNORECASE)
    return (0, cell[1].upper(), int(cell[2]), "") if cell else (1, "", 0, label.casefold())
