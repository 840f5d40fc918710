"""What must come off to reach a part."""

from asfound.bench.access import AccessFound, access_on_job, access_on_model
from asfound.job import Job
from asfound.problems import BadInputError, NotFoundError
from asfound.web.room import Asked, Row, Section, Table, Task
from asfound.web.room_form import Field

_HERE, _WHOLE = "this camera as it is", "a whole one of its model"


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked: which parts, on which camera."""
    names = list(dict.fromkeys(step.part for step in job.steps))
    hint = f"such as {', '.join(names[-2:])}" if names else "as the notes of the model call it"
    return (
        Field(name="part", label="Part to reach", hint=f"{hint}; several with commas", wide=True),
        Field(name="on", label="On", default=_HERE, choices=(_HERE, _WHOLE)),
    )


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return the parts that must come off, with the least work."""
    values = asked.values
    parts = [part.strip() for part in values.text("part").split(",") if part.strip()]
    try:
        if values.text("on") == _WHOLE:
            found = access_on_model(asked.book, asked.job.camera.model, parts)
        else:
            found = access_on_job(asked.book, str(asked.job.id), parts)
    except NotFoundError as error:  # of a part: it belongs beside its field
        raise BadInputError(*error.problems) from None
    return (_section(found),)


def _section(found: AccessFound) -> Section:
    access, wanted = found.access, ", ".join(found.targets)
    if not access.steps:
        return Section(title=f"To reach {wanted}", words="Nothing more must come off")
    number = len(access.steps)
    rows = (
        Row("Work", f"about {access.minutes:.0f} min", "as long as the steps took"),
        Row("Chewed heads", f"{access.risk_minutes:.1f} min", "what they are likely to cost"),
        *((Row("Lay ready", ", ".join(access.tools)),) if access.tools else ()),
        *((Row("Hold it so", ", ".join(access.poses)),) if access.poses else ()),
    )
    steps = tuple(
        (
            f"{n}. {step.part}",
            "; ".join(str(group) for group in step.way.fasteners) or "–",
            ", ".join(word for word in (step.way.tool, step.way.pose) if word) or "–",
            f"{step.way.minutes:.1f}",
        )
        for n, step in enumerate(access.steps, start=1)
    )
    sure = "the least there is" if access.proved else f"the best found; none is below {access.lower_bound:.0f} min"
    return Section(
        title=f"To reach {wanted}",
        words=f"{number} {'part' if number == 1 else 'parts'} to take off, {sure}",
        rows=rows,
        table=Table(("Part", "Fasteners", "With", "Minutes"), steps),
        remarks=(f"Rests on {found.rests_on}", *_assumed(access.assumed)),
    )


def _assumed(lines: tuple[str, ...]) -> tuple[str, ...]:
    """Return in one line for which parts the whole order before them is assumed."""
    names = ", ".join(line.partition(":")[0] for line in lines)
    why = "everything that came off before them is assumed to be needed; say it under “What freed what”"
    return (f"Nobody said what freed {names}: {why}",) if lines else ()


TASK = Task(
    path="access",
    name="Reach a part",
    lead="What must come off to reach it, with the least work and risk.",
    fields=fields,
    work_out=work_out,
)
