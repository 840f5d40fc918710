"""A sleeve or larger arbor under part of the coil: turns are gripped, the rest works stiffer."""

from dataclasses import dataclass

from asfound.problems import Problem
from asfound.springs.cautions import LOADED_SPRING
from asfound.springs.torsion import TorqueCurve, TorsionSpring, binding_turns, rate_of, turns_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Sleeved:
    """A torsion spring with a sleeve under some of its turns.

    Attributes
    ----------
    binds_at_deg : float
        Angle wound, legs included, at which the covered turns grip the sleeve.
    turns_lost : float
        Body turns that no longer work past that angle.
    rate_after_n_mm_per_turn : float
        Rate past that angle.
    remaining_clearance_mm : float
        On the diameter between the turns left free and the arbor beneath, folded.
    """

    binds_at_deg: float
    turns_lost: float
    rate_before_n_mm_per_turn: float
    rate_after_n_mm_per_turn: float
    stiffness_gained: float
    erected_n_mm: float
    folded_n_mm: float
    gain_erected_n_mm: float
    gain_folded_n_mm: float
    remaining_clearance_mm: float
    curves: tuple[TorqueCurve, ...]
    words: str
    cautions: tuple[str, ...] = (LOADED_SPRING,)


def sleeved(
    spring: TorsionSpring,
    *,
    sleeve_mm: float,
    covered_turns: float,
    arbor_mm: float,
    erected_deg: float,
    folded_deg: float,
) -> tuple[Sleeved | None, tuple[Problem, ...]]:
    """Return the spring with a sleeve of an outer diameter under some turns, or why it cannot be.

    Parameters
    ----------
    erected_deg, folded_deg : float
        Angle wound from free at the two positions.

    Notes
    -----
    The whole coil shrinks evenly until D' - d is the sleeve (wire length kept); from there the covered turns stand
    still and the rate is that of the turns left (common practice, no source). In truth they grip one after the
    other, so the corner is rounder.
    """
    problems = _problems(spring, sleeve_mm, covered_turns, arbor_mm)
    if problems:
        return None, problems
    active, rate = turns_of(spring), rate_of(spring)
    body_share = spring.body_turns / active
    bound = _bound_turns(spring, sleeve_mm)
    binds_at = 360 * bound / body_share
    after = rate * active / (active - covered_turns)

    def torque(angle: float) -> float:
        past = max(0.0, angle - binds_at)
        return (rate * (angle - past) + after * past) / 360

    bore = _free_bore(spring, torque(folded_deg), rate * active)
    if bore < arbor_mm:
        what = f"folded, the turns left free would grip the arbor (bore {bore:.3g} mm, arbor {arbor_mm:.3g} mm)"
        return None, (Problem("--cover", what, "cover fewer turns, or use a thinner sleeve"),)
    plain = (rate * erected_deg / 360, rate * folded_deg / 360)
    erected, folded = torque(erected_deg), torque(folded_deg)
    return Sleeved(
        binds_at_deg=binds_at,
        turns_lost=covered_turns,
        rate_before_n_mm_per_turn=rate,
        rate_after_n_mm_per_turn=after,
        stiffness_gained=after / rate,
        erected_n_mm=erected,
        folded_n_mm=folded,
        gain_erected_n_mm=erected - plain[0],
        gain_folded_n_mm=folded - plain[1],
        remaining_clearance_mm=bore - arbor_mm,
        curves=_curves(rate, after, binds_at, folded_deg),
        words=_words(binds_at, erected_deg, folded_deg),
    ), ()


def _problems(spring: TorsionSpring, sleeve: float, covered: float, arbor: float) -> tuple[Problem, ...]:
    bore = spring.mean_diameter_mm - spring.wire_diameter_mm
    found = []
    if not arbor < sleeve < bore:
        what = f"a sleeve of {sleeve:.3g} mm does not lie between arbor ({arbor:.3g} mm) and bore ({bore:.3g} mm)"
        found.append(Problem("--sleeve", what, "choose one between the two"))
    if not 0 < covered < spring.body_turns:
        what = f"{covered:g} turns covered of {spring.body_turns:g}: past binding nothing would be left to turn"
        found.append(Problem("--cover", what, "cover some of the turns, not all"))
    return tuple(found)


def _bound_turns(spring: TorsionSpring, sleeve_mm: float) -> float:
    return binding_turns(
        wire_diameter_mm=spring.wire_diameter_mm,
        mean_diameter_mm=spring.mean_diameter_mm,
        body_turns=spring.body_turns,
        pin_mm=sleeve_mm,
    )


def _free_bore(spring: TorsionSpring, torque: float, per_turn: float) -> float:
    """Return the bore of the turns left free: each turn of wire turns by torque over rate of one turn."""
    shrink = 1 / (1 + torque / per_turn)
    return spring.mean_diameter_mm * shrink - spring.wire_diameter_mm


def _curves(rate: float, after: float, binds_at: float, folded: float) -> tuple[TorqueCurve, ...]:
    plain = TorqueCurve((0.0, folded), (0.0, rate * folded / 360), "as found")
    if folded <= binds_at:
        return plain, TorqueCurve(plain.angles_deg, plain.torques_n_mm, "with the sleeve")
    corner = rate * binds_at / 360
    end = corner + after * (folded - binds_at) / 360
    return plain, TorqueCurve((0.0, binds_at, folded), (0.0, corner, end), "with the sleeve")


def _words(binds_at: float, erected: float, folded: float) -> str:
    if binds_at >= folded:
        return "the coil never reaches the sleeve: it changes nothing; use a larger one"
    if binds_at >= erected:
        return "stiffer only when folded further than erected: nothing gained where the strut must hold"
    return "gripped before the strut is erected: stiffer all the way"
