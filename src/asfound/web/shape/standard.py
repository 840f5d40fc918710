"""The front standard against the film rails, from depths at its four corners."""

from collections.abc import Mapping
from dataclasses import dataclass

from asfound.bench.shape import read_depths, write_standard, write_work
from asfound.focus import FORMATS, circle_of_confusion, find_format
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots.frame import frame_picture, standard_picture
from asfound.plots.howto import corners_drawing
from asfound.problems import bad_input
from asfound.quantity import Reading, read_number, show_number, show_reading
from asfound.shape import CornerMove, FrameFocus, PlaneFit, corner_moves, corner_points, fit_plane, frame_focus
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
    signed_mm,
)

# As the quick line walks them: clockwise from the top left, seen from the front.
WALKED = ("top left", "top right", "bottom right", "bottom left")
AS_HUNDREDTHS = "in hundredths from the first"
_MODES = (AS_HUNDREDTHS, "each in mm")
_SCATTER = "scatter of erection"
_FILM, _SURE = "Film and focus budget", "How sure"


@dataclass(frozen=True, slots=True, kw_only=True)
class Standard:
    """The standard as measured, and what its tilt does to the picture."""

    depths_mm: Mapping[str, float]
    fit: PlaneFit
    moves: tuple[CornerMove, ...]
    focus: FrameFocus


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked of a front standard; depths that are in the job already stand in the form."""
    frame = job.camera.film_format
    known = frame.lower() in FORMATS
    circle = f"{_circle(frame):.3f}" if known else "0.05"
    widest = job.camera.largest_aperture
    marked = [n for n in job.camera.marked_apertures if n != widest][:2]
    stops = ", ".join(f"{n:g}" for n in ([widest] if widest else []) + marked)
    scatter = [one.body.reading.value for one in job.readings if one.body.quantity == _SCATTER]
    return (
        Field(
            name="depths",
            label="Corner depths",
            default=_depths_in(job),
            hint="clockwise from the top left, as in 63.42 -2 -4 19",
            wide=True,
        ),
        Field(name="mode", label="After the first, they are", default=AS_HUNDREDTHS, choices=_MODES),
        Field(
            name="width", label="Corners are apart, across", unit="mm", default="60", hint="between the places gauged"
        ),
        Field(name="height", label="Corners are apart, up", unit="mm", default="60"),
        Field(name="apertures", label="Judge at apertures", default=stops or "4.5, 8", hint="as in 4.5, 8, 16"),
        Field(
            name="frame",
            label="Film frame",
            default=frame if known else "6x9",
            hint="as in 6x9, or 56x84 in mm",
            group=_FILM,
        ),
        Field(name="upright", label="The frame lies", default="across", choices=("across", "upright"), group=_FILM),
        Field(
            name="circle",
            label="Circle of confusion",
            unit="mm",
            default=circle,
            hint="the budget is ± N c",
            group=_FILM,
        ),
        Field(
            name="u_each",
            label="A depth is sure to",
            unit="mm",
            default="0.01",
            hint="one standard uncertainty",
            group=_SURE,
        ),
        Field(
            name="scatter",
            label="Scatter when opened again",
            unit="mm",
            optional=True,
            signed=True,
            default="" if not scatter or scatter[-1] is None else f"{scatter[-1]:.4f}",
            hint="from the task Opened again",
            group=_SURE,
        ),
        depends_field(job, "corner depth", default="front standard, struts"),
        fault_field(job),
    )


def _circle(frame: str) -> float:
    film = find_format(frame)
    return circle_of_confusion(width_mm=film.width_mm, height_mm=film.height_mm)


def _depths_in(job: Job) -> str:
    """Return the latest depth at each corner as they would be typed, or nothing where one is missing."""
    latest = {one.body.place: one.body.reading for one in job.readings if one.body.quantity == "corner depth"}
    values = [latest[place].value for place in WALKED if place in latest and latest[place].unit == "mm"]
    depths = [value for value in values if value is not None]
    if len(depths) != len(WALKED):
        return ""
    steps = [f"{round((depth - depths[0]) * 100, 1) + 0.0:g}" for depth in depths[1:]]
    return " ".join([f"{depths[0]:g}", *steps])


def standard_of(asked: Asked) -> Standard:
    """Return the standard as typed, and what follows.

    Raises
    ------
    BadInputError
        At the field that is wrong.
    """
    values = asked.values
    hundredths = values.text("mode") == AS_HUNDREDTHS
    walked = read_depths(values.text("depths"), where="depths", hundredths=hundredths)
    if len(walked) != len(WALKED):
        raise bad_input("depths", f"there are {len(walked)}", "give four, clockwise from the top left")
    # The room's own order is against the clock from the bottom left.
    names, depths = WALKED[::-1], walked[::-1]
    points = corner_points(width_mm=values["width"], height_mm=values["height"], depth_mm=depths)
    fit = fit_plane(points, depth_uncertainty_mm=values["u_each"])
    return Standard(
        depths_mm=dict(zip(WALKED, walked, strict=True)),
        fit=fit,
        moves=corner_moves(points, fit, names),
        focus=_focus_of(asked, fit),
    )


def _focus_of(asked: Asked, fit: PlaneFit) -> FrameFocus:
    values = asked.values
    film = find_format(values.text("frame"), where="frame")
    sides = sorted((film.width_mm, film.height_mm), reverse=values.text("upright") == "across")
    scatter = values.maybe("scatter") or 0.0
    if scatter < 0:
        raise bad_input("scatter", f"{scatter:g} mm is below zero", "give zero or more")
    with beside("frame", circle="circle", aperture="apertures"):
        return frame_focus(
            fit,
            width_mm=sides[0],
            height_mm=sides[1],
            circle_mm=values["circle"],
            f_numbers=_apertures(values.text("apertures")),
            scatter=Reading(value=0.0, unit="mm", standard_uncertainty=scatter) if scatter else None,
        )


def _apertures(text: str) -> tuple[float, ...]:
    found = []
    for word in text.replace(", ", " ").replace(";", " ").split():
        try:
            value = read_number(word.strip(",").lower().removeprefix("f/").removeprefix("f"))
        except ValueError:
            value = 0.0
        if not 0.3 < value <= 200:
            raise bad_input("apertures", f"{word[:20]!r} is no aperture", "write them as in 4.5, 8, 16")
        found.append(value)
    if not 1 <= len(found) <= 6:
        raise bad_input("apertures", f"there are {len(found)}", "give one to six, as in 4.5, 8, 16")
    return tuple(sorted(set(found)))


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return which corner to move, and where the frame is sharp."""
    found = standard_of(asked)
    widest = found.focus.apertures[0]
    return (
        Section(
            title="Sharpness over the frame",
            verdict=widest.verdict,
            words=f"at f/{widest.f_number:g} the worst corner is {_share(widest.share)} of the focus budget of "
            f"±\u00a0{widest.budget_mm:.3f} mm off",
            pictures=both(frame_picture, found.focus),
            rows=(Row(name="Worst corner", value=show_reading(widest.worst), meaning="defocus by the tilt alone"),),
            remarks=("tilt alone, for a far subject: how far the middle is off shows on the ground glass",),
            write=Choice("Write to the job", READING),
        ),
        Section(
            title="The standard",
            words=_move(found),
            pictures=both(standard_picture, found.moves),
            rows=_rows(found),
            remarks=("unlock nothing under load: let a strut's spring down before its screw comes out",),
            write=Choice("Write as fault work", WORK),
        ),
    )


def _share(share: float) -> str:
    return f"{share:.0%}" if share < 10 else f"{share:.0f} times"


def _move(found: Standard) -> str:
    """Say the first move: the worst corner, unless twist tells that one corner alone is not enough."""
    worst = found.moves[0]
    if abs(worst.off_level_mm) < 0.0005:
        return "parallel to the rails"
    way = "in" if worst.off_level_mm > 0 else "out"
    far = length(abs(worst.off_level_mm))
    return f"first move the {worst.name} corner, or its strut, {way} by {far}; measure again"


def _rows(found: Standard) -> tuple[Row, ...]:
    fit, plane = found.fit, found.fit.least_squares
    first, second = found.depths_mm["top left"], plane.height_mm
    rows = [
        Row(name="Mean depth", value=length(second), meaning=f"top left {first:.3f} mm"),
        Row(
            name="Tilt up and down",
            value=f"{plane.tilt_x_deg:+.3f}°".replace("-", "−"),
            meaning="+ where the top stands further out",
        ),
        Row(
            name="Tilt left and right",
            value=f"{plane.tilt_y_deg:+.3f}°".replace("-", "−"),
            meaning="+ where the right stands further out",
        ),
        Row(
            name="Flatness",
            value=length(fit.minimum_zone.flatness_mm),
            meaning=f"minimum zone; least squares {plane.flatness_mm:.3f} mm",
        ),
    ]
    if fit.twist_mm is not None:
        sure = fit.u_height_mm
        doubt = (
            "less than the gauge can tell"
            if sure and abs(fit.twist_mm) < 2 * sure
            else "no tilt takes this out: a bent standard or strut"
        )
        rows.append(Row(name="Twist", value=signed_mm(fit.twist_mm), meaning=doubt))
    if fit.u_slope_x is not None:
        u = fit.u_slope_x * 57.2958
        rows.append(Row(name="Tilts are sure to", value=f"± {show_number(u, u)}°", meaning="one standard uncertainty"))
    return tuple(rows)


def write(asked: Asked, stage: Stage, choice: str) -> tuple[Entry, ...]:
    """Write the readings, or which corner to move as work on the fault."""
    found, context = standard_of(asked), context_of(asked, stage)
    if choice == READING:
        u = asked.values["u_each"]
        return write_standard(context, depths_mm=found.depths_mm, u_depth_mm=u, fit=found.fit, focus=found.focus)
    corners = ", ".join(f"{m.name} {signed_mm(m.off_level_mm)}" for m in found.moves)
    text = f"{_move(found).capitalize()}. Off level: {corners}."
    return write_work(context, fault=fault_of(asked.values, "front standard out of parallel"), text=text)


def how() -> How:
    """Return how corner depths are taken."""
    return How(
        steps=(
            "Camera on its front, back open, struts locked, shutter on B or the lens out, so that the gauge reaches "
            "the standard or a flat laid on it.",
            "Stand the gauge square on the film rails, always pressed by the same hand.",
            "Top left first, then clockwise as seen from the front. Write the first whole, the others in hundredths.",
            "Go round a second time: where the first corner does not come back, it has moved under the hand.",
        ),
        pictures=both(corners_drawing),
        cautions=("locked struts are under spring load: fingers out of the linkage when the lock is tried",),
    )


TASK = Task(
    path="standard",
    name="Front standard",
    lead="Is the front parallel to the film, where is the picture sharp, and which corner has to move?",
    fields=fields,
    work_out=work_out,
    write=write,
    how=how,
)
