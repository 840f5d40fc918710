"""The part of the record that is parts: spacers, parts from outside, adjusters, steps, marks, cleaning."""

from asfound.job import Job, key
from asfound.job.bodies import AdjusterMoved, PartArrived, PartCondition, PartOrdered
from asfound.report.saying import say_day, say_reading
from asfound.teardown.step import Step

Rows = tuple[tuple[str, ...], ...]


def spacers(job: Job) -> Rows:
    """Return the spacers and shims, where each belongs, and whether it was found late."""
    numbers = {step.id: step.number for step in job.steps}
    rows = []
    for id_, spacer in job.spacers:
        after = numbers.get(spacer.belongs_after) if spacer.belongs_after is not None else None
        places = [f"between {' and '.join(spacer.between)}"] if spacer.between else []
        places += [f"after step {after}"] if after else []
        remarks = [f"step {numbers[id_]}"] if id_ in numbers else []
        remarks += ["found late"] if spacer.late else []
        rows.append(
            (
                spacer.name,
                "not measured" if spacer.thickness is None else say_reading(spacer.thickness),
                ", ".join(places) or "not written down",
                ". ".join([", ".join(remarks), *([spacer.note] if spacer.note else [])]) or "none",
            )
        )
    return tuple(rows)


def parts_from_outside(job: Job) -> Rows:
    """Return each order or sending away with its arrival; a part that came unordered says so."""
    rows: list[list[str]] = []
    waiting: dict[str, list[str]] = {}
    for entry in job.live:
        body = entry.body
        if isinstance(body, PartOrdered):
            expected = f"not here; expected {body.expected.isoformat()}" if body.expected else "not here"
            row = [body.part, body.where or "not written down", say_day(entry.clock), expected]
            waiting[key(body.part)] = row
            rows.append(row)
        elif isinstance(body, PartArrived):
            there = waiting.pop(key(body.part), None)
            if there is not None:
                there[3] = say_day(entry.clock)
            else:
                rows.append([body.part, "not written down", "not written down", say_day(entry.clock)])
    return tuple(tuple(row) for row in rows)


def adjusters(job: Job) -> Rows:
    """Return the moves of adjusters, in order."""
    return tuple(
        (
            body.adjuster,
            " ".join(word for word in (body.direction, body.amount) if word) or "how far was not written down",
            body.before or "not written down",
            body.after or "not written down",
            say_day(entry.clock),
        )
        for entry in job.live
        if isinstance(body := entry.body, AdjusterMoved)
    )


def steps(job: Job) -> Rows:
    """Return the steps in the order they were taken, and where each part is now."""
    return tuple((step.number, _what(step), _remarks(step), _now(step)) for step in job.steps)


def _what(step: Step) -> str:
    match step.action:
        case "slackened":
            return f"{step.part}, slackened"
        case "spacer":
            return f"{step.part} (spacer)"
        case _:
            return step.part


def _remarks(step: Step) -> str:
    turns = [] if step.turns is None else [f"{step.turns:g} turns"]
    fasteners = [str(group) for group in step.fasteners]
    tool = [f"with {step.tool}"] if step.tool else []
    return "; ".join([*turns, *fasteners, *tool, *([step.note] if step.note else [])]) or "none written down"


def _now(step: Step) -> str:
    if step.back:
        return "back"
    return f"off, {step.lies}" if step.lies else "not back"


def marks(job: Job) -> Rows:
    """Return the orientation marks."""
    return tuple((part, text) for _, part, text in job.marks)


def conditions(job: Job) -> Rows:
    """Return the changes of condition, in order."""
    return tuple(
        (body.part, body.condition, body.using or "not written down", body.note or "none", say_day(entry.clock))
        for entry in job.live
        if isinstance(body := entry.body, PartCondition)
    )
