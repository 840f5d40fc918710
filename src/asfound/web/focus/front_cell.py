"""Front-cell focusing: travel for a distance, and what one start of its thread does."""

import math
from typing import cast

from asfound.bench.focus import FRONT_TRAVEL, write_front_travel
from asfound.focus import (
    FrontCellStart,
    FrontFocusing,
    FrontTravel,
    Helical,
    TwoGroups,
    UnitFocusing,
    front_cell_start,
    front_focal_length,
    front_travel,
    two_groups,
)
from asfound.focus.front_cell import FrontOrigin
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots.focus_how_more import front_cell_travel
from asfound.plots.front_cell import travel_picture
from asfound.plots.thread_start import start_picture
from asfound.problems import BadInputError, Problem, bad_input
from asfound.quantity import Reading, show_length, show_number, show_reading
from asfound.web.focus.into_job import filled, page_of
from asfound.web.focus.lens import budget_fields, budget_of, focal_length_field, say_share
from asfound.web.focus.lists import distance, say_distance
from asfound.web.focus.start import count_of
from asfound.web.room import Asked, Choice, How, Row, Section, Table, Task, both
from asfound.web.room_form import Field, Values

_FRONT, _THREAD = "Focal length of the front cell by its travel", "The cell's thread and its start"
_ENGRAVED = (1000.0, 1500.0, 2000.0, 3000.0, 5000.0, 10000.0)


def _mm(name: str, label: str, hint: str = "", *, group: str = "", signed: bool = False) -> Field:
    return Field(
        name=name, label=label, unit="mm", optional=True, signed=signed, most=5000, hint=hint, group=group
    )  # fmt: skip


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked of a front cell."""
    these = (
        focal_length_field(job),
        _mm("front", "Front cell", "its focal length, or by its travel below"),
        _mm("separation", "Front to rear group", "between them at infinity"),
        Field(name="distance", label="Distance", default="2 m"),
        Field(name="origin", label="Distance is from", default="film", choices=("film", "front")),
        _mm("u_front", "Front cell known to", "one standard uncertainty"),
        _mm("travel", "Travel measured", "from infinity", group=_FRONT),
        Field(name="travel_for", label="to a target at", optional=True, group=_FRONT, hint="from the front cell"),
        _mm("lead", "Lead of its thread", "travel for one turn", group=_THREAD),
        Field(name="starts", label="Starts", unit="1", optional=True, most=60, group=_THREAD),
        _mm("image_error", "Infinity lies off by", "plus: in front of the film", group=_THREAD, signed=True),
        _mm("u", "Known to", "one standard uncertainty", group=_THREAD),
        *budget_fields(job),
    )
    return filled(these, job, FRONT_TRAVEL)


def groups_of(values: Values) -> TwoGroups:
    """Return the two groups.

    Raises
    ------
    BadInputError
        Beside the field that is missing or cannot be.
    """
    front = values.maybe("front")
    if front is None:
        front = _front_by_travel(values)
    separation = values.maybe("separation")
    if separation is None:
        raise bad_input("separation", "it is missing", "measure it from group to group, roughly is enough")
    try:
        return two_groups(front_mm=front, separation_mm=separation, focal_length_mm=values["focal_length"])
    except BadInputError as error:
        raise BadInputError(*(Problem("front", p.what, p.remedy) for p in error.problems)) from None


def _front_by_travel(values: Values) -> float:
    travel, text = values.maybe("travel"), values.text("travel_for")
    if travel is None or not text:
        what = "the front cell's focal length is not known"
        raise bad_input("front", what, "give it, or a measured travel with its target below")
    at = distance(text, "travel_for")
    if math.isinf(at):
        raise bad_input("travel_for", "infinity asks for no travel", "give a near target, as in 2 m")
    try:
        return front_focal_length(travel_mm=travel, distance_mm=at)
    except BadInputError as error:
        raise BadInputError(*(Problem("travel", p.what, p.remedy) for p in error.problems)) from None


def travel_of(values: Values) -> FrontTravel:
    """Return the travel for the distance asked for."""
    groups, at = groups_of(values), distance(values.text("distance"), "distance")
    return front_travel(
        groups=groups,
        distance_mm=at,
        origin=cast(FrontOrigin, values.text("origin")),
        u_front_mm=values.maybe("u_front"),
        lead_mm=values.maybe("lead"),
    )


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return the travel, and what one start of the thread does."""
    values = asked.values
    found = travel_of(values)
    travel = found.travel.value or 0.0
    at = say_distance(found.distance_mm)
    turn = "" if found.turn_deg is None else f", {found.turn_deg:.0f}° of the cell"
    return (
        Section(
            title="Travel of the front cell",
            words=f"for {at} the front cell comes out {show_length(travel)}{turn}",
            pictures=both(travel_picture, *_curves(found)),
            rows=(
                Row("Travel", show_reading(found.travel), f"from infinity to {at}"),
                *(() if found.turn_deg is None else (Row("Turn", f"{found.turn_deg:.1f}°", "of the cell"),)),
                *_lens(found),
            ),
            table=_table(found, values.maybe("lead")),
            remarks=("two thin groups; the rear one, the shutter and the film stay",),
            write=Choice("Write the travel to the job"),
        ),
        *_start(values, found.groups),
    )  # fmt: skip


def _lens(found: FrontTravel) -> tuple[Row, ...]:
    groups = found.groups
    at_infinity = f"{groups.focal_length_mm:.2f} mm at infinity"
    both_groups = f"{show_number(groups.front_mm)} and {show_number(groups.rear_mm)} mm"
    return (
        Row("Focal length there", f"{found.focal_length_mm:.2f} mm", at_infinity),
        Row("Front and rear", both_groups, _back(groups)),
        Row("Image per travel", f"{groups.rear_magnification**2:.2f}", "the rear group's magnification squared"),
    )


def _back(groups: TwoGroups) -> str:
    return f"{show_number(groups.back_focal_mm)} mm from the rear group to the film"


def _focusing(found: FrontTravel) -> FrontFocusing:
    return FrontFocusing(groups=found.groups, origin=found.origin)


def _curves(
    found: FrontTravel,
) -> tuple[list[tuple[float, float]], list[tuple[float, float]], tuple[float, float] | None]:
    focusing = _focusing(found)
    whole = UnitFocusing(
        focal_length_mm=found.groups.focal_length_mm, origin="film" if found.origin == "film" else "lens"
    )
    near = 1.1 * max(
        4 * found.groups.focal_length_mm,
        found.groups.separation_mm + found.groups.back_focal_mm + 3 * found.groups.front_mm,
    )
    finite = math.isfinite(found.distance_mm)
    near = max(near, min(900.0, 0.7 * found.distance_mm if finite else 900.0))
    far = max(20_000.0, 3 * near, 1.5 * found.distance_mm if finite else 0.0)
    steps = [near * (far / near) ** (n / 80) for n in range(81)]
    here = (found.distance_mm, found.travel.value or 0.0) if finite and found.distance_mm >= near else None
    return [(s, focusing.travel_for(s)) for s in steps], [(s, whole.travel_for(s)) for s in steps], here


def _table(found: FrontTravel, lead: float | None) -> Table:
    lines = []
    for at in _ENGRAVED:
        try:
            travel = _focusing(found).travel_for(at)
        except BadInputError:
            continue
        turn = "" if lead is None else f"{360 * travel / lead:.0f}°"
        lines.append((say_distance(at), f"{travel:.3f} mm", turn))
    return Table(("Engraved", "Travel", "Turn"), tuple(lines))


def _thread(values: Values) -> Helical | None:
    lead, starts = values.maybe("lead"), values.maybe("starts")
    if values.maybe("image_error") is None and starts is None:
        return None
    for name, missing in (("lead", lead), ("starts", starts)):
        if missing is None:
            raise bad_input(name, "the thread is not known", "give both lead and starts")
    assert lead is not None
    return Helical(lead_mm=lead, starts=count_of(values, "starts"))


def _start(values: Values, groups: TwoGroups) -> tuple[Section, ...]:
    helical, error = _thread(values), values.maybe("image_error")
    if helical is None:
        return ()
    image = None
    if error is not None:
        image = Reading(value=error, unit="mm", standard_uncertainty=values.maybe("u"), how="image of infinity")
    budget = budget_of(values)
    found = front_cell_start(groups=groups, helical=helical, image_error=image, budget=budget)
    rows = [Row("One start out", show_length(found.image_step_mm), say_share(found.image_step_mm, budget))]
    if image is not None:
        rows.append(Row("Infinity lies off", show_reading(image), say_share(error or 0.0, budget), found.verdict or ""))
    return (
        Section(
            title="Which start of the cell's thread",
            words=found.finding.advice if found.finding else "one start out takes infinity off by this much",
            pictures=_drawn(found, helical, groups, image),
            rows=tuple(rows),
        ),
    )


def _drawn(found: FrontCellStart, helical: Helical, groups: TwoGroups, image: Reading | None) -> tuple[str, ...]:
    if found.finding is None or image is None:
        return ()
    at_image = Helical(lead_mm=groups.rear_magnification**2 * helical.lead_mm, starts=helical.starts)
    return both(start_picture, found.finding, image, (at_image,), across="image of infinity off, mm")


def write(asked: Asked, stage: Stage, _choice: str) -> tuple[Entry, ...]:
    """Write the travel into the job."""
    found = travel_of(asked.values)
    return write_front_travel(page_of(asked, stage), found, place=say_distance(found.distance_mm))


def how() -> How:
    """Say how the travel of a front cell is taken."""
    return How(
        steps=(
            "Mark the cell at its stop before it is turned; count the turns until it parts.",
            "Travel: from the rim of the shutter to the rim of the cell with a depth gauge, at infinity and at a near "
            "target that is sharp on the ground glass.",
            "Lead: the travel for one whole turn. Starts: count them at the thread's end.",
            "Travel and target give the focal length of the front cell; the distance between the groups need not be "
            "better than a millimetre.",
        ),
        pictures=both(front_cell_travel),
        cautions=(
            "never force a front cell: a drop of solvent and time; vapour burns: air, no flame; local rules come first",
        ),
    )


TASK = Task(
    path="front-cell",
    name="Front cell",
    lead="How far the front cell comes out for a distance, and which start its thread is on.",
    fields=fields,
    work_out=work_out,
    write=write,
    how=how,
)
