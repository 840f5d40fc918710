"""Shared by the tasks of the shape room: problems at their fields, clock positions, faults, what a reading rests on."""

import contextlib
from collections.abc import Iterator

from asfound.bench.shape import Context
from asfound.job import Job
from asfound.job.bodies import Stage
from asfound.problems import BadInputError, Problem, bad_input
from asfound.quantity import show_length
from asfound.shape import Scuff, clock_to_deg
from asfound.shape.ring import Arc
from asfound.web.room import Asked
from asfound.web.room_form import Field, Values

READING, WORK = "reading", "work"
IN_THE_JOB = "In the job"


@contextlib.contextmanager
def beside(field: str, **others: str) -> Iterator[None]:
    """Bring what a computation refuses to a field of the form: the one named for its place in `others`, else `field`.

    The place itself stays in the words, since a field holds more than one.
    """
    try:
        yield
    except BadInputError as error:
        raise BadInputError(*(_moved(problem, field, others) for problem in error.problems)) from error


def _moved(problem: Problem, field: str, others: dict[str, str]) -> Problem:
    first = problem.where.partition(",")[0].partition(" ")[0]
    target = others.get(first, field)
    said = problem.what if problem.where == target else f"{problem.where}: {problem.what}"
    return Problem(target, said, problem.remedy)


def depends_field(job: Job, *quantities: str, default: str = "") -> Field:
    """Return the field for the parts that a reading depends on; as said for the latest reading of its kind."""
    kept = [one.body.depends_on for one in job.readings if one.body.quantity in quantities and one.body.depends_on]
    return Field(
        name="depends",
        label="Depends on",
        default=", ".join(kept[-1]) if kept else default,
        hint="parts, a comma between: touch one, and it is stale",
        optional=True,
        group=IN_THE_JOB,
    )


def fault_field(job: Job) -> Field:
    """Return the field for the fault that work is written to."""
    names = [fault.name for fault in job.faults if fault.open]
    hint = f"open: {', '.join(names)}"[:200] if names else "named as you call it"
    return Field(name="fault", label="Work belongs to the fault", optional=True, hint=hint, group=IN_THE_JOB)


def fault_of(values: Values, otherwise: str) -> str:
    """Return the fault as typed, else a plain name for it."""
    return values.text("fault").strip() or otherwise


def context_of(asked: Asked, stage: Stage) -> Context:
    """Return what the entries of a page have in common."""
    return Context(
        book=asked.book,
        job=asked.job.id,
        stage=stage,
        typed=asked.typed,
        depends_on=tuple(name.strip() for name in asked.values.text("depends").split(",") if name.strip()),
    )


def read_hours(text: str, *, where: str) -> float:
    """Return the angle of a clock position: "12", "4:30", "4.5"."""
    hours, _, minutes = text.strip().lower().removesuffix("o'clock").strip().partition(":")
    try:
        value = float(hours.replace(",", ".")) + (float(minutes) / 60 if minutes else 0.0)
    except ValueError:
        value = -1.0
    if not 0 <= value <= 12.99:
        raise bad_input(where, f"{text.strip()[:40]!r} is no clock position", "write it as in 4 or 4:30")
    return clock_to_deg(value)


def read_clock_arcs(text: str, *, where: str) -> tuple[Arc, ...]:
    """Return arcs typed as "1-2, 4:30 to 5", clockwise, as angles against the clock."""
    arcs = []
    for part in text.replace("–", "-").replace(" to ", "-").replace(";", ",").split(","):
        if not part.strip():
            continue
        start, dash, end = part.partition("-")
        if not dash:
            raise bad_input(where, f"{part.strip()[:40]!r} has no end", "write it clockwise, as in 1-2 or 4:30-5")
        arcs.append((read_hours(end, where=where), read_hours(start, where=where)))
    return tuple(arcs)


def scuffs_of(text: str, *, where: str) -> tuple[Scuff, ...]:
    """Return scuff marks typed by clock position."""
    return tuple(Scuff(*arc) for arc in read_clock_arcs(text, where=where))


def title_of(name: str) -> str:
    """Return a name as typed, as a heading."""
    return name[:1].upper() + name[1:80]


def length(value_mm: float, u_mm: float | None = None) -> str:
    """Return a length to the digit that it is sure to (a tenth of a hundredth without), with thou beside it."""
    return show_length(value_mm, u_mm or 0.01).replace("-", "−")


def signed_mm(value_mm: float) -> str:
    """Return a length with its sign, to a hundredth of a hundredth: "−0.032 mm"."""
    return f"{round(value_mm, 3) + 0.0:+.3f} mm".replace("-", "−")
