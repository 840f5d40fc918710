"""A torsion spring as it is, from its dimensions."""

from asfound.bench.springs import write_rate
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots.torque import TorqueMark, torque_picture
from asfound.problems import BadInputError
from asfound.quantity import show_length, show_number
from asfound.springs import LoadedTorsion, TorsionSpring, fit_problems, load_torsion, torque_curve
from asfound.springs.cautions import LOADED_SPRING
from asfound.springs.strength import Direction
from asfound.springs.torsion import torque_at_stress
from asfound.web.room import Asked, Choice, Row, Section, Task, both
from asfound.web.room_form import Field, Values
from asfound.web.springs.coil import WHICH, how_to_measure, material_of, say_constant, torsion_fields, torsion_of

_FIT = (
    Field(name="pin", label="Pin", unit="mm", optional=True, hint="that the coil sits on"),
    Field(name="room_across", label="Room across the coil", unit="mm", optional=True),
    Field(name="between_cheeks", label="Room along the coil", unit="mm", optional=True),
)
_U_WIRE = Field(
    name="u_wire", label="Wire is known to", unit="mm", default="0.005", optional=True, hint="one standard uncertainty"
)
_DIRECTION = Field(name="direction", label="The load", default="closing", choices=("closing", "opening"))


def fields(_job: Job) -> tuple[Field, ...]:
    """Return what is asked of a torsion spring."""
    torque = Field(name="torque", label="Torque on it", unit="N·mm", hint="folded, the most it carries")
    return (WHICH, *torsion_fields(), torque, _DIRECTION, *_FIT, _U_WIRE)


def loaded_of(values: Values) -> tuple[TorsionSpring, LoadedTorsion]:
    """Return the spring and what it is at its torque.

    Raises
    ------
    BadInputError
        If it does not fit where it sits.
    """
    made = torsion_of(values)
    direction: Direction = "closing" if values.text("direction") == "closing" else "opening"
    problems = fit_problems(
        made,
        torque_n_mm=values["torque"],
        pin_mm=values.maybe("pin"),
        outside_mm=values.maybe("room_across"),
        between_cheeks_mm=values.maybe("between_cheeks"),
        direction=direction,
    )
    if problems:
        raise BadInputError(*problems)
    return made, load_torsion(
        made,
        torque_n_mm=values["torque"],
        material=material_of(values),
        pin_mm=values.maybe("pin"),
        direction=direction,
        u_wire_mm=values.maybe("u_wire") or 0.0,
    )


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return what the spring does at its torque."""
    made, loaded = loaded_of(asked.values)
    yield_mpa = loaded.limits.yield_mpa
    most = None
    if yield_mpa is not None:
        most = torque_at_stress(
            stress_mpa=yield_mpa, wire_diameter_mm=made.wire_diameter_mm, stress_factor=loaded.stress_factor
        )
    curve = torque_curve(
        rate_n_mm_per_turn=loaded.rate_n_mm_per_turn, to_deg=1.25 * loaded.angle_deg, name="by its dimensions"
    )
    here = TorqueMark(angle_deg=loaded.angle_deg, torque_n_mm=loaded.torque_n_mm, name="torque asked for")
    limits = loaded.limits
    mark = f" ({limits.mark})" if limits.mark else ""
    return (
        Section(
            title=f"By its dimensions: {asked.values.text('which')[:60]}",
            verdict=loaded.verdict,
            words=f"stress at this torque is {loaded.meaning}",
            pictures=both(torque_picture, [curve], measured=[here], limit_n_mm=most),
            rows=_rows(made, loaded),
            remarks=(
                say_constant(made.constant),
                f"strength from {limits.source}{mark}; E {made.modulus_mpa / 1000:.4g} GPa",
            ),
            cautions=(LOADED_SPRING,),
            write=Choice("Write the rate to the job"),
        ),
    )


def _rows(made: TorsionSpring, loaded: LoadedTorsion) -> tuple[Row, ...]:
    rate, u = loaded.rate_n_mm_per_turn, loaded.u_rate_n_mm_per_turn
    plus = f" ± {show_number(u, u)}" if u else ""
    legs = f"of it the coil {loaded.body_angle_deg:.0f}°, the legs the rest"
    turns = f"{made.body_turns:g} of the coil, the rest the legs' bending"
    bore, length = show_length(loaded.cautious_inner_diameter_mm), show_length(loaded.body_length_mm)
    return (
        Row("Rate", f"{show_number(rate, u)}{plus} N·mm/turn", "goes with the fourth power of the wire: 1 % is 4 %"),
        Row("Wound at this torque", f"{loaded.angle_deg:.0f}°", legs),
        Row("Stress, inner fibre", f"{loaded.stress_mpa:.0f} MPa", _of_yield(loaded), loaded.verdict),
        Row("Index", show_number(loaded.index), "mean diameter over wire; 4 to 20 is usual"),
        Row("Active turns", f"{loaded.active_turns:.2f}", turns),
        Row("Bore under load", bore, _clear(loaded)),
        Row("Length of the coil", length, f"{show_length(loaded.loaded_body_length_mm)} under load"),
    )


def _of_yield(loaded: LoadedTorsion) -> str:
    limits = loaded.limits
    if limits.yield_mpa is None or limits.tensile_mpa is None:
        return "no strength is listed for this wire"
    return f"yields at {limits.yield_mpa:.0f} MPa, breaks at {limits.tensile_mpa:.0f} MPa"


def _clear(loaded: LoadedTorsion) -> str:
    if loaded.pin_clearance_mm is None:
        return "give the pin to see what is left between"
    return f"{show_length(loaded.pin_clearance_mm)} clear of the pin, on the diameter"


def write(asked: Asked, stage: Stage, _choice: str) -> tuple[Entry, ...]:
    """Write the rate into the job."""
    _, loaded = loaded_of(asked.values)
    return write_rate(
        asked.book, asked.job.id, which=asked.values.text("which"), loaded=loaded, typed=asked.typed, stage=stage
    )


TASK = Task(
    path="",
    name="Torsion",
    lead="What a torsion spring of these dimensions does at a torque.",
    fields=fields,
    work_out=work_out,
    write=write,
    how=how_to_measure,
)
