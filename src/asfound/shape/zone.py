"""Minimum zone circle: the two concentric circles closest together with every point between them."""

import math
from dataclasses import dataclass

import numpy as np
import scipy  # its rooms load when used
from numpy.typing import NDArray

from asfound.problems import bad_input
from asfound.shape.charts import FAR, NEAR, NEAR_EDGE, Floats, centre
from asfound.shape.circle import algebraic_centre, checked_points, scaled
from asfound.shape.search import ALL, Search

_TOUCH = 1e-9  # of the extent of the points
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
    weights : tuple of float
        Of each contact, positive on the outer circle and negative on the inner: they add up to 1 on each, and
        their pulls towards the contacts balance, so that no small step of the centre does better. The width
        is the weighted sum of the contacts' radii, to first order.
    """

    lower_bound_mm: float
    gap_mm: float
    proved: bool
    cells: int
    contacts: tuple[int, ...]
    weights: tuple[float, ...]


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

    def uncertainty_mm(self, point_uncertainty_mm: float) -> float:
        """Return the standard uncertainty of the out-of-round, each radial place as uncertain as given.

        The contacts' weights are its sensitivities (JCGM 100:2008, equation 10). Valid while the same points
        stay in contact: the uncertainty of a place small beside the out-of-round.
        """
        return point_uncertainty_mm * math.hypot(*self.certificate.weights)


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
    contacts, weights = _contacts(unit, best, distance)
    gap = max(0.0, found.value - found.lower_bound)
    certificate = Certificate(
        lower_bound_mm=max(0.0, found.lower_bound) * extent,
        gap_mm=gap * extent,
        proved=gap <= 2e-11,
        cells=found.cells,
        contacts=contacts,
        weights=weights,
    )
    x, y = best * extent + middle
    return Zone((float(x), float(y)), inner * extent, outer * extent, certificate)


def _contacts(unit: Floats, best: Floats, distance: Floats) -> tuple[tuple[int, ...], tuple[float, ...]]:
    """Return the points that touch a circle, and the weights with which their pulls balance."""
    out = _some(np.flatnonzero(distance >= distance.max() - _TOUCH))
    into = _some(np.flatnonzero(distance <= distance.min() + _TOUCH))
    place = np.concatenate([out, into])
    pull = (unit[place] - best) / np.maximum(distance[place], 1e-300)[:, None]
    pull[len(out) :] *= -1
    outer = np.arange(len(place)) < len(out)
    # Least imbalance of the pulls, along x and along y, of either sign.
    balance = np.hstack([pull.T, np.eye(2), -np.eye(2)])
    sums = np.hstack([np.array([outer, ~outer], dtype=float), np.zeros((2, 4))])
    aim = np.append(np.zeros(len(place)), np.ones(4))
    result = scipy.optimize.linprog(aim, A_eq=np.vstack([balance, sums]), b_eq=[0, 0, 1, 1], method="highs")
    weight = np.zeros(len(place)) if result.x is None else result.x[: len(place)]
    signed = np.where(outer, weight, -weight)
    return tuple(int(i) for i in place), tuple(float(w) for w in signed)


def _some(places: NDArray[np.intp]) -> NDArray[np.intp]:
    """Return at most 32 of the places, spread over all."""
    return np.asarray(places[np.linspace(0, len(places) - 1, min(len(places), 32)).astype(int)])


def _no_finite_answer(width_mm: float) -> Exception:
    what = f"two straight lines {width_mm:.4g} mm apart hold every point better than any two circles"
    return bad_input("points", what, "measure more of the way round the ring")
