"""The winding sheet: mandrel, turns to wind and leg angles for a torsion spring, and its drawing to scale."""

import math
from dataclasses import dataclass
from typing import Literal

from asfound.springs.cautions import CUT_WIRE, HOT_WIRE, LOADED_SPRING
from asfound.springs.elastoplastic import curvature_for_set, yield_curvature
from asfound.springs.torsion import TorsionSpring, close_wound_length, wire_length

Hand = Literal["left", "right"]
Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Mandrel:
    """A mandrel for one flow stress of the wire, and how far to wind on it.

    Attributes
    ----------
    flow_mpa : float
        Stress at which the wire is taken to flow.
    turns_to_wind : float
        Turns on the mandrel; the coil opens to its body turns when let go.
    """

    flow_mpa: float
    diameter_mm: float
    turns_to_wind: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """One line of the drawing, in mm at true scale, open or closed."""

    name: str
    points_mm: tuple[Point, ...]
    closed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class WindingSheet:
    """All that is needed to wind a spring; views at true scale in mm.

    Attributes
    ----------
    mandrels : tuple of Mandrel
        For the weakest and strongest wire listed (one where only a minimum is listed): begin with a thicker
        one, measure the first spring, and go on from there.
    end_view, side_view : tuple of Outline
        Along and across the coil's axis.
    """

    spring: TorsionSpring
    hand: Hand
    mandrels: tuple[Mandrel, ...]
    free_leg_angle_deg: float
    wire_length_mm: float
    body_length_mm: float
    end_view: tuple[Outline, ...]
    side_view: tuple[Outline, ...]
    cautions: tuple[str, ...] = (LOADED_SPRING, CUT_WIRE, HOT_WIRE)


def mandrel_for(spring: TorsionSpring, *, flow_mpa: float) -> Mandrel:
    """Return the mandrel on which the wire springs back to the coil.

    Bent to a curvature the wire keeps it less M/(EI), with the moment of a perfectly plastic round bar (common
    practice, no source). Hardening and the winder's tension move the result by some per cent: a first trial.
    """
    d = spring.wire_diameter_mm
    limit = yield_curvature(wire_diameter_mm=d, yield_mpa=flow_mpa, modulus_mpa=spring.modulus_mpa)
    free = 2 / spring.mean_diameter_mm
    wound = limit * curvature_for_set(free / limit)
    return Mandrel(
        flow_mpa=flow_mpa,
        diameter_mm=2 / wound - d,
        turns_to_wind=spring.body_turns * wound / free,
    )


def winding_sheet(
    spring: TorsionSpring, *, hand: Hand, tensile_mpa: float, most_tensile_mpa: float | None = None
) -> WindingSheet:
    """Return the winding sheet of a spring; the wire is taken to flow at its tensile strength."""
    strengths = [tensile_mpa] if most_tensile_mpa is None else [tensile_mpa, most_tensile_mpa]
    mandrels = tuple(mandrel_for(spring, flow_mpa=s) for s in strengths)
    return WindingSheet(
        spring=spring,
        hand=hand,
        mandrels=mandrels,
        free_leg_angle_deg=360 * (spring.body_turns % 1),
        wire_length_mm=wire_length(spring),
        body_length_mm=close_wound_length(wire_diameter_mm=spring.wire_diameter_mm, body_turns=spring.body_turns),
        end_view=_end_view(spring, hand, max(m.diameter_mm for m in mandrels)),
        side_view=_side_view(spring, hand),
    )


def _circle(name: str, diameter: float, points: int = 72) -> Outline:
    turn = 2 * math.pi / points
    ring = tuple((diameter / 2 * math.cos(i * turn), diameter / 2 * math.sin(i * turn)) for i in range(points))
    return Outline(name=name, points_mm=ring, closed=True)


def _end_view(spring: TorsionSpring, hand: Hand, mandrel: float) -> tuple[Outline, ...]:
    mean, d = spring.mean_diameter_mm, spring.wire_diameter_mm
    return (
        _circle("outside", mean + d),
        _circle("bore", mean - d),
        _circle("mandrel", mandrel),
        *_legs(spring, hand),
    )


def _legs(spring: TorsionSpring, hand: Hand) -> tuple[Outline, ...]:
    """Return the legs as centre lines, tangent to the coil; seen from the front end, where the first leg is.

    A right-hand coil runs clockwise as it goes away from the eye, so its wire turns by minus body turns.
    """
    radius = spring.mean_diameter_mm / 2
    sense = -1 if hand == "right" else 1
    lengths = (*spring.leg_lengths_mm, 0.0, 0.0)[:2]
    start, end = math.pi / 2, math.pi / 2 + sense * 2 * math.pi * spring.body_turns
    legs = []
    # The first leg runs into the coil, so it lies against the sense of winding; the second runs on with it.
    for name, angle, length, way in (
        ("first leg", start, lengths[0], -sense),
        ("second leg", end, lengths[1], sense),
    ):
        foot = (radius * math.cos(angle), radius * math.sin(angle))
        tip = (foot[0] - way * length * math.sin(angle), foot[1] + way * length * math.cos(angle))
        legs.append(Outline(name=name, points_mm=(foot, tip)))
    return tuple(legs)


def _side_view(spring: TorsionSpring, hand: Hand) -> tuple[Outline, ...]:
    mean, d = spring.mean_diameter_mm, spring.wire_diameter_mm
    length = close_wound_length(wire_diameter_mm=d, body_turns=spring.body_turns)
    half = (mean + d) / 2
    body = Outline(name="body", points_mm=((0.0, -half), (length, -half), (length, half), (0.0, half)), closed=True)
    # The near half of each turn, half a pitch long: with its axis level a right-hand coil leans to the left as it
    # rises, like the thread of a right-hand screw laid down.
    lean = -d / 4 if hand == "right" else d / 4
    turns = tuple(
        Outline(
            name="turn",
            points_mm=((d * (i + 0.5) + d / 2 - lean, -half), (d * (i + 0.5) + d / 2 + lean, half)),
        )
        for i in range(math.floor(spring.body_turns))
    )
    return (body, *turns)
