"""A helical torsion spring: rate, angle, stress, the bore and length under load."""

import math
from dataclasses import dataclass
from typing import Literal

from asfound.problems import Problem

ConstantName = Literal["bending", "textbook", "handbook"]
StressRule = Literal["inner fibre", "EN"]


@dataclass(frozen=True, slots=True)
class TorsionConstant:
    """The constant K in ``angle_deg = K M D N / (E d^4)`` and what goes with it.

    Attributes
    ----------
    stress_value : float
        The constant in ``angle_deg = K' S D N / (E d)``, from the plain bending stress S. It is K pi/32; the
        handbook prints 392 for 392.7, so its tables are 0.2 % below what 4000 gives from the torque.
    bore_rule : {"mean", "inner"}
        Which diameter shrinks as turns are added: the mean one (the wire keeps its length), or the inner one,
        as the handbook's worked example has it (a little larger, so less cautious).
    """

    name: ConstantName
    value: float
    stress_value: float
    bore_rule: Literal["mean", "inner"]
    source: str


CONSTANTS: dict[str, TorsionConstant] = {
    "bending": TorsionConstant(
        "bending", 64 * 180 / math.pi, 360.0, "mean", "pure bending, 64*180/pi = 3667; EN 13906-3 (memory)"
    ),
    "textbook": TorsionConstant(
        "textbook",
        3888.0,
        3888 * math.pi / 32,
        "mean",
        "10.8 a turn, friction between coils allowed for; Shigley (memory)",
    ),
    "handbook": TorsionConstant(
        "handbook", 4000.0, 392.0, "inner", "Machinery's Handbook, 31st ed., pp. 334-339 (read)"
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class TorsionSpring:
    """A torsion spring by its dimensions, unloaded.

    Attributes
    ----------
    leg_lengths_mm : tuple of float
        From the coil to where each leg bears; empty where legs are left out.
    modulus_mpa : float
        Young's modulus.
    """

    wire_diameter_mm: float
    mean_diameter_mm: float
    body_turns: float
    leg_lengths_mm: tuple[float, ...] = ()
    modulus_mpa: float
    constant: TorsionConstant


def inner_stress_factor(*, index: float, rule: StressRule = "inner fibre") -> float:
    """Return how much the inner fibre of a coil carries over a straight bar.

    Parameters
    ----------
    index : float
        D/d, above 1.
    rule : {"inner fibre", "EN"}
        (4C^2 - C - 1) / (4C(C - 1)), Analysis and Design of Machine Elements, eqs 14.32-39; or
        (C + 0.07) / (C - 0.75), EN 13906-3 (from memory).
    """
    if rule == "EN":
        return (index + 0.07) / (index - 0.75)
    return (4 * index**2 - index - 1) / (4 * index * (index - 1))


def active_turns(*, body_turns: float, mean_diameter_mm: float, leg_lengths_mm: tuple[float, ...] = ()) -> float:
    """Return body turns plus what the legs bend, (l1 + l2)/(3 pi D) turns (Shigley, from memory)."""
    return body_turns + sum(leg_lengths_mm) / (3 * math.pi * mean_diameter_mm)


def turns_of(spring: TorsionSpring) -> float:
    """Return the active turns of a spring."""
    return active_turns(
        body_turns=spring.body_turns,
        mean_diameter_mm=spring.mean_diameter_mm,
        leg_lengths_mm=spring.leg_lengths_mm,
    )


def torsion_rate(
    *,
    wire_diameter_mm: float,
    mean_diameter_mm: float,
    active_turns: float,
    modulus_mpa: float,
    constant: TorsionConstant,
) -> float:
    """Return the rate in N mm per turn: 360 E d^4 / (K D N)."""
    return 360 * modulus_mpa * wire_diameter_mm**4 / (constant.value * mean_diameter_mm * active_turns)


def rate_of(spring: TorsionSpring) -> float:
    """Return the rate of a spring in N mm per turn."""
    return torsion_rate(
        wire_diameter_mm=spring.wire_diameter_mm,
        mean_diameter_mm=spring.mean_diameter_mm,
        active_turns=turns_of(spring),
        modulus_mpa=spring.modulus_mpa,
        constant=spring.constant,
    )


def bending_stress(*, torque_n_mm: float, wire_diameter_mm: float, stress_factor: float = 1.0) -> float:
    """Return 32 M / (pi d^3) in MPa, times the stress factor."""
    return stress_factor * 32 * torque_n_mm / (math.pi * wire_diameter_mm**3)


def torque_at_stress(*, stress_mpa: float, wire_diameter_mm: float, stress_factor: float = 1.0) -> float:
    """Return the torque in N mm that brings the wire to a stress: the inverse of `bending_stress`."""
    return stress_mpa * math.pi * wire_diameter_mm**3 / (32 * stress_factor)


def angle_at_stress(
    *,
    stress_mpa: float,
    wire_diameter_mm: float,
    mean_diameter_mm: float,
    active_turns: float,
    modulus_mpa: float,
    constant: TorsionConstant,
) -> float:
    """Return the angle in degrees at a plain bending stress, as the handbooks' tables have it."""
    per_turn = constant.stress_value * stress_mpa * mean_diameter_mm / (modulus_mpa * wire_diameter_mm)
    return per_turn * active_turns


def loaded_inner_diameter(
    *,
    wire_diameter_mm: float,
    mean_diameter_mm: float,
    body_turns: float,
    body_rotation_turns: float,
    bore_rule: Literal["mean", "inner"] = "mean",
) -> float:
    """Return the inner diameter in mm once the body has been wound tighter.

    The same wire makes more turns, so D' = Nb D / (Nb + rotation) (Shigley, from memory); with "inner" the
    factor is put on the inner diameter (Machinery's Handbook, 31st ed., worked example, read).
    """
    shrink = body_turns / (body_turns + body_rotation_turns)
    if bore_rule == "inner":
        return (mean_diameter_mm - wire_diameter_mm) * shrink
    return mean_diameter_mm * shrink - wire_diameter_mm


def binding_turns(*, wire_diameter_mm: float, mean_diameter_mm: float, body_turns: float, pin_mm: float) -> float:
    """Return by how many turns the body can be wound before it grips a pin of this diameter."""
    return body_turns * (mean_diameter_mm / (pin_mm + wire_diameter_mm) - 1)


def close_wound_length(*, wire_diameter_mm: float, body_turns: float, rotation_turns: float = 0.0) -> float:
    """Return d (Nb + 1 + rotation), the body's length in mm (a spring maker's guide, read)."""
    return wire_diameter_mm * (body_turns + 1 + rotation_turns)


def wire_length(spring: TorsionSpring) -> float:
    """Return the length of wire in body and legs, in mm (pitch left out)."""
    return math.pi * spring.mean_diameter_mm * spring.body_turns + sum(spring.leg_lengths_mm)


@dataclass(frozen=True, slots=True)
class TorqueCurve:
    """Torque over the angle wound from free, both as equal-length tuples (degrees, N mm)."""

    angles_deg: tuple[float, ...]
    torques_n_mm: tuple[float, ...]
    name: str = ""


def torque_curve(*, rate_n_mm_per_turn: float, to_deg: float, points: int = 25, name: str = "") -> TorqueCurve:
    """Return a straight torque curve from free to an angle."""
    angles = tuple(to_deg * i / (points - 1) for i in range(points))
    return TorqueCurve(angles, tuple(rate_n_mm_per_turn * a / 360 for a in angles), name)


def dimension_problems(*, wire_diameter_mm: float, mean_diameter_mm: float, body_turns: float) -> tuple[Problem, ...]:
    """Return what is impossible or doubtful in a coil's dimensions."""
    found = []
    if wire_diameter_mm <= 0 or mean_diameter_mm <= 0 or body_turns <= 0:
        found.append(Problem("spring", "wire, mean diameter and turns must be above zero", "measure them again"))
        return tuple(found)
    index = mean_diameter_mm / wire_diameter_mm
    if index < 3:
        found.append(
            Problem(
                "--mean-diameter",
                f"an index of {index:.3g} (mean diameter over wire) is below 3: such a coil cannot be wound",
                "check both units, and that the mean diameter is outside diameter less one wire",
            )
        )
    return tuple(found)


def thou_problem(*, diameter_mm: float, where: str) -> Problem | None:
    """Ask about a wire thicker than 3 mm: thou typed as mm."""
    if diameter_mm <= 3:
        return None
    return Problem(
        where,
        f"{diameter_mm:g} mm is no camera's spring wire; "
        f"is {diameter_mm:g} thou ({diameter_mm * 0.0254:.3g} mm) meant?",
        f"write {diameter_mm:g}thou, or add --as-typed if mm is meant",
    )
