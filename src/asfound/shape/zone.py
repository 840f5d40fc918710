"""Minimum zone circle: the two concentric circles closest together with every point between them."""

from dataclasses import dataclass

import numpy as np

from asfound.problems import bad_input
from asfound.shape.charts import FAR, NEAR, NEAR_EDGE, Floats, centre
from asfound.shape.circle import algebraic_centre, checked_points, scaled
from asfound.shape.search import ALL, Search

_STRAIGHT = 1e-6  # curvature, of one over the extent of the points, that is called a straight line


@dataclass(frozen=True, slots=True)
class Certificate:
    """What proves that no centre in the plane does better.

    Attributes
    ----------
    lower_bound_mm : float
        No pair of concentric circles round all points is closer together than this.
    gap_mm : float
        What was found less the lower bound.
    proved : bool
        Whether the gap is no more than what rounding does.
    cells : int
        How many rectangles of centres the proof took.
    contacts : tuple of int
        Points (by their place in the input) that touch either circle.
    """

    lower_bound_mm: float
    gap_mm: float
    proved: bool
    cells: int
    contacts: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Zone:
    """The minimum zone: centre, both circles, their distance apart, and the proof."""

    centre_mm: tuple[float, float]
    inner_radius_mm: float
    outer_radius_mm: float
    certificate: Certificate

    @property
    def radius_mm(self) -> float:
        """Radius half way between both circles."""
        return (self.inner_radius_mm + self.outer_radius_mm) / 2

    @property
    def out_of_round_mm(self) -> float:
        """How far apart both circles are: the roundness deviation (ISO 12181-1, from memory)."""
        return self.outer_radius_mm - self.inner_radius_mm


def minimum_zone(points_mm: Floats) -> Zone:
    """Return the minimum zone circle of any points, proved the best of all centres in the plane.

    Branch and bound over the whole plane of centres and its limit, the straight line (see `search`).

    Parameters
    ----------
    points_mm : (n, 2) array
        Points of the profile in mm, n >= 3, in any order.

    Returns
    -------
    Zone
        With a certificate whose lower bound holds for every centre.

    Raises
    ------
    BadInputError
        If there are fewer than three different points, all lie on a line, or two parallel lines are closer
        together than any two circles (a short arc): then no finite circle is the answer.

    Notes
    -----
    Minimum zone as in ISO 12181-1 and ISO 1101 (from memory).
    """
    points = checked_points(points_mm)
    unit, middle, extent = scaled(points)
    around = unit[np.argsort(np.arctan2(unit[:, 1], unit[:, 0]))] if len(unit) > ALL else unit
    start = algebraic_centre(unit)
    search = Search(around, start=start if np.hypot(*start) < NEAR_EDGE else np.zeros(2))
    found = search.run((NEAR, FAR))
    if found.chart is FAR and found.place[1] < _STRAIGHT:
        raise _no_finite_answer(found.value * extent)
    best = centre(found.chart, found.place)
    distance = np.hypot(unit[:, 0] - best[0], unit[:, 1] - best[1])
    inner, outer = float(distance.min()), float(distance.max())
    touching = np.flatnonzero((distance <= inner + 1e-9) | (distance >= outer - 1e-9))
    gap = max(0.0, found.value - found.lower_bound)
    certificate = Certificate(
        lower_bound_mm=max(0.0, found.lower_bound) * extent,
        gap_mm=gap * extent,
        proved=gap <= 2e-11,
        cells=found.cells,
        contacts=tuple(int(i) for i in touching[:64]),
    )
    x, y = best * extent + middle
    return Zone((float(x), float(y)), inner * extent, outer * extent, certificate)


def _no_finite_answer(width_mm: float) -> Exception:
    what = f"two straight lines {width_mm:.4g} mm apart hold every point better than any two circles"
    return bad_input("points", what, "measure more of the way round the ring")
