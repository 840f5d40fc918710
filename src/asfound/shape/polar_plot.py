"""A ring's deviation, magnified, ready to be drawn."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from asfound.shape.charts import Floats
from asfound.shape.ring import Ring, polar

_NICE = (1, 2, 5)
_MOST_POINTS = 2000


@dataclass(frozen=True, slots=True)
class PolarPlot:
    """Deviation from a reference circle in every direction, and how it is magnified.

    Attributes
    ----------
    angle_deg, deviation_mm : (m,) arrays
        In order round the ring, thinned to the largest and smallest of each of many steps.
    reference_radius_mm : float
        The circle drawn where the deviation is nought.
    inner_mm, outer_mm : float
        Deviation of both circles of the minimum zone, about its own centre.
    zone_offset_mm : (float, float)
        From the reference centre to the minimum zone's.
    magnification : int
        1, 2 or 5 times a power of ten, so that the ring's deviation takes about a third of its radius.
    """

    angle_deg: Floats
    deviation_mm: Floats
    reference_radius_mm: float
    inner_mm: float
    outer_mm: float
    zone_offset_mm: tuple[float, float]
    magnification: int


def polar_plot(ring: Ring) -> PolarPlot:
    """Return the deviation of a ring from its least-squares circle, as a polar plot draws it."""
    centre, radius = ring.least_squares.centre_mm, ring.least_squares.radius_mm
    angle, distance = polar(ring.points_mm, centre)
    order = np.argsort(angle)
    angle, deviation = angle[order], distance[order] - radius
    kept = _thinned(angle, deviation)
    zone = ring.minimum_zone
    return PolarPlot(
        angle_deg=angle[kept],
        deviation_mm=deviation[kept],
        reference_radius_mm=radius,
        inner_mm=zone.inner_radius_mm - radius,
        outer_mm=zone.outer_radius_mm - radius,
        zone_offset_mm=(zone.centre_mm[0] - centre[0], zone.centre_mm[1] - centre[1]),
        magnification=_magnification(radius, float(np.abs(deviation).max())),
    )


def _thinned(angle: Floats, deviation: Floats) -> NDArray[np.intp]:
    """Return the places of the largest and smallest deviation in each of many steps round the ring."""
    if len(angle) <= _MOST_POINTS:
        return np.arange(len(angle))
    parts = np.array_split(np.arange(len(angle)), _MOST_POINTS // 2)
    ends = [(part[deviation[part].argmin()], part[deviation[part].argmax()]) for part in parts]
    return np.unique(np.array(ends).ravel())


def _magnification(radius: float, largest: float) -> int:
    if largest <= 0 or largest >= radius / 3:
        return 1
    wanted = radius / 3 / largest
    power = 10 ** int(np.floor(np.log10(wanted)))
    return int(power * max(n for n in _NICE if n * power <= wanted))
