"""What freed each step, said later: it loosens the order back."""

import re
from collections.abc import Iterable
from uuid import UUID

from asfound.bench.order import say_freed
from asfound.book import Book
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots.how_teardown import what_frees
from asfound.problems import bad_input
from asfound.teardown import Step
from asfound.web.room import Asked, Choice, How, Section, Table, Task, both
from asfound.web.room_form import Field


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked: a step, and the steps that freed it."""
    steps = tuple(_name(step) for step in job.steps) or ("nothing came off yet",)
    assumed = [_name(step) for step in job.steps if step.assumed]
    hint = "numbers of steps, such as 3, 5; or nothing, if it was free from the start"
    return (
        Field(name="step", label="Step", choices=steps, default=assumed[-1] if assumed else steps[-1]),
        Field(name="by", label="Was freed by", hint=hint),
    )


def _name(step: Step) -> str:
    return f"{step.number} {step.part}"


def _read(asked: Asked) -> tuple[Step, list[Step]]:
    """Return the step and those that freed it."""
    values, steps = asked.values, asked.job.steps
    chosen = next((step for step in steps if _name(step) == values.text("step")), None)
    if chosen is None:
        raise bad_input("step", "nothing came off yet", "write what comes off on the quick line first")
    typed = values.text("by")
    if typed.casefold() == "nothing":
        return chosen, []
    known = {step.number: step for step in steps}
    numbers = re.split(r"[,;\s]+", typed.strip(" ,;"))
    unknown = [number for number in numbers if number not in known]
    if unknown:
        raise bad_input("by", f"there is no step {unknown[0]!r}", f"give numbers of steps, 1 to {steps[-1].number}")
    return chosen, [known[number] for number in numbers]


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return what would be said."""
    step, by = _read(asked)
    said = ", ".join(_name(one) for one in by) or "nothing: it was free from the start"
    return (Section(title=_name(step), words=f"freed by {said}", write=Choice("Write to the job")),)


def write(asked: Asked, _stage: Stage, _choice: str) -> tuple[Entry, ...]:
    """Write what freed the step."""
    step, by = _read(asked)
    return (say_freed(asked.book, asked.job.id, step.id, [one.id for one in by]),)


def as_it_stands(_book: Book, job: Job) -> tuple[Section, ...]:
    """Return what is said and what is assumed of each step."""
    numbers = {step.id: step.number for step in job.steps}
    rows = tuple((_name(step), _said(step, numbers)) for step in job.steps)
    assumed = sum(step.assumed for step in job.steps)
    words = f"{assumed} of {len(rows)} steps assume that the whole order before them was needed"
    links = ((f"/job/{job.id}/wayback#freed", "Loosen them by a tap"),)
    table = Table(("Step", "Freed by"), rows)
    return (Section(title="As it stands", words=words, table=table, links=links),) if rows else ()


def _said(step: Step, numbers: dict[UUID, str]) -> str:
    if step.freed_by is None:
        but = _listed(step.not_by, numbers)
        return f"all before it but {but} (assumed)" if but else "all before it (assumed)"
    return _listed(step.freed_by, numbers) or "nothing"


def _listed(steps: Iterable[UUID], numbers: dict[UUID, str]) -> str:
    return ", ".join(sorted((numbers[id_] for id_ in steps if id_ in numbers), key=_order))


def _order(number: str) -> tuple[int, str]:
    return int(re.match(r"\d*", number)[0] or 0), number  # type: ignore[index]


def how() -> How:
    """Say what it means that a step freed another."""
    return How(
        title="What to say",
        pictures=both(what_frees),
        steps=(
            "Ask of each part: could it have come off while the other was still on? If so, the other did not free it.",
            "Name only those that lay over it, held it, or had to be off for hand or driver to get at it.",
            "Those that had to be off for one you name follow by themselves: they need not be named too.",
            "Not sure? Leave it as assumed: the way back then keeps the order in which it came off.",
        ),
    )


TASK = Task(
    path="freed",
    name="What freed what",
    lead="Unsaid, everything that came off before is assumed to be needed. Saying what freed a part loosens the order.",
    fields=fields,
    work_out=work_out,
    write=write,
    staged=False,
    standing=as_it_stands,
    how=how,
    keeps_typed=False,
)
