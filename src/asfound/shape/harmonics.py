"""Lobes of a ring: the waves of its radius round a full turn."""

import math
from dataclasses import dataclass

import numpy as np

from asfound.shape.charts import Floats

_WORDS = {1: "off centre", 2: "oval", 3: "three-lobed"}
_STEADY = 30.0  # condition of the fit above which gaps in the angles make its waves guesses


@dataclass(frozen=True, slots=True)
class Harmonic:
    """One wave: amplitude times cos(order (angle - direction)).

    Attributes
    ----------
    order : int
        1 is eccentricity, 2 ovality, 3 three lobes.
    amplitude_mm : float
        From the mean to the top of a lobe.
    direction_deg : float
        Towards the first lobe, from 0 up to a full turn over the order.
    u_amplitude_mm : float or None
        Standard uncertainty from what the waves leave over; None where nothing is left to tell by.
    """

    order: int
    amplitude_mm: float
    direction_deg: float
    u_amplitude_mm: float | None

    @property
    def word(self) -> str:
        """The trade's word for it."""
        return _WORDS.get(self.order, f"{self.order} lobes")


def harmonics(*, angle_deg: Floats, radius_mm: Floats, highest: int = 12) -> tuple[Harmonic, ...]:
    """Return the waves of a radius by least squares, as many as the angles can tell apart.

    Parameters
    ----------
    angle_deg : (n,) array
        Any angles, in any order.
    radius_mm : (n,) array
        Radius, or its deviation, at each.
    highest : int
        No higher order than this.

    Returns
    -------
    tuple of Harmonic
        Orders 1, 2, ...; empty where the angles do not go round enough for any.

    Notes
    -----
    Fourier coefficients; at equally spaced angles a = 2/N sum r cos, b = 2/N sum r sin.
    """
    angle, radius = np.radians(np.asarray(angle_deg, float)), np.asarray(radius_mm, float)
    order = min(highest, (len(angle) - 1) // 2)
    design = _waves(angle, order)
    while order and np.linalg.cond(design.T @ design) > _STEADY**2:
        order -= 1
        design = design[:, : 2 * order + 1]
    if not order:
        return ()
    square = np.linalg.inv(design.T @ design)
    weights = square @ (design.T @ radius)
    spare = len(angle) - design.shape[1]
    left = radius - design @ weights
    variance = np.diag(square) * float(left @ left) / spare if spare else None
    return tuple(_harmonic(k, weights, variance) for k in range(1, order + 1))


def _waves(angle: Floats, order: int) -> Floats:
    """Return 1, cos, sin, cos 2, sin 2, ... by multiplying turns, which costs one cosine in all."""
    first = np.exp(1j * angle)
    columns, turn = [np.ones(len(angle))], np.ones(len(angle), dtype=complex)
    for _ in range(order):
        turn = turn * first
        columns += [turn.real, turn.imag]
    return np.column_stack(columns)


def _harmonic(order: int, weights: Floats, variance: Floats | None) -> Harmonic:
    a, b = float(weights[2 * order - 1]), float(weights[2 * order])
    u = None if variance is None else math.sqrt((variance[2 * order - 1] + variance[2 * order]) / 2)
    direction = math.degrees(math.atan2(b, a)) / order % (360 / order)
    return Harmonic(order, math.hypot(a, b), direction, u)


def wave(found: tuple[Harmonic, ...], angle_deg: Floats) -> Floats:
    """Return the sum of waves at angles: the ring's deviation smoothed of scatter."""
    total = np.zeros(np.shape(angle_deg))
    for h in found:
        total = total + h.amplitude_mm * np.cos(h.order * np.radians(angle_deg - h.direction_deg))
    return np.asarray(total)
