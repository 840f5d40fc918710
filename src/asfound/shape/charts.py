"""Distances from a centre to many points, and their straight-line bounds over a whole cell of centres.

Two charts cover every centre of the plane and the straight line, its limit. `NEAR` holds centres by their
coordinates; `FAR` holds a centre v/k by the direction of v and the curvature k, down to k = 0, the line.
Points are scaled to lie in the unit disc; FAR begins where NEAR ends, at `NEAR_EDGE`.
"""

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
NEAR_EDGE = 2.0


@dataclass(frozen=True, slots=True)
class Tangents:
    """Distances from the middle of a cell, and the tangents of distances less one that they all share.

    What all distances have in common changes no spread, but where it is taken away the tangents serve over
    a larger cell. Over the cell no such value is below its tangent by more than `below`, nor above it by
    more than `above`, which is infinite for a point that the cell comes too near.
    """

    distance: Floats
    value: Floats
    gradient: Floats
    below: Floats
    above: Floats


class Chart(Protocol):
    """One way of giving a centre by two numbers."""

    def distances(self, points: Floats, places: Floats) -> Floats:
        """Return the distance of every point (n, 2) from every place (m, 2), as (m, n)."""
        ...

    def lipschitz(self, places: Floats, half: Floats) -> Floats:
        """Return the most that one distance changes from the middle of each cell to its corner, (m,)."""
        ...

    def tangents(self, points: Floats, place: Floats, half: Floats, *, share: bool) -> Tangents:
        """Return the distances at one place with their gradients and errors over the cell.

        `share` allows something common to be taken from all of them.
        """
        ...


class _Near:
    def distances(self, points: Floats, places: Floats) -> Floats:
        dx = points[:, 0] - places[:, :1]
        dy = points[:, 1] - places[:, 1:]
        return np.sqrt(dx * dx + dy * dy)

    def lipschitz(self, places: Floats, half: Floats) -> Floats:
        return np.full(len(places), np.hypot(half[0], half[1]))

    def tangents(self, points: Floats, place: Floats, half: Floats, *, share: bool) -> Tangents:
        """A distance is convex in the centre, with curvature at most one over the distance.

        Seen from afar, points near together have nearly the same curvature: less the distance of one of
        them, what is left of it is at most 2/root3 their distance apart over that to the centre squared.
        """
        away = place - points
        distance = np.hypot(away[:, 0], away[:, 1])
        reach = float(np.hypot(*half))
        gradient = away / np.maximum(distance, 1e-300)[:, None]
        clear = distance - reach
        bend = np.where(clear > 0.1 * reach, 1 / np.maximum(clear, 1e-300), np.inf)
        above = reach**2 / 2 * bend
        shared = int(np.argmin(np.abs(distance - np.median(distance))))
        apart = np.hypot(*(points - points[shared]).T)
        between = clear[shared] - apart
        alike = np.where(between > 0, 2 / 3**0.5 * apart / np.maximum(between, 1e-100) ** 2, np.inf)
        left = reach**2 / 2 * np.minimum(np.maximum(bend, bend[shared]), alike)
        if share and np.median(left) < 0.25 * np.median(above):
            value = distance - distance[shared]
            return Tangents(distance, value, gradient - gradient[shared], left, left)
        return Tangents(distance, distance, gradient, np.zeros(len(points)), above)


class _Far:
    """Distance less that of the origin, (s - 1)/k with s = |k p - v|: finite down to the straight line."""

    def distances(self, points: Floats, places: Floats) -> Floats:
        angle, k = places[:, :1], places[:, 1:]
        along = np.cos(angle) * points[:, 0] + np.sin(angle) * points[:, 1]
        square = (points**2).sum(axis=1)
        s = np.sqrt(1 - 2 * k * along + k * k * square)
        return np.asarray((k * square - 2 * along) / (s + 1))

    def lipschitz(self, places: Floats, half: Floats) -> Floats:
        """From |dg/dangle| <= 1/s and |dg/dk| <= 1/(2 s^3), s >= 1 - k."""
        s = 1 - (places[:, 1] + half[1])
        return np.asarray(half[0] / s + half[1] / (2 * s**3))

    def tangents(self, points: Floats, place: Floats, half: Floats, *, share: bool) -> Tangents:
        """From |g_aa| <= 1/s + k/s^3, |g_ak| <= 1/s^2, |g_kk| <= 1/s^4, s >= 1 - k, points in the unit disc."""
        angle, k = place
        along = np.cos(angle) * points[:, 0] + np.sin(angle) * points[:, 1]
        across = np.cos(angle) * points[:, 1] - np.sin(angle) * points[:, 0]
        square = (points**2).sum(axis=1)
        s = np.sqrt(1 - 2 * k * along + k * k * square)
        by_k = (square + along * (k * square - 2 * along) / (s + 1)) / (s * (s + 1))
        gradient = np.column_stack([-across / s, by_k])
        least, most = 1 - (k + half[1]), k + half[1]
        second = (1 / least + most / least**3) * half[0] ** 2 + half[1] ** 2 / least**4
        error = float(second / 2 + half[0] * half[1] / least**2)
        distance, errors = np.asarray((k * square - 2 * along) / (s + 1)), np.full(len(points), error)
        return Tangents(distance, distance, gradient, errors, errors)


NEAR: Chart = _Near()
FAR: Chart = _Far()


def centre(chart: Chart, place: Floats) -> Floats:
    """Return the coordinates of the centre at a place of a chart; infinite on a straight line."""
    if chart is NEAR:
        return place
    with np.errstate(divide="ignore"):
        return np.asarray(np.array([np.cos(place[0]), np.sin(place[0])]) / place[1])
