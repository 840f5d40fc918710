"""Planes through depths: tilt about both axes, flatness, twist."""

import math
from dataclasses import dataclass

import numpy as np
import scipy  # its rooms load when used

from asfound.problems import bad_input
from asfound.shape.charts import Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Plane:
    """A plane z = height + slope_x x + slope_y y, and how far apart two like it hold every point.

    Attributes
    ----------
    slope_x, slope_y : float
        Rise per mm along x and along y.
    height_mm : float
        At the middle of the points.
    flatness_mm : float
        Distance, square to the plane, between the highest and lowest point over it.
    """

    slope_x: float
    slope_y: float
    height_mm: float
    flatness_mm: float

    @property
    def tilt_x_deg(self) -> float:
        """Tilt about the x axis: positive where z rises with y."""
        return math.degrees(math.atan(self.slope_y))

    @property
    def tilt_y_deg(self) -> float:
        """Tilt about the y axis: positive where z rises with x."""
        return math.degrees(math.atan(self.slope_x))

    @property
    def tilt_deg(self) -> float:
        """Tilt in all."""
        return math.degrees(math.atan(math.hypot(self.slope_x, self.slope_y)))


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaneFit:
    """Both planes of a set of depths, the twist, and the uncertainty of the least-squares tilt.

    Attributes
    ----------
    middle_mm : (float, float)
        Of the points, where the planes' heights are taken.
    twist_mm : float or None
        How far the corners of the rectangle that the points fill stand off the plane, up at two opposite
        corners and down at the others; None from three places.
    u_height_mm, u_slope_x, u_slope_y : float or None
        Standard uncertainties; None where nothing says how sure a depth is.
    degrees_of_freedom : int or None
        Of these; None for a stated uncertainty.
    residual_mm : (n,) array
        Each depth above the least-squares plane.
    """

    least_squares: Plane
    minimum_zone: Plane
    middle_mm: tuple[float, float]
    twist_mm: float | None
    u_height_mm: float | None
    u_slope_x: float | None
    u_slope_y: float | None
    degrees_of_freedom: int | None
    residual_mm: Floats


def fit_plane(points_mm: Floats, *, depth_uncertainty_mm: float | None = None) -> PlaneFit:
    """Fit planes to depths at three or more places.

    Parameters
    ----------
    points_mm : (n, 3) array
        x, y and depth z of each place in mm, n >= 3.
    depth_uncertainty_mm : float, optional
        Standard uncertainty of one depth; without it, the scatter about the plane says (n > 3).

    Raises
    ------
    BadInputError
        If there are fewer than three places, or all lie on a line.

    Notes
    -----
    Least squares of z, as in JCGM 100:2008, H.3, for two slopes. Minimum zone as in ISO 12781-1 (from
    memory): the closest pair of parallel planes that hold every point.
    """
    points = _checked(points_mm)
    middle = points[:, :2].mean(axis=0)
    x, y = (points[:, :2] - middle).T
    design = np.column_stack([np.ones(len(x)), x, y])
    square = np.linalg.inv(design.T @ design)
    weights = square @ (design.T @ points[:, 2])
    residual = points[:, 2] - design @ weights
    u, freedom = _uncertainties(square, residual, depth_uncertainty_mm)
    return PlaneFit(
        least_squares=_plane(weights, points, middle),
        minimum_zone=_minimum_zone(points, middle, weights),
        middle_mm=(float(middle[0]), float(middle[1])),
        twist_mm=_twist(points),
        u_height_mm=u[0],
        u_slope_x=u[1],
        u_slope_y=u[2],
        degrees_of_freedom=freedom,
        residual_mm=residual,
    )


def _checked(points_mm: Floats) -> Floats:
    points = np.asarray(points_mm, dtype=np.float64)
    if points.ndim != 2 or points.shape[1] != 3 or len(points) < 3:
        raise bad_input("places", f"there are {len(points)}", "a plane needs depths at three or more")
    if not np.isfinite(points).all():
        raise bad_input("places", "one is no number", "measure it again or leave it out")
    size = np.linalg.svd(points[:, :2] - points[:, :2].mean(axis=0), compute_uv=False)
    if size[1] <= 1e-9 * max(size[0], 1e-300):
        raise bad_input("places", "all lie on one line", "measure at a place beside it")
    return points


def _plane(weights: Floats, points: Floats, middle: Floats) -> Plane:
    height, a, b = (float(w) for w in weights)
    off = points[:, 2] - (points[:, :2] - middle) @ np.array([a, b])
    flatness = float(np.ptp(off)) / math.sqrt(1 + a * a + b * b)
    return Plane(slope_x=a, slope_y=b, height_mm=height, flatness_mm=flatness)


def _minimum_zone(points: Floats, middle: Floats, first: Floats) -> Plane:
    """Solve for the least spread of z over a plane, turned level and solved again until it stays level.

    Over a level plane the spread of z is the distance square to it, so that the answer is exact.
    """
    turn = np.eye(3)
    slopes = first[1:]
    centred = points - np.append(middle, first[0])
    for _ in range(12):
        turn = _levelling(slopes) @ turn
        slopes = _least_spread(centred @ turn.T)
        if np.hypot(*slopes) < 1e-9:
            break
    normal = turn.T @ np.array([-slopes[0], -slopes[1], 1.0])
    a, b = -normal[0] / normal[2], -normal[1] / normal[2]
    off = points[:, 2] - (points[:, :2] - middle) @ np.array([a, b])
    return _plane(np.array([(off.max() + off.min()) / 2, a, b]), points, middle)


def _least_spread(points: Floats) -> Floats:
    """Return the slopes of the two parallel planes least far apart along z, by a straight-line program."""
    size = max(float(np.ptp(points[:, :2])), 1e-300)
    scale = max(float(np.ptp(points[:, 2])), 1e-12 * size)
    x, y, z = points[:, 0] / size, points[:, 1] / size, points[:, 2] / scale
    one, nought = np.ones(len(z)), np.zeros(len(z))
    rows = np.vstack([np.column_stack([-x, -y, -one, nought]), np.column_stack([x, y, nought, one])])
    limit = np.concatenate([-z, z])
    result = scipy.optimize.linprog([0, 0, 1, -1], A_ub=rows, b_ub=limit, bounds=[(None, None)] * 4, method="highs")
    return np.zeros(2) if result.x is None else np.asarray(result.x[:2] * scale / size)


def _levelling(slopes: Floats) -> Floats:
    """Return the turn that makes a plane of these slopes level, about the line that stays level in it."""
    a, b = float(slopes[0]), float(slopes[1])
    steep = math.hypot(a, b)
    if steep == 0:
        return np.eye(3)
    tilt, (c, s) = math.atan(steep), (a / steep, b / steep)
    spin = np.array([[c, s, 0], [-s, c, 0], [0, 0, 1]])
    tip = np.array([[math.cos(tilt), 0, math.sin(tilt)], [0, 1, 0], [-math.sin(tilt), 0, math.cos(tilt)]])
    return np.asarray(spin.T @ tip @ spin)


def _twist(points: Floats) -> float | None:
    """Return the twist at the corners of the rectangle that the places fill, by least squares with an xy term."""
    low, high = points[:, :2].min(axis=0), points[:, :2].max(axis=0)
    x, y = (2 * (points[:, :2] - low) / (high - low) - 1).T
    design = np.column_stack([np.ones(len(x)), x, y, x * y])
    if len(points) < 4 or np.linalg.cond(design) > 1e6:
        return None
    return float(np.linalg.lstsq(design, points[:, 2], rcond=None)[0][3])


def _uncertainties(
    square: Floats, residual: Floats, stated: float | None
) -> tuple[tuple[float | None, float | None, float | None], int | None]:
    spare = len(residual) - 3
    if stated is None and spare < 1:
        return (None, None, None), None
    sigma = stated if stated is not None else math.sqrt(float(residual @ residual) / spare)
    height, a, b = (sigma * math.sqrt(float(v)) for v in np.diag(square))
    return (height, a, b), None if stated is not None else spare
