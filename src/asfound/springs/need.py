"""The torque that a strut or lever needs, from the linkage and the forces on it."""

import math
from dataclasses import dataclass, field
from typing import Literal

Lock = Literal["none", "over-centre", "groove"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Strut:
    """A strut that swings about a pivot and carries the front standard at its tip.

    Everything is for the whole front: the struts share it. The strut's angle is measured from the body's
    plane: 0 lies flat, 90 stands straight out.

    Attributes
    ----------
    length_mm : float
        From the body's pivot to the pin in the standard.
    weight_n : float
        Weight of the front (standard, shutter, lens).
    elevation_deg : float
        Where the lens points while it must hold: 90 is up (the weight pushes it shut), 0 level, -90 down.
    bellows_n : float
        Force of the bellows along the lens's axis, towards the body, erected. Measured with the bellows
        attached and detached: it can match the weight.
    bellows_folded_n : float
        The same, folded; below zero where the squeezed bellows push the front out.
    friction_n_mm : float
        Friction torque of the strut, as measured.
    bears_mm : float or None
        From the pivot to where the spring's leg bears on the strut.
    bears_from_coil_mm : float or None
        From the coil's own centre to the same place; None where the coil sits on the pivot.
    lock : {"none", "over-centre", "groove"}
        What holds the strut erected beside its spring. Over-centre is reckoned from the angle itself.
    finger_n : float
        Push on the shutter release, towards the body.
    groove_arm_mm, groove_slope_deg, groove_friction : float
        Where the locking pin lies, how steep the groove's wall is, and the friction coefficient on it.
    """

    length_mm: float
    weight_n: float = 0.0
    elevation_deg: float = 90.0
    bellows_n: float = 0.0
    bellows_folded_n: float = 0.0
    friction_n_mm: float = 0.0
    bears_mm: float | None = None
    bears_from_coil_mm: float | None = None
    lock: Lock = "none"
    finger_n: float = 0.0
    groove_arm_mm: float | None = None
    groove_slope_deg: float = 45.0
    groove_friction: float = 0.15


@dataclass(frozen=True, slots=True, kw_only=True)
class Term:
    """One force's share of the torque about the pivot; positive folds the strut."""

    name: str
    torque_n_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """The torque needed at one angle of the strut, at the pivot and at the spring.

    Attributes
    ----------
    pivot_n_mm : float
        Sum of the terms, never below zero: what springs must give together about the pivot.
    spring_n_mm : float
        The same as torque of the springs' coils: other than at the pivot where the coil sits elsewhere.
    """

    angle_deg: float
    terms: tuple[Term, ...]
    pivot_n_mm: float
    spring_n_mm: float


def back_force_n(strut: Strut, *, finger: bool, folded: bool = False) -> float:
    """Return the force along the lens's axis that pushes the front towards the body, in N."""
    bellows = strut.bellows_folded_n if folded else strut.bellows_n
    weight = strut.weight_n * math.sin(math.radians(strut.elevation_deg))
    return bellows + weight + (strut.finger_n if finger else 0.0)


def torque_needed(strut: Strut, *, angle_deg: float, folded: bool = False) -> Need:
    """Return the torque that brings the strut home (or, folded, starts it).

    A force F towards the body at the tip turns a strut of length L at angle a by F L cos(a): nothing straight
    out (statics of one link; common practice, no source). Friction is against the motion. Past 90 degrees the
    strut has been through dead centre, where friction alone is left.
    """
    reach = strut.length_mm * max(0.0, math.cos(math.radians(angle_deg)))
    terms = (*_standing_terms(strut, reach, folded=folded), Term(name="friction", torque_n_mm=strut.friction_n_mm))
    return _need(strut, angle_deg, terms)


def torque_to_keep(strut: Strut, *, angle_deg: float) -> Need:
    """Return the torque that keeps the strut erected under a finger on the shutter release.

    Friction would help and is left out. Past 90 degrees the push locks the strut instead of folding it. In a
    groove, a push P across a wall of slope b lifts the pin with P tan(b - rho), tan(rho) the friction
    coefficient (a wedge; common practice, no source); the push is taken to reach the pin undiminished.
    """
    if strut.lock == "groove" and strut.groove_arm_mm:
        push = max(0.0, back_force_n(strut, finger=True))
        lift = math.radians(strut.groove_slope_deg) - math.atan(strut.groove_friction)
        torque = push * max(0.0, math.tan(lift)) * strut.groove_arm_mm
        return _need(strut, angle_deg, (Term(name="wall of the groove", torque_n_mm=torque),))
    reach = strut.length_mm * math.cos(math.radians(angle_deg))
    finger = Term(name="finger on the release", torque_n_mm=strut.finger_n * reach)
    return _need(strut, angle_deg, (*_standing_terms(strut, reach, folded=False), finger))


def _standing_terms(strut: Strut, reach: float, *, folded: bool) -> tuple[Term, Term]:
    bellows = strut.bellows_folded_n if folded else strut.bellows_n
    weight = strut.weight_n * math.sin(math.radians(strut.elevation_deg))
    return Term(name="bellows", torque_n_mm=bellows * reach), Term(name="weight", torque_n_mm=weight * reach)


def _need(strut: Strut, angle_deg: float, terms: tuple[Term, ...]) -> Need:
    pivot = max(0.0, sum(term.torque_n_mm for term in terms))
    return Need(angle_deg=angle_deg, terms=terms, pivot_n_mm=pivot, spring_n_mm=pivot * _coil_share(strut))


def _coil_share(strut: Strut) -> float:
    """Return torque of the coil over torque about the pivot: the leg's force is one and the same."""
    if strut.bears_mm is None or strut.bears_from_coil_mm is None:
        return 1.0
    return strut.bears_from_coil_mm / strut.bears_mm


def torque_at_give_way(*, force_n: float, arm_mm: float) -> float:
    """Return the torque in N mm of a measured force at which the strut gives way, at right angles to its arm."""
    return force_n * arm_mm


def bellows_force(*, attached_n: float, detached_n: float) -> float:
    """Return the bellows' force: the pull with bellows attached less that with them detached."""
    return attached_n - detached_n


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrow:
    """A force to draw: its foot in mm, its components in N, and its name."""

    name: str
    foot_mm: tuple[float, float]
    force_n: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkagePicture:
    """A strut to scale: x along the lens's axis away from the body, y across; pivot at the origin."""

    angle_deg: float
    pivot_mm: tuple[float, float]
    tip_mm: tuple[float, float]
    bears_mm: tuple[float, float] | None
    arrows: tuple[Arrow, ...] = field(default_factory=tuple)


def linkage_picture(strut: Strut, *, need: Need, finger: bool = False, folded: bool = False) -> LinkagePicture:
    """Return the points and forces of a strut at one angle."""
    along, across = math.sin(math.radians(need.angle_deg)), math.cos(math.radians(need.angle_deg))
    tip = (strut.length_mm * along, strut.length_mm * across)
    elevation = math.radians(strut.elevation_deg)
    weight = (-strut.weight_n * math.sin(elevation), -strut.weight_n * math.cos(elevation))
    arrows = [
        Arrow(name="weight", foot_mm=tip, force_n=weight),
        Arrow(
            name="bellows",
            foot_mm=tip,
            force_n=(-(strut.bellows_folded_n if folded else strut.bellows_n), 0.0),
        ),
    ]
    if finger:
        arrows.append(Arrow(name="finger on the release", foot_mm=tip, force_n=(-strut.finger_n, 0.0)))
    bears = None
    if strut.bears_mm is not None:
        bears = (strut.bears_mm * along, strut.bears_mm * across)
        push = need.pivot_n_mm / strut.bears_mm
        # At right angles to the strut, towards erected.
        arrows.append(Arrow(name="leg of the spring", foot_mm=bears, force_n=(push * across, -push * along)))
    return LinkagePicture(
        angle_deg=need.angle_deg, pivot_mm=(0.0, 0.0), tip_mm=tip, bears_mm=bears, arrows=tuple(arrows)
    )
