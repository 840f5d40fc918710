"""The engraved distance scale against the lens; and how far the lens stands out for one distance."""

import math
from dataclasses import replace

from asfound.bench.focus import LEAD, write_scale
from asfound.focus import Focusing, MarkError, ScaleFit, fit_scale
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots.focus_how import scale_ring
from asfound.plots.scale import ring_picture, scale_picture
from asfound.problems import BadInputError, Problem, bad_input
from asfound.quantity import show_length, show_number, show_reading
from asfound.web.focus.into_job import filled, page_of
from asfound.web.focus.lens import (
    budget_fields,
    budget_of,
    focusing_fields,
    focusing_of,
    lead_field,
    no_budget,
    say_signed,
)
from asfound.web.focus.lists import distance, in_unit, read_pairs, say_distance
from asfound.web.room import Asked, Choice, How, Row, Section, Table, Task, both
from asfound.web.room_form import Field, Values

_KNOWN = "Known apart from the scale"


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked of a scale."""
    these = (
        *focusing_fields(job)[:2],
        Field(name="marks", label="Engraved distance and ring's angle", lines=True, optional=True,
              hint="a line each: 2 m = 45 deg, or 2 45; inf = 0"),
        Field(name="u_angle", label="Angle is known to", unit="deg", default="1", optional=True, most=90,
              hint="one standard uncertainty; empty: by the scatter"),
        Field(name="one", label="Extension for", default="2 m", optional=True, hint="a distance"),
        *focusing_fields(job)[2:],
        replace(lead_field(), group=_KNOWN),
        _infinity_at(),
        _u_focal(),
        *budget_fields(job),
    )  # fmt: skip
    return filled(these, job, LEAD)


def _infinity_at() -> Field:
    return Field(
        name="infinity_at", label="Proved infinity at", unit="deg", optional=True, signed=True, most=3600, group=_KNOWN,
        hint="else where the marks put it",
    )  # fmt: skip


def _u_focal() -> Field:
    return Field(
        name="u_focal", label="Focal length is known to", unit="mm", optional=True, most=100, group=_KNOWN,
        hint="an engraved one rarely to 1 %",
    )  # fmt: skip


def fit_of(values: Values, focusing: Focusing) -> ScaleFit | None:
    """Return the fit of the marks; None where none was typed.

    Raises
    ------
    BadInputError
        At the line of a mark that the lens cannot reach.
    """
    text = values.text("marks")
    if not text:
        return None
    marks = read_pairs(text, distance, in_unit("deg"), where="marks", example="2 m = 45 deg")
    for n, (at, angle) in enumerate(marks, start=1):
        reachable(focusing, at, f"marks, mark {n}")
        if abs(angle) > 3600:
            raise bad_input(f"marks, mark {n}", f"{angle:g} degrees is no focusing ring", "check the angle")
    try:
        return fit_scale(
            focusing=focusing,
            marks=marks,
            u_angle_deg=values.maybe("u_angle"),
            u_focal_length_mm=values.maybe("u_focal") or 0.0,
            lead_mm=values.maybe("lead"),
            infinity_deg=values.maybe("infinity_at"),
            budget=budget_of(values),
        )
    except BadInputError as error:
        raise BadInputError(*(Problem("marks", p.what, p.remedy) for p in error.problems)) from None


def reachable(focusing: Focusing, distance_mm: float, where: str) -> float:
    """Return the travel for a distance.

    Raises
    ------
    BadInputError
        Beside the field, if the lens cannot come to it.
    """
    try:
        return focusing.travel_for(distance_mm)
    except BadInputError as error:
        raise BadInputError(*(Problem(where, p.what, p.remedy) for p in error.problems)) from None


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return what the scale is worth, and the extension for one distance."""
    focusing = focusing_of(asked.values)
    fit = fit_of(asked.values, focusing)
    return (*(_scale(asked, fit) if fit else ()), *_extension(asked.values, focusing))


def _scale(asked: Asked, fit: ScaleFit) -> tuple[Section, ...]:
    budget = budget_of(asked.values)
    worst = max(fit.marks, key=lambda mark: abs(mark.depths if mark.depths is not None else mark.error.value or 0.0))
    verdicts = [mark.verdict for mark in fit.marks if mark.verdict]
    verdict = next((v for v in ("outside", "cannot tell", "within") if v in verdicts), "")
    odd = fit.consistent is False
    doubt = ("the scatter is more than the stated uncertainty of an angle explains: read the worst marks again",)
    return (
        Section(
            title="The scale",
            verdict=verdict,
            words=_words(worst),
            pictures=(*both(scale_picture, fit), *both(ring_picture, fit)),
            rows=(
                Row("Lead by the marks", show_reading(fit.lead), "travel for one turn, if the lens is what it says"),
                Row("Infinity by the marks", show_reading(fit.offset), "the angle at which they put it"),
            ),
            table=Table(
                ("Engraved", "Stands at", "Belongs", "Off, mm", "Sharp at", "Half depths", "Verdict"),
                tuple(_row(mark) for mark in fit.marks),
            ),
            asks=no_budget(budget),
            remarks=(*(doubt if odd else ()), _used(asked.values)),
            write=Choice("Write lead and scale to the job"),
        ),
    )


def _words(worst: MarkError) -> str:
    at = f"the {say_distance(worst.engraved_mm)} mark"
    if worst.depths is None:
        return f"{at} is the worst: {say_signed(worst.error.value or 0.0)} mm at the film"
    beyond = "outside the depth of field" if abs(worst.depths) > 1 else "inside the depth of field"
    return f"{at} is the worst, {abs(worst.depths):.2f} of a half depth of focus: {beyond}"


def _used(values: Values) -> str:
    known = [name for name, field in (("lead", "lead"), ("infinity", "infinity_at")) if values.maybe(field) is not None]
    if known:
        return f"errors counted from the {' and the '.join(known)} known apart from the scale: those of the camera"
    return (
        "errors counted from the marks' own best line: an engraving that is wrong throughout does not show; "
        "give lead and proved infinity for that"
    )


def _row(mark: MarkError) -> tuple[str, ...]:
    error = mark.error
    return (
        say_distance(mark.engraved_mm),
        f"{mark.angle_deg:.1f}°",
        f"{mark.fitted_angle_deg:.1f}°",
        say_signed(error.value or 0.0),
        say_distance(mark.sharp_at_mm),
        "" if mark.depths is None else say_signed(mark.depths, places=2),
        mark.verdict or "",
    )


def _extension(values: Values, focusing: Focusing) -> tuple[Section, ...]:
    text = values.text("one")
    if not text:
        return ()
    at = distance(text, "one")
    travel = reachable(focusing, at, "one")
    lead = values.maybe("lead")
    rows = [Row("Travel from infinity", show_length(travel), f"for {say_distance(at)}")]
    if lead is not None:
        rows.append(Row("Ring turns", f"{360 * travel / lead:.1f}°", f"with a lead of {lead:g} mm"))
    if math.isfinite(at) and travel > 0:
        image = focusing.image_per_travel * travel
        rows.append(Row("Image moves", show_length(image), "one to one" if image == travel else "front cell alone"))
    lens = show_number(focusing.moving_focal_length_mm)
    return (
        Section(
            title=f"Extension for {say_distance(at)}",
            words=f"for {say_distance(at)} the lens of {lens} mm comes out {show_length(travel)} from infinity",
            rows=tuple(rows),
            remarks=("from the film: of the two solutions the one with the lens nearer to it; thin lens",),
        ),
    )


def write(asked: Asked, stage: Stage, _choice: str) -> tuple[Entry, ...]:
    """Write lead, offset and what the scale proves into the job."""
    fit = fit_of(asked.values, focusing_of(asked.values))
    if fit is None:
        raise bad_input("marks", "there are none to write", "type two engraved distances or more with their angles")
    return write_scale(page_of(asked, stage), fit, budget_of(asked.values))


def how() -> How:
    """Say how a scale is read."""
    return How(
        steps=(
            "Lay a paper protractor round the ring, or stick a strip on it and measure along it.",
            "Turn each engraved distance to the pointer, always from the same side: so the play of the thread drops "
            "out.",
            "Read the angle each time, infinity among them, twice round.",
            "The lead is measured apart: the travel for half a turn, with a depth gauge, doubled.",
        ),
        pictures=both(scale_ring),
    )


TASK = Task(
    path="scale",
    name="Scale",
    lead="Whether the engraved distances are true, and how far the lens comes out for one.",
    fields=fields,
    work_out=work_out,
    write=write,
    how=how,
)
