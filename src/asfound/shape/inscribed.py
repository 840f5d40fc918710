"""Maximum inscribed circle: the largest circle with no point of the ring inside it."""

import numpy as np
import scipy  # its rooms load when used
from numpy.typing import NDArray

from asfound.problems import bad_input
from asfound.shape.charts import NEAR, Chart, Floats
from asfound.shape.circle import Circle, algebraic_centre, checked_points, circle_about, scaled
from asfound.shape.search import ALL, Search

_SIDES = 8


class _Inside(Search):
    """The search for the centre farthest from its nearest point, among those that the points go round."""

    def __init__(self, points: Floats, start: Floats) -> None:
        sides = scipy.spatial.ConvexHull(points).equations
        self.outward, self.offset = sides[:, :2], sides[:, 2]
        super().__init__(points, outer=False, start=start if self.allowed(start) else points.mean(axis=0))

    def allowed(self, place: Floats) -> bool:
        return bool((self.outward @ place + self.offset).max() <= 1e-9)

    def sides(self, place: Floats, reach: float) -> tuple[Floats, Floats]:
        behind = -(self.outward @ place + self.offset)
        near = np.argsort(behind)[:_SIDES]
        near = near[behind[near] < reach]
        return self.outward[near], behind[near]

    def reaches(self, chart: Chart, places: Floats, half: Floats) -> NDArray[np.bool_]:
        beyond = np.array([(self.outward @ place + self.offset).max() for place in places])
        return np.asarray(beyond <= np.hypot(half[0], half[1]) + 1e-12)


def maximum_inscribed(points_mm: Floats) -> Circle:
    """Return the largest circle with its centre among the points and none of them inside it.

    Branch and bound over the centre, as for the minimum zone (see `search`).

    Parameters
    ----------
    points_mm : (n, 2) array
        Points in mm, n >= 3.

    Raises
    ------
    BadInputError
        If there are fewer than three different points, all lie on a line, or the points do not go round: the
        circle could grow out of the opening without end.

    Notes
    -----
    Maximum inscribed reference circle of ISO 12181-1 (from memory).
    """
    points = checked_points(points_mm)
    unit, middle, extent = scaled(points)
    around = unit[np.argsort(np.arctan2(unit[:, 1], unit[:, 0]))] if len(unit) > ALL else unit
    found = _Inside(around, algebraic_centre(unit)).run((NEAR,))
    if found.value - found.lower_bound > 1e-9:
        raise bad_input("points", "they fill the middle of the ring", "keep only the points of its edge")
    if not _held(unit, found.place, -found.value):
        what = "the ring is open, so that no largest circle inside it is held on all sides"
        raise bad_input("points", what, "measure all the way round the ring")
    mean = circle_about(points, found.place * extent + middle)
    return Circle(mean.centre_mm, -found.value * extent, mean.out_of_round_mm)


def _held(unit: Floats, place: Floats, radius: float) -> bool:
    """Say whether the points that touch the circle leave no half of it free."""
    away = unit - place
    touching = away[np.hypot(away[:, 0], away[:, 1]) <= radius + 1e-8]
    return largest_gap_deg(np.degrees(np.arctan2(touching[:, 1], touching[:, 0]))) <= 180.001


def largest_gap_deg(angle_deg: Floats) -> float:
    """Return the largest angle between neighbours in a full turn; 360 for one direction alone."""
    angles = np.sort(np.mod(angle_deg, 360.0))
    return float(np.diff(np.append(angles, angles[0] + 360.0)).max())
