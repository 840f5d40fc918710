"""A coupled rangefinder against its lens: offset, rate, and which adjuster first."""

from asfound.bench.focus import RF_OFFSET, worst_of, write_rangefinder
from asfound.focus import CoupledReading, Coupling, Focusing, rangefinder_coupling
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots.focus_how_more import taped_target
from asfound.plots.rangefinder import coupling_picture
from asfound.problems import BadInputError, Problem
from asfound.quantity import show_reading
from asfound.web.focus.into_job import filled, page_of
from asfound.web.focus.lens import (
    budget_fields,
    budget_of,
    focusing_fields,
    focusing_of,
    no_budget,
    say_signed,
)
from asfound.web.focus.lists import distance, read_pairs, say_distance
from asfound.web.focus.scale import reachable
from asfound.web.room import Asked, Choice, How, Row, Section, Table, Task, both
from asfound.web.room_form import Field, Values


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked of a rangefinder."""
    focal, origin, *front = focusing_fields(job)
    these = (
        Field(name="readings", label="True distance and scale at coincidence", lines=True,
              hint="a line each: 2 m = 1.95 m; inf = 30; repeats welcome"),
        focal,
        origin,
        Field(name="u", label="Extension known to", unit="mm", optional=True, most=10,
              hint="at one coincidence; empty: by the scatter"),
        *front,
        *budget_fields(job),
    )  # fmt: skip
    return filled(these, job, RF_OFFSET)


def coupling_of(values: Values) -> tuple[Coupling, Focusing]:
    """Return what the readings say of the coupling.

    Raises
    ------
    BadInputError
        At the line that cannot be, or beside the readings.
    """
    focusing = focusing_of(values)
    pairs = read_pairs(values.text("readings"), distance, distance, where="readings", example="2 m = 1.95 m")
    for n, pair in enumerate(pairs, start=1):
        for one in pair:
            reachable(focusing, one, f"readings, reading {n}")
    try:
        found = rangefinder_coupling(
            focusing=focusing, readings=pairs, u_extension_mm=values.maybe("u"), budget=budget_of(values)
        )
    except BadInputError as error:
        raise BadInputError(*(Problem("readings", p.what, p.remedy) for p in error.problems)) from None
    return found, focusing


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return offset, rate, and which adjuster comes first."""
    found, focusing = coupling_of(asked.values)
    budget = budget_of(asked.values)
    needed = [focusing.image_per_travel * focusing.travel_for(one.true_mm) for one in found.readings]
    verdicts = [one.verdict for one in found.readings if one.verdict is not None]
    return (
        Section(
            title="Rangefinder",
            verdict=worst_of(verdicts) if verdicts else "",
            words=found.advice,
            pictures=both(coupling_picture, found, needed_mm=needed, budget=budget),
            rows=(
                Row("Offset", show_reading(found.offset), "error of the lens at infinity; the one adjuster"),
                Row("Rate", show_reading(found.rate), "1 is right; more: the lens runs ahead; the other adjuster"),
                Row("First", {"none": "neither"}.get(found.first, found.first), "at infinity the rate has no say"),
            ),
            table=Table(
                ("True", "Scale says", "Off, mm", "After offset", "After both", "Of budget", "Verdict"),
                tuple(_row(one) for one in found.readings),
            ),
            asks=no_budget(budget),
            remarks=_remarks(found),
            write=Choice("Write the rangefinder to the job"),
        ),
    )


def _remarks(found: Coupling) -> tuple[str, ...]:
    if found.offset.standard_uncertainty is None:
        return ("two readings have no scatter: say how well one coincidence is known, or take more",)
    return ("the scale is trusted here: prove it first, on the Scale page",)


def _row(one: CoupledReading) -> tuple[str, ...]:
    return (
        say_distance(one.true_mm),
        say_distance(one.indicated_mm),
        say_signed(one.error_mm),
        say_signed(one.after_offset_mm),
        say_signed(one.after_both_mm),
        "" if one.share is None else f"{abs(one.share):.0%}".replace("%", " %"),
        one.verdict or "",
    )


def write(asked: Asked, stage: Stage, _choice: str) -> tuple[Entry, ...]:
    """Write offset, rate and what they prove into the job."""
    found, _ = coupling_of(asked.values)
    return write_rangefinder(page_of(asked, stage), found)


def how() -> How:
    """Say how coincidences are read."""
    return How(
        steps=(
            "Prove infinity of the lens first, then its scale: the rangefinder is set to the lens, not the lens to it.",
            "Camera on a tripod; tape the distance from the film plane to an upright line: infinity, 3 m and 1.5 m "
            "at least.",
            "Bring both images together, always from the same side; read the distance scale. Three times each.",
            "Turn the adjuster that is named first, then read all distances again.",
        ),
        pictures=both(taped_target),
    )


TASK = Task(
    path="rangefinder",
    name="Rangefinder",
    lead="Whether the coupled rangefinder says what the lens does, and which adjuster comes first.",
    fields=fields,
    work_out=work_out,
    write=write,
    how=how,
)
