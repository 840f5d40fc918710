"""One gap from feeler answers."""

from collections.abc import Sequence

from asfound.bench.shape import read_tries, write_gap
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots.feeler import gap_picture
from asfound.plots.howto import feeler_drawing
from asfound.problems import BadInputError, Problem, bad_input
from asfound.quantity import FeelerAnswer, Reading, bracket, show_reading
from asfound.web.room import Asked, Choice, How, Row, Section, Task, both
from asfound.web.room_form import Field, Values
from asfound.web.shape.common import context_of, depends_field, length, title_of

TRY_HINT = ".35 loose .40 no; 37 drag; 14 thou drag; stacked: .30+.05 drag"
LEAF_FIELDS = (
    Field(
        name="drag_uncertainty",
        label="A leaf that drags is sure to",
        unit="mm",
        default="0.01",
        hint="one standard uncertainty; common practice, no source",
        group="Leaves",
    ),
    Field(
        name="leaf_tolerance",
        label="A leaf is marked to within",
        unit="mm",
        optional=True,
        signed=True,
        hint="as its maker says",
        group="Leaves",
    ),
)


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked of a gap."""
    last = [one.body for one in job.readings if one.body.instrument == "feeler set"]
    return (
        Field(name="tries", label="Tries", hint=TRY_HINT, wide=True),
        Field(name="quantity", label="What is measured", default=last[-1].quantity if last else "gap"),
        Field(name="place", label="Where", optional=True, hint="such as at the pointer, against the infinity stop"),
        *LEAF_FIELDS,
        depends_field(job, "gap", "height"),
    )


def gap_of(answers: Sequence[FeelerAnswer], values: Values, *, where: str) -> Reading:
    """Return the gap that the tries at one place leave.

    Raises
    ------
    BadInputError
        At the field that is wrong; tries that contradict each other are said.
    """
    tolerance = values.maybe("leaf_tolerance") or 0.0
    if tolerance < 0:
        raise bad_input("leaf_tolerance", f"{tolerance:g} mm is below zero", "give zero or more")
    reading, problems = bracket(answers, drag_uncertainty_mm=values["drag_uncertainty"], leaf_tolerance_mm=tolerance)
    if reading is None:
        raise BadInputError(*(Problem(where, one.what, one.remedy) for one in problems))
    return reading


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return what the tries leave of the gap."""
    values = asked.values
    answers = read_tries(values.text("tries"), where="tries")
    gap = gap_of(answers, values, where="tries")
    name = " ".join(word for word in (values.text("quantity"), values.text("place")) if word)
    return (
        Section(
            title=title_of(name),
            words=show_reading(gap),
            pictures=both(gap_picture, answers, gap),
            rows=_rows(answers, gap),
            remarks=() if gap.value is not None else ("only one side is known: try the next leaf for a value",),
            write=Choice("Write to the job"),
        ),
    )


def _rows(answers: Sequence[FeelerAnswer], gap: Reading) -> tuple[Row, ...]:
    rows = [Row(name="Tries", value="; ".join(str(one) for one in answers), meaning="understood so, all at one place")]
    if gap.lower is not None:
        rows.append(Row(name="At least", value=length(gap.lower), meaning="the thickest that went in loose"))
    if gap.upper is not None:
        rows.append(Row(name="Less than", value=length(gap.upper), meaning="the thinnest that would not enter"))
    return tuple(rows)


def write(asked: Asked, stage: Stage, _choice: str) -> tuple[Entry, ...]:
    """Write the gap into the job."""
    values = asked.values
    answers = read_tries(values.text("tries"), where="tries")
    gap = gap_of(answers, values, where="tries")
    context = context_of(asked, stage)
    return write_gap(context, quantity=values.text("quantity"), place=values.text("place"), answers=answers, gap=gap)


def how() -> How:
    """Return how a gap is felt."""
    return How(
        steps=(
            "Wipe leaf and faces; oil holds a leaf like a tight gap.",
            "Begin with a leaf that surely goes in loose. Keep it flat: a slanted leaf reads too thick.",
            "Go up leaf by leaf until one drags: that is the gap. If none does, the last loose one and the first "
            "that will not enter bracket it.",
            "Stack no more than two leaves, and never force one: it bends the part or shaves the leaf.",
        ),
        pictures=both(feeler_drawing),
    )


TASK = Task(
    path="",
    name="Gap",
    lead="A gap at one place, from what each feeler leaf answered.",
    fields=fields,
    work_out=work_out,
    write=write,
    how=how,
)
