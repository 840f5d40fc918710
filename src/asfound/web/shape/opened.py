"""The standard opened again and again, then pushed and pulled: how well it comes back, and how far it gives."""

from asfound.bench.shape import read_depths, write_erection
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots.frame import erection_picture
from asfound.plots.howto import push_pull_drawing
from asfound.problems import bad_input
from asfound.quantity import Reading, show_number, show_reading
from asfound.shape import Erection, StrutGive, compare_struts, erection, give, tilt_between_deg
from asfound.web.room import Asked, Choice, How, Row, Section, Task, both
from asfound.web.room_form import Field
from asfound.web.shape.common import beside, context_of, depends_field, length
from asfound.web.shape.standard import AS_HUNDREDTHS

Given = tuple[StrutGive | tuple[str, Reading], ...]


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked of a standard opened again."""
    pushed = "A push and a pull at the lens"
    return (
        Field(name="heights", label="Height at each opening", hint="five are usual, as in 63.42 -2 1 0 3", wide=True),
        Field(
            name="mode", label="After the first, they are", default=AS_HUNDREDTHS, choices=(AS_HUNDREDTHS, "each in mm")
        ),
        Field(name="u_each", label="A height is sure to", unit="mm", default="0.01", hint="one standard uncertainty"),
        Field(name="push", label="Pushed with", unit="N", optional=True, hint="as in 5 N or 500 gf", group=pushed),
        Field(name="pull", label="Pulled with", unit="N", optional=True, group=pushed),
        Field(
            name="struts",
            label="Each strut: height pushed, pulled",
            optional=True,
            lines=True,
            hint="a line each, in mm: left 63.40 63.47",
            group=pushed,
        ),
        Field(
            name="apart",
            label="Struts are apart",
            unit="mm",
            optional=True,
            hint="for the tilt between two",
            group=pushed,
        ),
        depends_field(job, "scatter of erection", default="front standard, struts, strut springs"),
    )


def erected(asked: Asked) -> tuple[tuple[float, ...], Erection, Given, float | None]:
    """Return the heights, their scatter, what each strut gives, and the tilt between two of them per newton.

    Raises
    ------
    BadInputError
        At the field that is wrong.
    """
    values = asked.values
    heights = read_depths(values.text("heights"), where="heights", hundredths=values.text("mode") == AS_HUNDREDTHS)
    with beside("heights"):
        found = erection(heights, instrument_uncertainty_mm=values["u_each"])
    gives = _gives(asked)
    return heights, found, _compared(gives), _tilt(asked, gives)


def _gives(asked: Asked) -> dict[str, Reading]:
    values = asked.values
    found: dict[str, Reading] = {}
    for n, text in enumerate(values.text("struts").splitlines(), start=1):
        words = text.replace(", ", " ").split()
        if not words:
            continue
        if len(words) < 3:
            raise bad_input(
                "struts", f"line {n}: {text.strip()[:40]!r} has not a name and two heights", "left 63.40 63.47"
            )
        push, pull = _force(asked, "push"), _force(asked, "pull")
        pushed, pulled = read_depths(" ".join(words[-2:]), where="struts", hundredths=False)
        name = " ".join(words[:-2])
        if name in found:
            raise bad_input("struts", f"line {n}: {name[:40]!r} is there twice", "name each strut once")
        found[name] = give(pushed_mm=pushed, pulled_mm=pulled, push_n=push, pull_n=pull, u_height_mm=values["u_each"])
    return found


def _force(asked: Asked, name: str) -> float:
    force = asked.values.maybe(name)
    if force is None:
        raise bad_input(name, "nothing was typed here", "give the force with which the struts were tried")
    return force


def _compared(gives: dict[str, Reading]) -> Given:
    return compare_struts(gives) if len(gives) > 1 else tuple(gives.items())


def _tilt(asked: Asked, gives: dict[str, Reading]) -> float | None:
    apart = asked.values.maybe("apart")
    if apart is None or len(gives) != 2:
        return None
    first, second = (one.value or 0.0 for one in gives.values())
    return tilt_between_deg(first_mm=first, second_mm=second, apart_mm=apart)


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return how well the standard comes back, and how far it gives."""
    heights, found, gives, tilt = erected(asked)
    scatter, freedom = found.scatter.standard_uncertainty or 0.0, len(heights) - 1
    return (
        Section(
            title="Opened again",
            words=f"one opening differs from another by ± {length(scatter)}, one standard deviation",
            pictures=both(erection_picture, heights),
            rows=(
                Row(name="Mean height", value=show_reading(found.height)),
                Row(name="Range", value=length(found.range_mm), meaning=f"over {len(heights)} openings"),
                *_give_rows(gives),
                *_tilt_rows(tilt),
            ),
            remarks=(
                f"on {freedom} degree{'s' if freedom > 1 else ''} of freedom; the front standard's task takes it into "
                "every focus uncertainty",
            ),
            write=Choice("Write to the job"),
        ),
    )


def _give_rows(gives: Given) -> tuple[Row, ...]:
    return tuple(_give_row(one) for one in gives)


def _give_row(one: StrutGive | tuple[str, Reading]) -> Row:
    name, reading = (one.name, one.give) if isinstance(one, StrutGive) else one
    value, u = reading.value or 0.0, reading.standard_uncertainty
    plus = f" ± {show_number(u, u)}" if u else ""
    meaning = f"{one.times_others:.2g} times the others: {one.verdict}" if isinstance(one, StrutGive) else ""
    return Row(name=f"Gives, {name[:40]}", value=f"{show_number(value, u)}{plus} mm/N", meaning=meaning)


def _tilt_rows(tilt: float | None) -> tuple[Row, ...]:
    if tilt is None:
        return ()
    return (Row(name="Tilts", value=f"{abs(tilt):.4f}° per newton", meaning="as one side gives more than the other"),)


def write(asked: Asked, stage: Stage, _choice: str) -> tuple[Entry, ...]:
    """Write scatter and give into the job."""
    _, found, gives, _ = erected(asked)
    return write_erection(context_of(asked, stage), found=found, gives=gives)


def how() -> How:
    """Return how erection is tried."""
    return How(
        steps=(
            "Gauge one height, close the camera, open it as its owner would, gauge the same place again: five times.",
            "Then push at the lens with a spring balance, read the height at each strut; pull as hard, read again.",
            "Same force, same place, straight along the axis: a slanted pull reads as play.",
        ),
        pictures=both(push_pull_drawing),
        cautions=("a standard under spring load can snap over: fingers clear of door and struts",),
    )


TASK = Task(
    path="opened",
    name="Opened again",
    lead="How well the standard comes back when opened, and how far it gives to a push and a pull.",
    fields=fields,
    work_out=work_out,
    write=write,
    how=how,
)
