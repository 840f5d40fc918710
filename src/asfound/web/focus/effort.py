"""Effort over the travel: both ways, dirty, dry and greased, ring on and off; where it rubs."""

from typing import get_args

from asfound.bench.focus import EFFORT, write_effort
from asfound.focus import Effort, EffortFinding, effort_finding
from asfound.focus.effort import LEAST_POSITIONS, RINGS, SURFACES, Ring, Surface, Way
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots.effort import effort_picture, rub_picture
from asfound.plots.focus_how_more import pull_at_lever
from asfound.problems import BadInputError, Problem, bad_input
from asfound.quantity import show_number
from asfound.web.focus.into_job import filled, page_of
from asfound.web.focus.lists import in_unit, numbers_of
from asfound.web.room import Asked, Choice, How, Row, Section, Table, Task, both
from asfound.web.room_form import Field, Values

_WAYS: tuple[Way, ...] = get_args(Way)
_STATES = tuple((surface, ring) for surface in SURFACES for ring in RINGS)


def _name(surface: Surface, ring: Ring, way: Way) -> str:
    return f"{surface}_{ring}_{way}"


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked of the effort: a list of forces for each state and way."""
    these = [
        Field(
            name="positions", label="Positions", default="1 2 3 4 5 6 7 8", lines=True,
            hint="6 to 12, from infinity to the close end",
        ),
        *(_forces(surface, ring, way) for surface, ring in _STATES for way in _WAYS),
        Field(name="u", label="One force known to", unit="N", default="0.05", most=100, hint="standard uncertainty"),
        Field(name="scuffs", label="Scuff marks at", optional=True, hint="positions, as in 4.2"),
    ]  # fmt: skip
    return filled(these, job, EFFORT)


def _forces(surface: Surface, ring: Ring, way: Way) -> Field:
    state, course = f"{surface.capitalize()}, ring {ring}", "outwards" if way == "out" else "inwards"
    first = (surface, ring) == _STATES[0]
    return Field(
        name=_name(surface, ring, way), label=f"{state}, {course}" if first else f"Forces, {course}", optional=True,
        lines=True, group="" if first else state, hint="in N, or 80g; one for each position",
    )  # fmt: skip


def _plain(text: str, place: str) -> float:
    return in_unit("1")(text, place)


def readings_of(values: Values) -> list[Effort]:
    """Return the readings of every state and way.

    Raises
    ------
    BadInputError
        Beside the list that is wrong: as many forces as positions are wanted.
    """
    positions = numbers_of(values.text("positions"), _plain, where="positions")
    if len(set(positions)) < LEAST_POSITIONS or len(set(positions)) != len(positions):
        raise bad_input("positions", f"{len(set(positions))} different ones are given", "mark at least 6 on the ring")
    found: list[Effort] = []
    problems: list[Problem] = []
    for surface, ring in _STATES:
        for way in _WAYS:
            try:
                found += _row(values, positions, surface, ring, way)
            except BadInputError as error:
                problems.extend(error.problems)
    if problems:
        raise BadInputError(*problems)
    return found


def _row(values: Values, positions: list[float], surface: Surface, ring: Ring, way: Way) -> list[Effort]:
    name = _name(surface, ring, way)
    forces = numbers_of(values.text(name), in_unit("N"), where=name)
    if not forces:
        return []
    if len(forces) != len(positions):
        what = f"{len(forces)} forces for {len(positions)} positions"
        raise bad_input(name, what, "give one for each position, in their order")
    for force in forces:
        if not 0 <= force <= 1000:
            raise bad_input(name, f"{force:g} N is no pull at a lever", "give its size, whichever way it pulls")
    return [
        Effort(position=at, force_n=force, surface=surface, ring=ring, way=way)
        for at, force in zip(positions, forces, strict=True)
    ]


def finding_of(values: Values) -> EffortFinding:
    """Return what the forces say.

    Raises
    ------
    BadInputError
        If there are none.
    """
    readings = readings_of(values)
    if not readings:
        raise bad_input("dirty_on_out", "there are no forces yet", "give those of one state, both ways if you can")
    scuffs = numbers_of(values.text("scuffs"), _plain, where="scuffs")
    return effort_finding(readings=readings, u_force_n=values["u"], scuffs=scuffs)


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return where it rubs, and what is the thread."""
    found = finding_of(asked.values)
    return (
        Section(
            title="Effort over the travel",
            words=found.advice,
            pictures=both(effort_picture, found),
            rows=_rows(found),
            remarks=(
                "both ways averaged: what pulls one way only, a spring or the weight, drops out",
                "bars are two standard uncertainties",
            ),
            write=Choice("Write the effort to the job"),
        ),
        *_rubbed(found),
        _numbers(found),
    )


def _rows(found: EffortFinding) -> tuple[Row, ...]:
    rows = [
        Row(
            f"{curve.surface.capitalize()}, ring {curve.ring}",
            f"{show_number(min(curve.force_n))} to {show_number(max(curve.force_n))} N",
            _one_way(curve.way_n),
        )
        for curve in found.curves
    ]
    if found.grease_gain_n is not None:
        rows.append(
            Row("Grease gains", f"{show_number(found.grease_gain_n)} N", "mean of the travel, dry less greased")
        )
    return tuple(rows)


def _one_way(way_n: tuple[float, ...]) -> str:
    known = [one for one in way_n if one == one]
    if not known:
        return "only one way was read: a load that pulls one way is still in it"
    mean = sum(known) / len(known)
    return f"out asks {show_number(abs(2 * mean))} N {'more' if mean > 0 else 'less'} than in, on the mean"


def _rubbed(found: EffortFinding) -> tuple[Section, ...]:
    if not found.rubs:
        return ()
    rub = found.rubs[-1]
    where = "; ".join(
        f"{zone.first:g} to {zone.last:g}, up to {show_number(zone.greatest_n)} N"
        + (f", scuffs at {', '.join(f'{s:g}' for s in zone.scuffs)}" if zone.scuffs else "")
        for zone in rub.zones
    )
    return (
        Section(
            title=f"The ring alone, {rub.surface}",
            words=f"it rubs at {where}" if where else "it rubs nowhere that the readings could tell",
            pictures=both(rub_picture, rub, scuffs=found.scuffs),
            remarks=("ring on less ring off; what is left with the ring off is the thread",),
        ),
    )


def _numbers(found: EffortFinding) -> Section:
    lines = tuple(
        (f"{at:g}", f"{curve.surface}, ring {curve.ring}", f"{force:.2f} N", f"{u:.2f} N")
        for curve in found.curves
        for at, force, u in zip(curve.positions, curve.force_n, curve.u_force_n, strict=True)
    )
    return Section(title="All means", table=Table(("Position", "State", "Force", "u"), lines), folded=True)


def write(asked: Asked, stage: Stage, _choice: str) -> tuple[Entry, ...]:
    """Write the effort into the job."""
    return write_effort(page_of(asked, stage), finding_of(asked.values))


def how() -> How:
    """Say how the effort is taken."""
    return How(
        steps=(
            "Mark 6 to 12 positions on the ring, from infinity to the close end.",
            "Hook a spring balance to the lever, always at the same place, and pull square to it, slowly: read the "
            "force with which it keeps moving.",
            "Once outwards through all positions, once back in.",
            "Again with the ring off, then clean and dry, then greased: each state the same positions.",
            "Look for scuff marks on ring and body, and note at which position they touch.",
        ),
        pictures=both(pull_at_lever),
        cautions=(
            "solvent vapour burns and harms when the thread is cleaned: window open, no flame, small covered vessel, "
            "gloves; local rules come first",
        ),
    )


TASK = Task(
    path="effort",
    name="Effort",
    lead="The pull at the focusing lever over its travel: where the ring rubs, and what is the thread.",
    fields=fields,
    work_out=work_out,
    write=write,
    how=how,
)
