"""Which driver reaches a screw."""

import math

from asfound.bench.drivers import own_drivers
from asfound.job import Job
from asfound.plots.how_screws import screw_in_well
from asfound.problems import BadInputError, bad_input
from asfound.teardown.reach import MOST_TILT_DEG, Driver, Obstacle, Reach, driver_reach, read_driver
from asfound.web.room import Asked, How, Row, Section, Table, Task, both
from asfound.web.room_form import Field, Values

_BESIDE = "Something beside the screw"


def fields(_job: Job) -> tuple[Field, ...]:
    """Return what is asked of the place, the screw, and the drivers at hand."""
    return (
        Field(name="depth", label="Depth", unit="mm", most=499, hint="from the slot to where the handle has room"),
        Field(name="opening", label="Opening over it", unit="mm", most=499, optional=True, hint="diameter of the well"),
        Field(name="height", label="Its edge stands over the slot", unit="mm", optional=True, group=_BESIDE),
        Field(
            name="gap",
            label="Its edge lies beside the axis",
            unit="mm",
            optional=True,
            signed=True,
            group=_BESIDE,
            hint="below zero where it stands over the axis",
        ),
        Field(name="slot", label="Width of the slot", unit="mm", most=499, optional=True),
        Field(name="head", label="Diameter of the head", unit="mm", optional=True),
        Field(
            name="drivers",
            label="More drivers at hand",
            lines=True,
            optional=True,
            hint="beside your own; one a line, blade then shaft: 0.4x2 shaft 2x40 handle 8",
        ),
    )


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return the driver that the place asks for, and how each at hand does."""
    values = asked.values
    obstacle = None
    if values.known("height", "gap"):
        obstacle = Obstacle(height_mm=values["height"], gap_mm=values["gap"])
    found = driver_reach(
        depth_mm=values["depth"],
        opening_mm=values.maybe("opening"),
        obstacle=obstacle,
        slot_width_mm=values.maybe("slot"),
        head_diameter_mm=values.maybe("head"),
        drivers=[*own_drivers(asked.book), *_drivers(values)],
    )
    return (_section(found, f"/job/{asked.job.id}/teardown/drivers"),)


def _drivers(values: Values) -> list[Driver]:
    drivers = []
    for number, line in enumerate(values.text("drivers").splitlines(), start=1):
        if line.strip():
            try:
                drivers.append(read_driver(line, where=f"drivers, line {number}"))
            except BadInputError as error:
                raise bad_input("drivers", error.problems[0].what, error.problems[0].remedy) from None
    return drivers


def _section(found: Reach, kept_at: str) -> Section:
    straight, tilted = found.straight_diameter_mm, found.tilted_diameter_mm
    reaching = [fit for fit in found.drivers if fit.reaches]
    words = ""
    if found.drivers:
        words = f"take {reaching[0].driver}" if reaching else "none of your drivers reaches it"
    rows = [
        Row("Shaft, length", f"at least {found.shaft_length_mm:.0f} mm"),
        Row("Shaft, upright", f"at most {straight:.1f} mm thick" if straight > 0 else "none stands upright"),
    ]
    if tilted > straight:
        rows.append(Row("Shaft, leaning", f"at most {tilted:.1f} mm thick", f"by {MOST_TILT_DEG:g}°: more climbs out"))
    if found.blade_thickness_mm[1] < math.inf:
        low, high = found.blade_thickness_mm
        rows.append(Row("Blade, thickness", f"{low:.2f} to {high:.2f} mm"))
    if found.blade_width_mm < math.inf:
        rows.append(Row("Blade, width", f"at most {found.blade_width_mm:.1f} mm"))
    drivers = tuple(
        (str(fit.driver), "reaches" if fit.reaches else "no", f"{fit.tilt_deg:.0f}°", "; ".join(fit.why_not) or "–")
        for fit in found.drivers
    )
    table = Table(("Driver", "Reaches", "Leans", "Why not"), drivers) if drivers else None
    links = ((kept_at, "Your drivers"),)
    return Section(title="What reaches it", words=words, rows=tuple(rows), table=table, links=links)


def how() -> How:
    """Return what is measured, and with what."""
    return How(
        pictures=both(screw_in_well),
        steps=(
            "Measure the depth with the tail of a calliper, from the slot to the edge on which the handle would rest.",
            "Measure the widest obstacle beside the screw: how high its edge is, and how far beside the screw's axis.",
            "Slot width with a feeler leaf that just enters; the blade should fill it.",
            "A blade that leans climbs out and chews the head. Rather take one more part off.",
        ),
    )


TASK = Task(
    path="reach",
    name="Driver",
    lead="Which driver reaches a screw in its well: shaft, forced tilt, blade.",
    fields=fields,
    work_out=work_out,
    how=how,
)
