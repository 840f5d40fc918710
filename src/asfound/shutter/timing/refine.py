"""What only a whole recording shows: firings set against one another and against the sensor's place."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import median

from asfound.shutter.timing.firing import Firing, Flag

PARTLY = 0.9  # share of the usual brightness below which the blades did not open fully
# Old between-lens shutters reach about 50 per cent at 1/100 s ("Practical Photography", ch. 36, read); edges
# shorter than this are not expected of them, so that a time this short with less ramp is implausible.
SHORTEST_RAMPS_S = 4e-4


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrangement:
    """Where the sensor stood and what it is; None where nobody said.

    Attributes
    ----------
    whole_pupil : bool or None
        Whether light from the whole pupil reaches the sensor (a diffuser, or far enough behind).
    sensor_mm, distance_mm : float or None
        Its width, and its distance behind the blades.
    diffuse : bool or None
        Whether the light is diffuse.
    response_s : float or None
        Time constant of the sensor; phototransistors have tens of microseconds.
    agrees_when_dimmed : bool or None
        Whether the same time was read at two brightnesses: a saturated sensor reads longer in bright light.
    """

    whole_pupil: bool | None = None
    sensor_mm: float | None = None
    distance_mm: float | None = None
    diffuse: bool | None = None
    response_s: float | None = None
    agrees_when_dimmed: bool | None = None


def refine(firings: Sequence[Firing], arrangement: Arrangement | None = None) -> tuple[Firing, ...]:
    """Return the firings with what the whole recording and the arrangement say of each.

    Parameters
    ----------
    firings : sequence of Firing
        Of one recording, in the order shot.
    arrangement : Arrangement, optional
    """
    where = arrangement or Arrangement()
    usual = _usual_plateau(firings)
    flickers = any(Flag.FLICKER in firing.flags for firing in firings)
    return tuple(_one(firing, usual, flickers=flickers, where=where) for firing in firings)


def _usual_plateau(firings: Sequence[Firing]) -> float:
    heights = sorted(abs(firing.plateau) for firing in firings if firing.plateau and firing.effective_s)
    return median(heights[len(heights) // 2 :]) if heights else 0.0


def _one(firing: Firing, usual: float, *, flickers: bool, where: Arrangement) -> Firing:
    if firing.effective_s is None or firing.u_effective_s is None:
        return firing
    added, flags = [], set(firing.flags)
    if firing.plateau is not None and abs(firing.plateau) < PARTLY * usual:
        flags.add(Flag.PARTLY_OPEN)
    if flickers and Flag.FLICKER not in flags:
        # Too short to see a whole period: the brightness may differ between its edges and its plateau.
        flags.add(Flag.FLICKER)
        added.append(0.1 * ((firing.opening_s or 0.0) + (firing.closing_s or 0.0)) / math.sqrt(3))
    if where.whole_pupil is False or _implausible(firing):
        flags.add(Flag.PART_OF_PUPIL)
        added.append(((firing.total_open_s or 0.0) - firing.effective_s) / math.sqrt(3))
    added += _of_sensor(firing, where, flags)
    return replace(
        firing,
        u_effective_s=math.hypot(firing.u_effective_s, *added),
        flags=tuple(flag for flag in Flag if flag in flags),
    )


def _implausible(firing: Firing) -> bool:
    """Say whether the ramps are shorter than blades of an old shutter move."""
    return (firing.opening_s or 1.0) + (firing.closing_s or 1.0) < SHORTEST_RAMPS_S


def _of_sensor(firing: Firing, where: Arrangement, flags: set[Flag]) -> list[float]:
    """Return what a slow or saturating sensor adds: it may let go later than it took hold."""
    if where.response_s is None and where.agrees_when_dimmed is not False:
        return []
    response = where.response_s or 0.0
    ramps = min(firing.opening_s or math.inf, firing.closing_s or math.inf)
    if response > 0.2 * ramps or where.agrees_when_dimmed is False:
        flags.add(Flag.SLOW_SENSOR)
    saturated = 3.0 if where.agrees_when_dimmed is False else 1.0
    return [saturated * response / math.sqrt(3)]
