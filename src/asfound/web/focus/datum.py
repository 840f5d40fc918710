"""Back to the datum: a height error as turn, shim and leaves of the drawer, and what it is of the focus budget."""

from asfound.bench.focus import HEIGHT, write_height, write_shim, write_turn
from asfound.focus import DatumCorrection, Stack, datum_correction
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots.datum import leaves_picture, off_picture
from asfound.plots.focus_how import depth_gauge
from asfound.problems import bad_input
from asfound.quantity import show_length, show_reading
from asfound.web.focus.into_job import filled, page_of
from asfound.web.focus.lens import budget_fields, budget_of, lead_field, no_budget, say_share, say_signed
from asfound.web.focus.lists import in_unit, numbers_of
from asfound.web.focus.start import height_fields, height_of
from asfound.web.room import Asked, Choice, How, Row, Section, Table, Task, both
from asfound.web.room_form import Field, Values

MOST_LEAVES, LEAST_SHIM_MM, MOST_SHIM_MM = 60, 0.001, 10.0


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked of a height."""
    these = (
        *height_fields(),
        lead_field(),
        Field(name="leaves", label="Leaves and shims in the drawer", lines=True, optional=True,
              hint="as in 0.05 0.10 0.20; each as often as it is there"),
        *budget_fields(job),
    )  # fmt: skip
    return filled(these, job, HEIGHT)


def leaves_of(text: str) -> tuple[float, ...]:
    """Return the thicknesses in mm that a list names: numbers, with or without a unit, spaces or ";" between.

    Raises
    ------
    BadInputError
        With all that is wrong.
    """
    found = numbers_of(text, in_unit("mm"), where="leaves")
    if len(found) > MOST_LEAVES:
        raise bad_input("leaves", f"{len(found)} leaves are too many", f"name at most {MOST_LEAVES}")
    for thickness in found:
        if not LEAST_SHIM_MM <= thickness <= MOST_SHIM_MM:
            raise bad_input("leaves", f"{thickness:g} mm is no leaf or shim", "check the number and its unit")
    return tuple(found)


def correction_of(values: Values) -> DatumCorrection:
    """Return the correction that the fields ask for."""
    height = height_of(values, bracket=False)
    leaves = leaves_of(values.text("leaves"))
    too_far = height.value is not None and height.value < -MOST_SHIM_MM
    return datum_correction(
        height_error=height,
        lead_mm=values.maybe("lead"),
        budget=budget_of(values),
        drawer_mm=() if too_far else leaves,
    )


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return what the height error means, and each way to take it out."""
    found, budget = correction_of(asked.values), budget_of(asked.values)
    error = found.error.value or 0.0
    where = "too far out" if error > 0 else "too far in" if error < 0 else "on its datum"
    stands = f"the lens stands {show_length(abs(error), found.error.standard_uncertainty)} {where}"
    return (
        Section(
            title="Height off the datum",
            verdict=found.verdict or "",
            words=f"{stands}: {say_share(error, budget)}" if budget else stands,
            pictures=both(off_picture, [("height", found.error)], budget=budget),
            rows=(
                Row("Height error", show_reading(found.error), say_share(error, budget), found.verdict or ""),
                Row("Image of infinity", show_length(error), "moves one to one with the whole lens"),
                Row("Turn", _turn(found), _turns(found)),
                Row("Shim", _shim(found), "under the whole lens"),
            ),
            asks=no_budget(budget),
            remarks=_remarks(found),
            write=Choice("Write the height to the job", "height"),
        ),
        *_turned(found),
        *_drawer(found),
        _register(asked.job),
    )


def _remarks(found: DatumCorrection) -> tuple[str, ...]:
    if found.error.standard_uncertainty is None and found.verdict:
        return ("without an uncertainty nobody can say whether it is within: give one",)
    return ()


def _turn(found: DatumCorrection) -> str:
    if found.turn is None or found.turn.value is None:
        return "give the lead"
    if found.turn.value == 0:
        return "none"
    u = found.turn.standard_uncertainty
    about = "" if u is None else f" ± {u:.1f}"
    return f"{'in' if found.turn.value > 0 else 'out'} by {abs(found.turn.value):.1f}{about}°"


def _turns(found: DatumCorrection) -> str:
    return "travel for one whole turn of the thread" if found.turns is None else f"{abs(found.turns):.3f} turn"


def _shim(found: DatumCorrection) -> str:
    shim = found.shim.value or 0.0
    way = "add" if shim > 0 else "take out"
    return f"{way} {show_length(abs(shim), found.shim.standard_uncertainty)}" if shim else "none"


def _turned(found: DatumCorrection) -> tuple[Section, ...]:
    if not found.turn or not found.turn.value:
        return ()
    return (
        Section(
            title="Once it is turned",
            words=f"screwed {_turn(found)}: measure the height again, what was measured before counts as stale",
            write=Choice("Write: turned", "turn"),
        ),
    )


def _drawer(found: DatumCorrection) -> tuple[Section, ...]:
    if not found.stacks:
        return ()
    wanted = -(found.error.value or 0.0)
    best = min(found.stacks, key=lambda stack: abs(stack.left_mm))
    stacks = [(stack.leaves_mm, stack.left_mm) for stack in found.stacks]
    lines = tuple(
        (
            _leaves(stack),
            f"{stack.total_mm:.3f} mm",
            f"{say_signed(stack.left_mm)} mm",
            "" if stack.share is None else f"{abs(stack.share):.0%}".replace("%", " %"),
        )
        for stack in found.stacks
    )
    return (
        Section(
            title="From the drawer",
            words=f"{_leaves(best)} comes nearest: {say_signed(best.left_mm)} mm left",
            pictures=both(leaves_picture, stacks, wanted),
            table=Table(("Leaves", "Together", "Left over", "Of the budget"), lines),
            remarks=("for one leaf, two and so on the best, as long as one more brings it nearer",),
            write=Choice(f"Write: {best.total_mm:g} mm laid under the lens", "shim"),
        ),
    )


def _leaves(stack: Stack) -> str:
    return " + ".join(f"{leaf:g}" for leaf in stack.leaves_mm) + " mm"


def _register(job: Job) -> Section:
    lines = tuple(
        (spacer.name, "not measured" if spacer.thickness is None else show_reading(spacer.thickness),
         "late" if spacer.late else "in its place", spacer.lies)
        for _, spacer in job.spacers
    )  # fmt: skip
    return Section(
        title="Spacers of this job",
        words="" if lines else "none is in the book yet: a missing one is a height error, one to one",
        table=Table(("Spacer", "Thickness", "Found", "Lies"), lines) if lines else None,
        links=((f"/job/{job.id}/focus/spacers", "Spacers, their wedge and what is missing"),),
        folded=True,
    )


def write(asked: Asked, stage: Stage, choice: str) -> tuple[Entry, ...]:
    """Write the height, the turn, or the leaves laid under the lens."""
    found, page = correction_of(asked.values), page_of(asked, stage)
    if choice == "turn":
        if found.turn is None or not found.turn.value:
            raise bad_input("lead", "there is no turn to write", "give the lead and a height that is off")
        return write_turn(page, found, adjuster="helical")
    if choice == "shim":
        if not found.stacks:
            raise bad_input("leaves", "no leaves were laid under the lens", "name the leaves of the drawer")
        return write_shim(page, min(found.stacks, key=lambda stack: abs(stack.left_mm)))
    return write_height(page, found.error, budget_of(asked.values))


def how() -> How:
    """Say how the height is taken."""
    return How(
        steps=(
            "Camera open, struts locked, lens at its infinity stop; note the state in the book first.",
            "Lay a straight bar across the film rails and zero the depth gauge on a flat plate.",
            "Measure to the seat of the lens, or to the rim of its tube, at three clock positions; take the mean.",
            "Close and open the camera between two readings: what scatters is the erection, not the gauge.",
            "Wanted is the height as found if infinity was right then, else the one proved on the ground glass.",
        ),
        pictures=both(depth_gauge),
    )


TASK = Task(
    path="datum",
    name="Datum",
    lead="A height error as turn, shim and leaves, and what it is of the focus budget.",
    fields=fields,
    work_out=work_out,
    write=write,
    how=how,
)
