"""The focus budget, and with a distance the depth of field."""

import math
from dataclasses import replace

from asfound.bench.focus import write_budget
from asfound.focus import DepthOfField, FocusBudget, depth_of_field
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots.budget import budget_picture, field_picture
from asfound.plots.focus_how import film_plane
from asfound.problems import bad_input
from asfound.quantity import Reading, show_length, show_number
from asfound.web.focus.into_job import page_of
from asfound.web.focus.lens import budget_fields, budget_of, focal_length_field, say_half, say_share
from asfound.web.focus.lists import distance, say_distance
from asfound.web.room import Asked, Choice, How, Row, Section, Table, Task, both
from asfound.web.room_form import Field, Values

_STOPS = (1, 1.4, 2, 2.8, 3.5, 4, 4.5, 5.6, 8, 11, 16, 22, 32)


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked for a budget, filled from the camera."""
    field = "Depth of field"
    return (
        *budget_fields(job, group=""),
        Field(name="error", label="An error to judge", unit="mm", optional=True, signed=True, most=1000,
              hint="plus: the lens stands too far out"),
        Field(name="u", label="Error is known to", unit="mm", optional=True, most=100, hint="one standard uncertainty"),
        replace(focal_length_field(job), group=field, optional=True),
        Field(name="distance", label="Focused at", default="3 m", optional=True, group=field,
              hint="from the lens; or inf"),
    )  # fmt: skip


def must_have(values: Values) -> FocusBudget:
    """Return the budget.

    Raises
    ------
    BadInputError
        If the aperture or the circle is not known.
    """
    found = budget_of(values)
    if found is not None:
        return found
    if values.maybe("aperture") is None:
        raise bad_input("aperture", "it is missing", "give the largest aperture, as in 3.5")
    raise bad_input("frame", "the circle of confusion is not known", "give the frame, as in 6x9, or the circle itself")


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return the budget, an error's share of it, and the depth of field."""
    values, budget = asked.values, must_have(asked.values)
    error, u = values.maybe("error"), values.maybe("u")
    judged = None if error is None else Reading(value=error, unit="mm", standard_uncertainty=u, how="as typed")
    words = f"the image may lie {say_half(budget)} off the film"
    rows = [
        Row("Budget", f"±{show_length(budget.half_width_mm)}", f"N c at f/{budget.f_number:g}"),
        Row("Circle", f"{show_number(budget.circle_mm)} mm", budget.circle_source),
    ]
    if judged is not None:
        words = f"{show_number(abs(error or 0.0))} mm is {say_share(error or 0.0, budget)}"
        rows.insert(0, Row("The error", show_length(error or 0.0, u), say_share(error or 0.0, budget)))
    return (
        Section(
            title="Focus budget",
            verdict=budget.judge(judged) if judged else "",
            words=words,
            pictures=both(budget_picture, budget, error=judged),
            rows=tuple(rows),
            remarks=_remarks(judged),
            write=Choice("Write the budget to the job"),
        ),
        *_field(asked, budget),
    )


def _remarks(judged: Reading | None) -> tuple[str, ...]:
    if judged is None or judged.standard_uncertainty is not None:
        return ("every later error of the focus is told as a share of this half-width",)
    return ("without an uncertainty nobody can say whether it is within: give one",)


def _field(asked: Asked, budget: FocusBudget) -> tuple[Section, ...]:
    focal, typed = asked.values.maybe("focal_length"), asked.values.text("distance")
    if focal is None or not typed:
        return ()
    at = distance(typed, "distance")
    shown = [(n, _at(focal, n, budget, at)) for n in _apertures(asked.job, budget)]
    here = shown[0][1]
    return (
        Section(
            title="Depth of field",
            words=f"focused at {say_distance(at)}, f/{budget.f_number:g} is sharp from {_span(here)}",
            pictures=both(field_picture, shown),
            table=Table(
                ("Aperture", "Budget", "Sharp from", "to", "Hyperfocal"),
                tuple(
                    (f"f/{n:g}", f"±{show_number(n * budget.circle_mm)} mm", say_distance(one.near_mm),
                     say_distance(one.far_mm), say_distance(one.hyperfocal_mm))
                    for n, one in shown
                ),
            ),
            remarks=("thin lens, distances from the lens (Ray, The Photographic Lens)",),
        ),
    )  # fmt: skip


def _apertures(job: Job, budget: FocusBudget) -> tuple[float, ...]:
    """Return the aperture asked for, and the smaller ones of the camera's scale."""
    marked = job.camera.marked_apertures or _STOPS
    return (budget.f_number, *(n for n in sorted(marked) if n > 1.05 * budget.f_number))[:7]


def _at(focal: float, f_number: float, budget: FocusBudget, at: float) -> DepthOfField:
    if not at > focal:
        what = f"{at:g} mm is not beyond the focal length of {focal:g} mm"
        raise bad_input("distance", what, "give a longer one, as in 3 m")
    return depth_of_field(
        focal_length_mm=focal, f_number=f_number, circle_mm=budget.circle_mm, distance_mm=at
    )  # fmt: skip


def _span(field: DepthOfField) -> str:
    far = "to infinity" if math.isinf(field.far_mm) else f"to {say_distance(field.far_mm)}"
    return f"{say_distance(field.near_mm)} {far}"


def write(asked: Asked, stage: Stage, _choice: str) -> tuple[Entry, ...]:
    """Write the budget into the job."""
    return write_budget(page_of(asked, stage), must_have(asked.values))


def how() -> How:
    """Say where the budget comes from."""
    return How(
        steps=(
            "Measure the frame: the opening of the film gate, both sides, with a calliper.",
            "Read the largest aperture off the lens: wide open the budget is smallest, and what holds there holds "
            "everywhere.",
            "A point is still taken for sharp while its image is no wider than the circle of confusion: the frame's "
            "diagonal through 1500, or what you will.",
            "The budget is half of the whole play: plus or minus aperture times circle.",
        ),
        pictures=both(film_plane),
    )


TASK = Task(
    path="",
    name="Budget",
    lead="How far the image may lie off the film before the eye sees it.",
    fields=fields,
    work_out=work_out,
    write=write,
    how=how,
)
