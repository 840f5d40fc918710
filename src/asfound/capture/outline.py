"""Outlines in a photograph: found coarsely, then drawn again finer than a pixel."""

from dataclasses import dataclass

import numpy as np
import scipy  # its rooms load when used
from numpy.typing import NDArray

from asfound.capture.photograph import Light

Floats = NDArray[np.float64]
_COARSE = 1000  # longest side, in pixels, of the photograph that outlines are looked for in
_BLUR = 0.8  # of the photograph before its edges are drawn finely, in pixels
_MOST_POINTS = 6000
_LEAST_CONTRAST = 0.1  # between dark and light, of the light of the paper


@dataclass(frozen=True, slots=True)
class Outline:
    """A closed outline: points (n, 2) as x to the right and y down in pixels, what it encloses, its shape.

    Attributes
    ----------
    roundness : float
        Area over that of the ellipse with the same second moments: 1 for any ellipse, 0.955 for a square.
    corners : (4, 2) array or None
        Where four straight sides make up the outline.
    """

    points: Floats
    area: float
    middle: Floats
    roundness: float
    corners: Floats | None

    def holds(self, other: "Outline") -> bool:
        """Say whether the middle of another outline lies within the box of this, and it is smaller."""
        low, high = self.points.min(axis=0), self.points.max(axis=0)
        inside = (other.points.min(axis=0) > low).all() and (other.points.max(axis=0) < high).all()
        return bool(inside and other.area < self.area)


def outlines(light: Light) -> list[Outline]:
    """Return the closed outlines between dark and light, the largest first.

    The light is divided by what is lightest around, so that uneven lighting does not matter.
    """
    factor = max(1, -(-max(light.shape) // _COARSE))
    rows, columns = (side // factor * factor for side in light.shape)
    blocks = light[:rows, :columns].reshape(rows // factor, factor, columns // factor, factor)
    small = scipy.ndimage.gaussian_filter(blocks.mean(axis=(1, 3)).astype(np.float64), 1.0)
    around = max(small.shape) // 8
    paper = scipy.ndimage.gaussian_filter(scipy.ndimage.maximum_filter(small, size=around), around / 2)
    even = small / np.maximum(paper, 1e-6)
    from skimage.filters import threshold_otsu  # only here: it takes seconds to load
    from skimage.measure import find_contours

    level = threshold_otsu(even) if np.ptp(even) > 0 else 0.0
    dark = even < level
    if not dark.any() or even[~dark].mean() - even[dark].mean() < _LEAST_CONTRAST:
        return []
    found = []
    for contour in find_contours(even, level):
        if len(contour) > 40 and (contour[0] == contour[-1]).all():
            found.append(_outline(contour[:-1, ::-1] * factor + (factor - 1) / 2))
    return sorted(found, key=lambda outline: -outline.area)


def _outline(points: Floats) -> Outline:
    area, middle, moments = _moments(points)
    ellipse = 4 * np.pi * np.sqrt(max(float(np.linalg.det(moments)), 1e-300))
    return Outline(points, area, middle, area / ellipse, _corners(points, area))


def _moments(points: Floats) -> tuple[float, Floats, Floats]:
    """Return area, middle and second moments of a polygon (Green's theorem)."""
    origin = points.mean(axis=0)
    x, y = (points - origin).T
    u, v = np.roll(x, -1), np.roll(y, -1)
    cross = x * v - u * y
    area = float(cross.sum()) / 2
    if area == 0:
        return 0.0, origin, np.zeros((2, 2))
    mx, my = float(((x + u) * cross).sum()) / (6 * area), float(((y + v) * cross).sum()) / (6 * area)
    xx = float(((x * x + x * u + u * u) * cross).sum()) / (12 * area) - mx * mx
    yy = float(((y * y + y * v + v * v) * cross).sum()) / (12 * area) - my * my
    xy = float(((x * v + 2 * x * y + 2 * u * v + u * y) * cross).sum()) / (24 * area) - mx * my
    return abs(area), origin + np.array([mx, my]), np.array([[xx, xy], [xy, yy]])


def _corners(points: Floats, area: float) -> Floats | None:
    """Return four corners where straight sides between them enclose the same area; upper left first, clockwise."""
    start = int(np.argmax(((points - points.mean(axis=0)) ** 2).sum(axis=1)))
    closed = np.vstack([np.roll(points, -start, axis=0), points[start]])
    from skimage.measure import approximate_polygon

    corners = approximate_polygon(closed, tolerance=0.03 * np.sqrt(area))[:-1]
    if len(corners) != 4 or abs(_moments(corners)[0] / max(area, 1e-9) - 1) > 0.03:
        return None
    away = corners - corners.mean(axis=0)
    order = np.argsort(np.arctan2(away[:, 1], away[:, 0]))
    corners = corners[order]
    first = int(np.argmin(corners.sum(axis=1)))
    return np.asarray(np.roll(corners, -first, axis=0))


def drawn_finely(light: Light, outline: Outline) -> tuple[Floats, float]:
    """Return the outline again, each point where the light crosses half way between both sides of the edge.

    Returns
    -------
    tuple
        Points (n, 2) in pixels, and by how much neighbouring points scatter, in pixels.
    """
    margin = 24
    low = np.maximum(np.floor(outline.points.min(axis=0)).astype(int) - margin, 0)
    high = np.ceil(outline.points.max(axis=0)).astype(int) + margin
    part = scipy.ndimage.gaussian_filter(light[low[1] : high[1], low[0] : high[0]], _BLUR)
    points = outline.points - low
    coarse = max(1, -(-max(light.shape) // _COARSE))
    for reach in (2.0 * coarse + 4, 6.0, 6.0):
        points = _half_way(part, _even(points), reach)
    scatter = points - scipy.ndimage.uniform_filter1d(points, 9, axis=0, mode="wrap")
    return points + low, float(np.sqrt((scatter**2).sum(axis=1).mean()))


def _even(points: Floats) -> Floats:
    """Return points at even steps along a closed outline, one a pixel, a little smoothed."""
    closed = np.vstack([points, points[:1]])
    length = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
    count = int(np.clip(length[-1], 100, _MOST_POINTS))
    steps = np.arange(count) * (length[-1] / count)
    even = np.column_stack([np.interp(steps, length, closed[:, axis]) for axis in (0, 1)])
    return np.asarray(scipy.ndimage.uniform_filter1d(even, 5, axis=0, mode="wrap"))


def _half_way(light: Light, points: Floats, reach: float) -> Floats:
    """Move each point along the outline's normal to where the light is half way."""
    ahead = scipy.ndimage.uniform_filter1d(
        np.roll(points, -4, axis=0) - np.roll(points, 4, axis=0), 9, axis=0, mode="wrap"
    )
    normal = np.column_stack([ahead[:, 1], -ahead[:, 0]])
    normal /= np.maximum(np.hypot(*normal.T), 1e-9)[:, None]
    steps = np.arange(-reach, reach + 0.25, 0.5)
    place = points[:, None] + normal[:, None] * steps[:, None]
    profile = scipy.ndimage.map_coordinates(light, [place[..., 1], place[..., 0]], order=3, mode="nearest").astype(
        np.float64
    )
    ends = max(2, len(steps) // 6)
    smooth = max(3, len(points) // 50)
    first = scipy.ndimage.uniform_filter1d(profile[:, :ends].mean(axis=1), smooth, mode="wrap")
    last = scipy.ndimage.uniform_filter1d(profile[:, -ends:].mean(axis=1), smooth, mode="wrap")
    rise = (profile - first[:, None]) / np.where(np.abs(last - first) > 1e-6, last - first, np.nan)[:, None]
    crossing = (rise[:, :-1] < 0.5) & (rise[:, 1:] >= 0.5)
    nearest = np.where(crossing, np.abs(steps[:-1] + 0.25), np.inf)
    at = nearest.argmin(axis=1)
    row = np.arange(len(points))
    low, high = rise[row, at], rise[row, at + 1]
    move = steps[at] + 0.5 * (0.5 - low) / np.where(high > low, high - low, np.nan)
    kept = np.isfinite(nearest[row, at]) & np.isfinite(move)
    return np.asarray((points + normal * move[:, None])[kept])
