"""A torsion spring under a torque: everything that can be said of it."""

import math
from dataclasses import dataclass

from asfound.problems import Problem
from asfound.springs.strength import Direction, Limits, Verdict, bending_limits, stress_verdict, stress_words
from asfound.springs.torsion import (
    StressRule,
    TorsionSpring,
    bending_stress,
    binding_turns,
    close_wound_length,
    inner_stress_factor,
    loaded_inner_diameter,
    rate_of,
    turns_of,
)
from asfound.springs.wire import Material


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadedTorsion:
    """A torsion spring at one torque; lengths in mm, stresses in MPa, torque in N mm.

    Attributes
    ----------
    u_rate_n_mm_per_turn : float or None
        One standard uncertainty from those of wire, mean diameter and modulus; None where none was given.
    body_angle_deg : float
        Turned by the coil body alone, without the legs' bending.
    cautious_inner_diameter_mm : float
        The bore with the wire's length kept, whatever rule the constant brings: judge clearances by this.
    pin_clearance_mm : float or None
        On the diameter; None without a pin.
    """

    torque_n_mm: float
    index: float
    active_turns: float
    rate_n_mm_per_turn: float
    u_rate_n_mm_per_turn: float | None
    angle_deg: float
    body_angle_deg: float
    stress_factor: float
    stress_mpa: float
    limits: Limits
    loaded_inner_diameter_mm: float
    cautious_inner_diameter_mm: float
    body_length_mm: float
    loaded_body_length_mm: float
    pin_clearance_mm: float | None
    verdict: Verdict
    meaning: str


def load_torsion(
    spring: TorsionSpring,
    *,
    torque_n_mm: float,
    material: Material,
    pin_mm: float | None = None,
    direction: Direction = "closing",
    stress_rule: StressRule = "inner fibre",
    u_wire_mm: float = 0.0,
    u_mean_diameter_mm: float = 0.0,
    u_modulus_mpa: float = 0.0,
) -> LoadedTorsion:
    """Return a torsion spring at a torque.

    Raises
    ------
    ZeroDivisionError
        If a dimension is zero: see `asfound.springs.torsion.dimension_problems` first.

    Notes
    -----
    The bore is that of the body's own rotation; the legs' bending does not close it. Sources stand with the
    functions called.
    """
    index = spring.mean_diameter_mm / spring.wire_diameter_mm
    active, rate = turns_of(spring), rate_of(spring)
    turns = torque_n_mm / rate
    body_turns = turns * spring.body_turns / active
    # An opening load unwinds the body: the bore grows.
    signed = body_turns if direction == "closing" else -body_turns
    cautious = _bore(spring, signed, "mean")
    factor = inner_stress_factor(index=index, rule=stress_rule)
    stress = bending_stress(torque_n_mm=torque_n_mm, wire_diameter_mm=spring.wire_diameter_mm, stress_factor=factor)
    limits = bending_limits(material, wire_diameter_mm=spring.wire_diameter_mm, direction=direction)
    relative = _relative_rate_uncertainty(spring, u_wire_mm, u_mean_diameter_mm, u_modulus_mpa)
    return LoadedTorsion(
        torque_n_mm=torque_n_mm,
        index=index,
        active_turns=active,
        rate_n_mm_per_turn=rate,
        u_rate_n_mm_per_turn=relative * rate if relative else None,
        angle_deg=360 * turns,
        body_angle_deg=360 * body_turns,
        stress_factor=factor,
        stress_mpa=stress,
        limits=limits,
        loaded_inner_diameter_mm=_bore(spring, signed, spring.constant.bore_rule),
        cautious_inner_diameter_mm=cautious,
        body_length_mm=close_wound_length(wire_diameter_mm=spring.wire_diameter_mm, body_turns=spring.body_turns),
        loaded_body_length_mm=close_wound_length(
            wire_diameter_mm=spring.wire_diameter_mm,
            body_turns=spring.body_turns,
            rotation_turns=max(signed, 0.0),
        ),
        pin_clearance_mm=None if pin_mm is None else cautious - pin_mm,
        verdict=stress_verdict(stress_mpa=stress, limits=limits),
        meaning=stress_words(stress_mpa=stress, limits=limits),
    )


def _bore(spring: TorsionSpring, body_turns: float, rule: str) -> float:
    return loaded_inner_diameter(
        wire_diameter_mm=spring.wire_diameter_mm,
        mean_diameter_mm=spring.mean_diameter_mm,
        body_turns=spring.body_turns,
        body_rotation_turns=body_turns,
        bore_rule="inner" if rule == "inner" else "mean",
    )


def _relative_rate_uncertainty(spring: TorsionSpring, u_wire: float, u_mean: float, u_modulus: float) -> float:
    # The rate goes with d^4, 1/(D N) and E; the legs' small share of N is left out.
    return math.hypot(
        4 * u_wire / spring.wire_diameter_mm,
        u_mean / spring.mean_diameter_mm,
        u_modulus / spring.modulus_mpa,
    )


def fit_problems(
    spring: TorsionSpring,
    *,
    torque_n_mm: float,
    pin_mm: float | None = None,
    outside_mm: float | None = None,
    between_cheeks_mm: float | None = None,
    direction: Direction = "closing",
) -> tuple[Problem, ...]:
    """Return where a spring does not fit: pin, outside, between the cheeks; or would be wound past binding."""
    found: list[Problem | None] = [
        _outside_problem(spring, outside_mm),
        _pin_problem(spring, torque_n_mm, pin_mm, direction),
        _cheek_problem(spring, torque_n_mm, between_cheeks_mm, direction),
    ]
    return tuple(problem for problem in found if problem is not None)


def _body_rotation(spring: TorsionSpring, torque_n_mm: float) -> float:
    return torque_n_mm / rate_of(spring) * spring.body_turns / turns_of(spring)


def _outside_problem(spring: TorsionSpring, outside_mm: float | None) -> Problem | None:
    outer = spring.mean_diameter_mm + spring.wire_diameter_mm
    if outside_mm is None or outer <= outside_mm:
        return None
    what = f"the coil is {outer:.3g} mm across and there are {outside_mm:.3g} mm"
    return Problem("--outside", what, "use a smaller mean diameter")


def _pin_problem(
    spring: TorsionSpring, torque_n_mm: float, pin_mm: float | None, direction: Direction
) -> Problem | None:
    if pin_mm is None:
        return None
    bore = spring.mean_diameter_mm - spring.wire_diameter_mm
    if bore < pin_mm:
        what = f"the bore of {bore:.3g} mm does not go over a pin of {pin_mm:.3g} mm"
        return Problem("--pin", what, "check that the mean diameter is outside less one wire")
    limit = binding_turns(
        wire_diameter_mm=spring.wire_diameter_mm,
        mean_diameter_mm=spring.mean_diameter_mm,
        body_turns=spring.body_turns,
        pin_mm=pin_mm,
    )
    wound = _body_rotation(spring, torque_n_mm)
    if direction == "opening" or wound <= limit:
        return None
    what = f"the body would turn {360 * wound:.0f} deg but grips the pin at {360 * limit:.0f} deg"
    return Problem("--pin", what, "ask for less torque, or a larger mean diameter")


def _cheek_problem(
    spring: TorsionSpring, torque_n_mm: float, cheeks_mm: float | None, direction: Direction
) -> Problem | None:
    if cheeks_mm is None:
        return None
    turned = _body_rotation(spring, torque_n_mm) if direction == "closing" else 0.0
    length = close_wound_length(
        wire_diameter_mm=spring.wire_diameter_mm, body_turns=spring.body_turns, rotation_turns=turned
    )
    if length <= cheeks_mm:
        return None
    what = f"the coil is {length:.3g} mm long under load and the cheeks are {cheeks_mm:.3g} mm apart"
    return Problem("--between-cheeks", what, "use fewer turns or thinner wire")
