"""Play between two parts, and what takes it up."""

from asfound.bench.shape import read_depths, write_fit, write_work
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots.fit import fit_picture
from asfound.plots.howto import fit_drawing
from asfound.quantity import Reading, show_reading
from asfound.shape import Fit, fit_of
from asfound.web.room import Asked, Choice, How, Row, Section, Task, both
from asfound.web.room_form import Field
from asfound.web.shape.common import (
    READING,
    WORK,
    beside,
    context_of,
    depends_field,
    fault_field,
    fault_of,
    length,
    title_of,
)

_SHAPES = ("tab in a groove", "pin in a hole")
_FREE = {"within": "it is free", "outside": "it binds", "cannot tell": "whether it is free cannot be told"}


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked of a fit."""
    return (
        Field(name="which", label="Which pair", default="tab and groove", hint="as you call it in the job"),
        Field(name="shape", label="It is a", default=_SHAPES[0], choices=_SHAPES),
        Field(name="outer", label="Groove or hole", hint="mm; several directions: 3.12 3.10"),
        Field(name="inner", label="Tab or pin", hint="mm; several directions: 3.02 3.03"),
        Field(name="u_each", label="A size is sure to", unit="mm", default="0.01", hint="one standard uncertainty"),
        Field(
            name="radius", label="Met at a radius of", unit="mm", optional=True, hint="for the angle it rattles through"
        ),
        Field(name="keep", label="Play that must stay", unit="mm", optional=True),
        Field(name="leaves", label="Shims at hand", optional=True, hint="mm, as in .03 .05 .10"),
        depends_field(job, "play"),
        fault_field(job),
    )


def fitted(asked: Asked) -> Fit:
    """Return the fit as typed.

    Raises
    ------
    BadInputError
        At the field that is wrong.
    """
    values = asked.values
    leaves = values.text("leaves").strip()
    with beside("outer", radius="radius", pin="inner"):
        return fit_of(
            outer=_sizes(asked, "outer"),
            inner=_sizes(asked, "inner"),
            radius_mm=values.maybe("radius"),
            keep_mm=values.maybe("keep") or 0.0,
            leaves_mm=read_depths(leaves, where="leaves", hundredths=False) if leaves else (),
        )


def _sizes(asked: Asked, name: str) -> tuple[Reading, ...]:
    sizes = read_depths(asked.values.text(name), where=name, hundredths=False)
    return tuple(Reading(value=size, unit="mm", standard_uncertainty=asked.values["u_each"]) for size in sizes)


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return the play, and what takes it up."""
    found, values = fitted(asked), asked.values
    drawn = both(fit_picture, found, keep_mm=values.maybe("keep") or 0.0, round_pair=values.text("shape") == _SHAPES[1])
    first = Section(
        title=title_of(values.text("which")),
        words=f"play {show_reading(found.play)}: {_FREE[found.free]}",
        pictures=drawn,
        rows=_rows(found),
        write=Choice("Write to the job", READING),
    )
    taken = Section(
        title="What takes it up",
        words=_take(found),
        rows=(Row(name="Play that remains", value=show_reading(found.take_up.remains)),),
        remarks=("a dimple is punched from behind, small, and tried after each blow; a shim can be taken out again",),
        cautions=("a punch throws chips: eye protection on, the part on hardwood",),
        write=Choice("Write as fault work", WORK),
    )
    return (first, taken) if found.take_up.wanted_mm > 0 else (first,)


def _rows(found: Fit) -> tuple[Row, ...]:
    rows = []
    if found.rattle is not None:
        rows.append(Row(name="Rattles", value=show_reading(found.rattle), meaning="from stop to stop"))
    if found.least_mm is not None:
        rows.append(Row(name="Least over a turn", value=length(found.least_mm), meaning="smallest hole on largest pin"))
    return tuple(rows)


def _take(found: Fit) -> str:
    take = found.take_up
    if take.shim_mm:
        return f"a shim of {length(take.shim_mm)}; {length(take.wanted_mm)} would be needed"
    wanted = f"a dimple or shim of {length(take.wanted_mm)} takes it up"
    return wanted if take.shim_mm is None else f"{wanted}; no shim at hand is thin enough"


def write(asked: Asked, stage: Stage, choice: str) -> tuple[Entry, ...]:
    """Write the readings, or what takes the play up as work on the fault."""
    found, which, context = fitted(asked), asked.values.text("which"), context_of(asked, stage)
    if choice == READING:
        return write_fit(context, which=which, fit=found)
    text = (
        f"{which}: play {show_reading(found.play)}. To do: {_take(found)}; {show_reading(found.take_up.remains)} stays."
    )
    return write_work(context, fault=fault_of(asked.values, f"{which} loose"), text=text)


def how() -> How:
    """Return how a fit is measured."""
    return How(
        steps=(
            "Measure the groove between its walls where the tab lies, and the tab over its sides, not at a burr.",
            "A round pair in two directions or more, a third of a turn apart: when it turns, the least counts.",
            "The radius is from the axis to where the play is met: a rattle at the rim is small at the hub.",
        ),
        pictures=both(fit_drawing),
    )


TASK = Task(
    path="fit",
    name="Fit",
    lead="Play of tab and groove, pin and hole or bayonet, and the dimple or shim that takes it up.",
    fields=fields,
    work_out=work_out,
    write=write,
    how=how,
)
