"""Whether a driver reaches a screw: how long and how thin its shaft must be, and the tilt an obstacle forces.

Plane geometry of a straight shaft over the slot; what a blade stands is common practice, no source.
"""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from asfound.problems import BadInputError, Problem

MOST_TILT_DEG = 5.0  # beyond it a blade climbs out of its slot
_FREE_MM = 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class Driver:
    """A screwdriver: its blade and its shaft; the handle begins where the shaft ends."""

    blade_thickness_mm: float
    blade_width_mm: float
    shaft_length_mm: float
    shaft_diameter_mm: float
    handle_diameter_mm: float = 10.0
    name: str = ""

    def __str__(self) -> str:
        blade = f"{self.blade_thickness_mm:g} x {self.blade_width_mm:g}"
        return self.name or f"{blade}, shaft {self.shaft_diameter_mm:g} x {self.shaft_length_mm:g}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Obstacle:
    """Something beside the screw, seen along the worst direction.

    Attributes
    ----------
    height_mm : float
        Of its upper edge, or the edge that is in the way, above the slot.
    gap_mm : float
        From the screw's axis sideways to that edge; negative where it stands over the axis.
    """

    height_mm: float
    gap_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DriverFit:
    """How one driver does: the tilt it is forced to, and why it will not do, if so."""

    driver: Driver
    tilt_deg: float
    reaches: bool
    why_not: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """What the place asks of a driver, and how each of the user's does, the best first.

    Attributes
    ----------
    shaft_length_mm : float
        At least, for the handle to stay outside.
    straight_diameter_mm : float
        The thickest shaft that stands straight; 0 where none does.
    tilted_diameter_mm : float
        The thickest shaft at the largest tilt a blade stands.
    """

    shaft_length_mm: float
    straight_diameter_mm: float
    tilted_diameter_mm: float
    blade_thickness_mm: tuple[float, float]
    blade_width_mm: float
    drivers: tuple[DriverFit, ...]


def forced_tilt_deg(*, shaft_diameter_mm: float, height_mm: float, gap_mm: float) -> float:
    """Return how far a shaft must lean away from an edge to pass it; 0 where it passes upright.

    The shaft's axis goes through the slot. Leaning by t, its near side passes the height h at h tan t + gap -
    r / cos t from the edge; that is zero at t = asin(r / R) - atan2(gap, h), with R the edge's distance from the slot
    (derived).
    """
    radius, distance = shaft_diameter_mm / 2, math.hypot(height_mm, gap_mm)
    if gap_mm >= radius:
        return 0.0
    if distance <= radius:
        return 90.0
    return math.degrees(math.asin(radius / distance) - math.atan2(gap_mm, height_mm))


def driver_reach(
    *,
    depth_mm: float,
    opening_mm: float | None = None,
    obstacle: Obstacle | None = None,
    slot_width_mm: float | None = None,
    head_diameter_mm: float | None = None,
    drivers: Sequence[Driver] = (),
    most_tilt_deg: float = MOST_TILT_DEG,
) -> Reach:
    """Return what reaches a slotted screw.

    Parameters
    ----------
    depth_mm : float
        From the slot to where the handle has room.
    opening_mm : float
        Diameter of the round hole or well over the screw, concentric with it and as deep as `depth_mm`.
    obstacle : Obstacle
        One thing beside the screw; the other side is taken to be free, as far as the opening lets it.
    slot_width_mm, head_diameter_mm : float
        Of the screw: they say what blade to take.
    drivers : sequence of Driver
        Those at hand.
    most_tilt_deg : float
        The tilt at which a blade climbs out.

    Raises
    ------
    BadInputError
        If a measure is not positive.
    """
    for name, value in (("depth", depth_mm), ("opening", opening_mm), ("slot width", slot_width_mm)):
        if value is not None and not 0 < value < 500:
            raise BadInputError(Problem(name, f"{value:g} mm is no measure of it", "give more than 0 mm"))
    straight = _thickest(depth_mm, opening_mm, obstacle, 0.0)
    tilted = max(straight, _thickest(depth_mm, opening_mm, obstacle, most_tilt_deg))
    fits = [
        _fit(driver, depth_mm, opening_mm, obstacle, slot_width_mm, head_diameter_mm, most_tilt_deg)
        for driver in drivers
    ]
    slot = slot_width_mm or math.inf
    return Reach(
        shaft_length_mm=depth_mm + 1.0,
        straight_diameter_mm=straight,
        tilted_diameter_mm=tilted,
        blade_thickness_mm=(0.75 * slot, slot) if slot_width_mm else (0.0, math.inf),
        blade_width_mm=head_diameter_mm or math.inf,
        drivers=tuple(sorted(fits, key=lambda fit: (len(fit.why_not), fit.tilt_deg, -fit.driver.blade_width_mm))),
    )


def _thickest(depth_mm: float, opening_mm: float | None, obstacle: Obstacle | None, tilt_deg: float) -> float:
    """Return the thickest shaft that passes at a tilt, with a little room; no obstacle binds at 100 mm."""
    tilt = math.radians(tilt_deg)
    limits = [100.0]
    if obstacle is not None:
        gap = obstacle.gap_mm - _FREE_MM
        limits.append(2 * (obstacle.height_mm * math.sin(tilt) + gap * math.cos(tilt)))
    if opening_mm is not None:
        # Leaning, the far rim of the well comes nearer: half the opening less what the axis has moved.
        limits.append(2 * ((opening_mm / 2 - _FREE_MM) * math.cos(tilt) - depth_mm * math.sin(tilt)))
    return max(min(limits), 0.0)


def _fit(
    driver: Driver,
    depth_mm: float,
    opening_mm: float | None,
    obstacle: Obstacle | None,
    slot_width_mm: float | None,
    head_diameter_mm: float | None,
    most_tilt_deg: float,
) -> DriverFit:
    tilt = 0.0
    if obstacle is not None:
        gap = obstacle.gap_mm - _FREE_MM
        tilt = forced_tilt_deg(shaft_diameter_mm=driver.shaft_diameter_mm, height_mm=obstacle.height_mm, gap_mm=gap)
    room = _thickest(depth_mm, opening_mm, None, tilt)
    slot, head = slot_width_mm or math.inf, head_diameter_mm or math.inf
    handle_in = driver.shaft_length_mm < depth_mm
    handle_room = math.inf if opening_mm is None else opening_mm - 2 * _FREE_MM
    reasons = (
        (tilt > most_tilt_deg, f"leans {tilt:.1f} degrees: the blade climbs out beyond {most_tilt_deg:g}"),
        (driver.shaft_diameter_mm > room, f"shaft too thick: at most {room:.1f} mm pass"),
        (handle_in and driver.handle_diameter_mm > handle_room, f"shaft too short: {depth_mm:.0f} mm to the rim"),
        (handle_in and opening_mm is None, f"shaft too short: {depth_mm:.0f} mm deep"),
        (driver.blade_thickness_mm > slot, f"blade too thick for a slot of {slot:.2f} mm"),
        (slot < math.inf and driver.blade_thickness_mm < 0.6 * slot, f"blade too thin for a slot of {slot:.2f} mm"),
        (driver.blade_width_mm > head, f"blade wider than the head of {head:.1f} mm"),
    )
    why_not = tuple(text for fails, text in reasons if fails)
    return DriverFit(driver=driver, tilt_deg=tilt, reaches=not why_not, why_not=why_not)


_NUMBER = r"(-?\d+(?:[.,]\d+)?)"
_SIZE = rf"{_NUMBER}\s*x\s*{_NUMBER}"


def read_driver(text: str, *, where: str) -> Driver:
    """Return the driver that a text such as "0.4x2 shaft 2x40 handle 8" describes; the handle may be left out.

    Raises
    ------
    BadInputError
        If it cannot be read, or a measure is not above zero.
    """
    like = "0.4x2 shaft 2x40 handle 8"
    numbers = _numbers(rf"{_SIZE}\s*shaft\s*{_SIZE}(?:\s*handle\s*{_NUMBER})?", text, where, like)
    if min(numbers) <= 0:
        raise BadInputError(Problem(where, f"{text!r} has a measure that is not more than 0", f'type "{like}"'))
    return Driver(
        blade_thickness_mm=numbers[0],
        blade_width_mm=numbers[1],
        shaft_diameter_mm=numbers[2],
        shaft_length_mm=numbers[3],
        handle_diameter_mm=numbers[4] if len(numbers) > 4 else 10.0,
    )


def read_obstacle(text: str, *, where: str) -> Obstacle:
    """Return the edge that a text such as "8x1.5" describes: its height above the slot, and its gap to the axis.

    Raises
    ------
    BadInputError
        If it cannot be read, or does not stand above the slot.
    """
    height, gap = _numbers(_SIZE, text, where, "8x1.5")
    if height <= 0:
        raise BadInputError(Problem(where, f"a height of {height:g} mm is not above the slot", "give more than 0"))
    return Obstacle(height_mm=height, gap_mm=gap)


def _numbers(pattern: str, text: str, where: str, like: str) -> list[float]:
    match = re.fullmatch(pattern, text.strip())
    if match is None:
        raise BadInputError(Problem(where, f"{text!r} cannot be read", f'type such as "{like}"'))
    return [float(group.replace(",", ".")) for group in match.groups() if group]
