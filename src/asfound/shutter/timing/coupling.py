"""What an AC-coupled sound input makes of a growing light: one or two high-pass poles, in closed form.

A brightness curve is written as a sum of truncated powers: at each knot the slope or the curvature changes.
The response of a high pass to a step, to t and to t squared is known exactly, so a curve and everything
derived from it need no numerical filter.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Shape = Literal["area", "diameter"]
# Share of an edge's duration that counts as dark: the mean of 1 - u, and of 1 - u squared.
DARK_SHARE = {"area": 1 / 2, "diameter": 2 / 3}
# Share of an opening at which half the full brightness is reached.
HALF_SHARE = {"area": 1 / 2, "diameter": math.sqrt(1 / 2)}


def power_responses(time_s: Floats, poles_per_s: Sequence[float] = ()) -> tuple[Floats, Floats, Floats]:
    """Return the response to 1, t and t squared switched on at time zero.

    Parameters
    ----------
    time_s : ndarray
        Times in seconds; the response is zero before time zero.
    poles_per_s : sequence of float
        None, one or two poles p of the high pass s/(s + p), in 1/s (2 pi times the corner frequency).

    Returns
    -------
    tuple of ndarray
        Responses to the step, to t and to t squared, each of the shape of `time_s`.

    Notes
    -----
    By the inverse Laplace transform of s/(s+p) times 1/s, 1/s^2 and 2/s^3 (worked here). The step's droop
    1 - exp(-p t) and the ramp's (1 - exp(-p t))/p are the textbook ones.
    """
    on = time_s > 0
    time = np.where(on, time_s, 0.0)
    poles = [p for p in poles_per_s if abs(p) * (float(time.max(initial=0.0)) + 1e-300) > 1e-9]
    if not poles:
        return on.astype(np.float64), time, time * time
    if len(poles) == 1:
        return _one_pole(time, on, poles[0])
    return _two_poles(time, on, *poles)


def _one_pole(time: Floats, on: NDArray[np.bool_], pole: float) -> tuple[Floats, Floats, Floats]:
    ramp = -np.expm1(-pole * time) / pole
    # 2 (t - ramp)/p loses its digits where p t is small: the series there.
    small = np.abs(pole * time) < 1e-4
    square = np.where(small, time * time * (1 - pole * time / 3 * (1 - pole * time / 4)), 2 * (time - ramp) / pole)
    return np.where(on, 1 - pole * ramp, 0.0), ramp, square


def pole_slopes(time_s: Floats, pole_per_s: float, step: Floats, ramp: Floats, square: Floats) -> tuple[Floats, Floats]:
    """Return the derivatives of the ramp's and the square's response by the pole, times not negative.

    Parameters
    ----------
    time_s : ndarray
    pole_per_s : float
    step, ramp, square : ndarray
        The responses themselves, as `power_responses` gives them.
    """
    small = np.abs(pole_per_s * time_s) < 1e-4
    pole = pole_per_s or 1.0
    by_ramp = np.where(small, -(time_s**2) * (1 / 2 - pole_per_s * time_s / 3), (time_s * step - ramp) / pole)
    by_square = np.where(
        small,
        -(time_s**3) * (1 / 3 - pole_per_s * time_s / 6 * (1 - 0.3 * pole_per_s * time_s)),
        -(2 * by_ramp + square) / pole,
    )
    return by_ramp, by_square


def _two_poles(time: Floats, on: NDArray[np.bool_], first: float, second: float) -> tuple[Floats, Floats, Floats]:
    if abs(second - first) < 1e-4 * first:
        second = first * (1 + 1e-4)
    one, two = _one_pole(time, on, first), _one_pole(time, on, second)
    # s^2/((s+p)(s+q)) = [q s/(s+q) - p s/(s+p)] / (q - p)
    step, ramp, square = ((second * b - first * a) / (second - first) for a, b in zip(one, two, strict=True))
    return step, ramp, square


@dataclass(frozen=True, slots=True)
class Curve:
    """A continuous brightness curve: zero at first, its slope and curvature changing at knots.

    Attributes
    ----------
    knots_s : tuple of float
        Times of the changes.
    slopes : tuple of float
        Change of slope at each knot, in 1/s.
    squares : tuple of float
        Change of the coefficient of (t - knot) squared at each knot, in 1/s^2.
    """

    knots_s: tuple[float, ...]
    slopes: tuple[float, ...]
    squares: tuple[float, ...]

    def __add__(self, other: "Curve") -> "Curve":
        return Curve(self.knots_s + other.knots_s, self.slopes + other.slopes, self.squares + other.squares)

    def scaled(self, factor: float) -> "Curve":
        """Return the curve times `factor`."""
        return Curve(self.knots_s, tuple(factor * s for s in self.slopes), tuple(factor * q for q in self.squares))

    def through(self, time_s: Floats, *, coupling_hz: Sequence[float] = ()) -> Floats:
        """Return the curve at `time_s` after a high pass of the given corner frequencies."""
        poles = [2 * math.pi * f for f in coupling_hz]
        total = np.zeros_like(time_s)
        for knot, slope, square in zip(self.knots_s, self.slopes, self.squares, strict=True):
            # Samples before the knot are zero: leave them alone.
            at = int(np.searchsorted(time_s, knot))
            _, ramp, power = power_responses(time_s[at:] - knot, poles)
            total[at:] += slope * ramp + square * power
        return total


def rising_edge(*, start_s: float, duration_s: float, shape: str) -> Curve:
    """Return an opening from 0 to 1: shape "area" (area grows evenly) or "diameter" (diameter does)."""
    end = start_s + duration_s
    if shape == "area":
        return Curve((start_s, end), (1 / duration_s, -1 / duration_s), (0.0, 0.0))
    square = 1 / duration_s**2
    return Curve((start_s, end), (0.0, -2 / duration_s), (square, -square))


def falling_edge(*, end_s: float, duration_s: float, shape: str) -> Curve:
    """Return a closing by -1 that ends at `end_s`: the opening run backwards."""
    start = end_s - duration_s
    if shape == "area":
        return Curve((start, end_s), (-1 / duration_s, 1 / duration_s), (0.0, 0.0))
    square = 1 / duration_s**2
    return Curve((start, end_s), (-2 / duration_s, 0.0), (square, -square))
