"""Circles of a ring: least squares, minimum circumscribed."""

import itertools
from dataclasses import dataclass

import numpy as np

from asfound.problems import bad_input
from asfound.shape.charts import Floats

_STRAIGHT = 1e6  # a centre this many extents away is that of a straight line


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle fitted to points, and how much their distances from its centre differ."""

    centre_mm: tuple[float, float]
    radius_mm: float
    out_of_round_mm: float


def checked_points(points_mm: Floats) -> Floats:
    """Return the points as an (n, 2) array of floats that has a circle.

    Raises
    ------
    BadInputError
        If there are fewer than three different points, one is no number, or all lie on a line.
    """
    points = np.asarray(points_mm, dtype=np.float64)
    if points.ndim != 2 or points.shape[1] != 2:
        raise bad_input("points", "each needs an x and a y", "give two columns")
    if not np.isfinite(points).all():
        place = int(np.flatnonzero(~np.isfinite(points).all(axis=1))[0]) + 1
        raise bad_input(f"point {place}", "is no number", "measure it again or leave it out")
    if len(points) < 3:
        raise bad_input("points", f"there are {len(points)}", "a circle needs three or more")
    across = _straightness(points)
    if across < 1e-9:
        raise bad_input("points", "all lie on one line or in one place", "measure points round the ring")
    return points


def _straightness(points: Floats) -> float:
    """Return how wide the points lie across their longest direction, of their length; 0 for one place."""
    x, y = (points - points.mean(axis=0)).T
    size = max(1e-300, float(np.abs(points).max()))
    spread = np.array([[x @ x, x @ y], [x @ y, y @ y]])
    long = np.linalg.eigh(spread).eigenvectors[:, 1]
    length, width = np.ptp(x * long[0] + y * long[1]), np.ptp(y * long[0] - x * long[1])
    return float(width / length) if length > 1e-12 * size else 0.0


def scaled(points: Floats) -> tuple[Floats, Floats, float]:
    """Return the points in the unit disc, their middle and their extent."""
    middle = (points.min(axis=0) + points.max(axis=0)) / 2
    from_middle = points - middle
    extent = float(np.hypot(from_middle[:, 0], from_middle[:, 1]).max())
    return from_middle / extent, middle, extent


def algebraic_centre(unit: Floats) -> Floats:
    """Return the centre of the algebraic fit: quick, near the least-squares circle, but not it."""
    x, y = unit[:, 0], unit[:, 1]
    matrix = np.column_stack([2 * x, 2 * y, np.ones(len(x))])
    return np.asarray(np.linalg.solve(matrix.T @ matrix, matrix.T @ (x * x + y * y))[:2])


def least_squares_circle(points_mm: Floats) -> Circle:
    """Return the circle with the least sum of squared radial distances.

    Gauss's least squares of the true (geometric) distances, begun from the algebraic fit.

    Parameters
    ----------
    points_mm : (n, 2) array
        Points in mm, n >= 3.

    Raises
    ------
    BadInputError
        If there are fewer than three different points or all lie on a line.

    Notes
    -----
    Least-squares reference circle of ISO 12181-1 (from memory); the geometric fit after Gander, Golub,
    Strebel, "Least-squares fitting of circles and ellipses", BIT 34 (1994).
    """
    points = checked_points(points_mm)
    unit, middle, extent = scaled(points)
    best = _least_squares_centre(unit)
    if best is None or np.hypot(*best) > _STRAIGHT:
        what = "a straight line fits them as well as any circle"
        raise bad_input("points", what, "measure more of the way round the ring")
    return circle_about(points, best * extent + middle)


def _least_squares_centre(unit: Floats) -> Floats | None:
    """Newton's steps where they go downhill, else Gauss-Newton's, halved until they do."""
    x, y = np.ascontiguousarray(unit.T)
    place = algebraic_centre(unit)
    cost, downhill, curved, plain = _squares(x, y, place)
    for _ in range(100):
        hessian = curved if np.linalg.eigvalsh(curved)[0] > 0 else plain
        step = -np.linalg.lstsq(hessian, downhill, rcond=1e-14)[0]
        small = 1e-14 * max(1.0, float(np.hypot(*place)))
        if np.hypot(*step) <= small:
            return place
        while (new := _squares(x, y, place + step))[0] > cost:
            step = step / 2
            if np.hypot(*step) <= small:
                return place
        place = place + step
        cost, downhill, curved, plain = new
    return None


def _squares(x: Floats, y: Floats, place: Floats) -> tuple[float, Floats, Floats, Floats]:
    """Return half the sum of squares, its gradient with the centre, and its curvature true and plain."""
    u, v = place[0] - x, place[1] - y
    distance = np.sqrt(u * u + v * v)
    over = 1 / np.maximum(distance, 1e-300)
    u, v = u * over, v * over
    off = distance - distance.mean()
    bend = off * over
    bent = np.array([[bend @ (v * v), -bend @ (u * v)], [-bend @ (u * v), bend @ (u * u)]])
    u, v = u - u.mean(), v - v.mean()
    plain = np.array([[u @ u, u @ v], [u @ v, v @ v]])
    return float(off @ off) / 2, np.array([u @ off, v @ off]), plain + bent, plain


def circle_about(points: Floats, centre: Floats) -> Circle:
    """Return the mean circle about a centre."""
    distance = np.hypot(points[:, 0] - centre[0], points[:, 1] - centre[1])
    return Circle((float(centre[0]), float(centre[1])), float(distance.mean()), float(np.ptp(distance)))


def minimum_circumscribed(points_mm: Floats) -> Circle:
    """Return the smallest circle round every point.

    Exact: the farthest point joins the two or three that hold the circle until none lies outside; the radius
    grows with each, so that it ends.

    Parameters
    ----------
    points_mm : (n, 2) array
        Points in mm, n >= 3.

    Raises
    ------
    BadInputError
        If there are fewer than three different points or all lie on a line.

    Notes
    -----
    Minimum circumscribed reference circle of ISO 12181-1 (from memory).
    """
    points = checked_points(points_mm)
    unit, middle, extent = scaled(points)
    holding = [int(np.argmax(unit[:, 0]))]
    centre, radius = unit[holding[0]], 0.0
    while True:
        distance = np.hypot(unit[:, 0] - centre[0], unit[:, 1] - centre[1])
        farthest = int(distance.argmax())
        if distance[farthest] <= radius * (1 + 1e-13) or farthest in holding:
            break
        grown = _smallest_of_few(unit, [*holding, farthest])
        if grown[1] <= radius:
            break
        centre, radius, holding = grown
    found = circle_about(points, centre * extent + middle)
    return Circle(found.centre_mm, float(distance.max() * extent), found.out_of_round_mm)


def _smallest_of_few(unit: Floats, few: list[int]) -> tuple[Floats, float, list[int]]:
    """Return the smallest circle round up to four points, by trying every two and three of them."""
    best: tuple[Floats, float, list[int]] | None = None
    for size in (2, 3):
        for some in itertools.combinations(few, size):
            centre = _through(unit[list(some)])
            if centre is None:
                continue
            radius = float(np.hypot(*(unit[few] - centre).T).max())
            if best is None or radius < best[1] - 1e-15:
                best = centre, radius, list(some)
    assert best is not None
    return best


def _through(corners: Floats) -> Floats | None:
    """Return the centre of the smallest circle through two points, or of the one through three."""
    if len(corners) == 2:
        return np.asarray(corners.mean(axis=0))
    sides = corners[1:] - corners[0]
    if abs(np.linalg.det(sides)) < 1e-14:
        return None
    return np.asarray(corners[0] + np.linalg.solve(sides, (sides**2).sum(axis=1) / 2))
