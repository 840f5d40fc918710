"""A straight line through readings, and what to set for a wanted reading."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from asfound.problems import bad_input
from asfound.quantity.repeats import student_factor


@dataclass(frozen=True, slots=True)
class Line:
    """A least-squares straight line y = intercept + slope x, with what its scatter says of it."""

    intercept: float
    slope: float
    u_intercept: float
    u_slope: float
    correlation: float
    residual: float
    degrees_of_freedom: int
    mean_x: float
    mean_y: float
    sum_square_x: float

    def at(self, x: float) -> tuple[float, float]:
        """Return the line's y at x, and its standard uncertainty (of the line, not of a single reading)."""
        away = x - self.mean_x
        n = self.degrees_of_freedom + 2
        return self.mean_y + self.slope * away, self.residual * math.sqrt(1 / n + away**2 / self.sum_square_x)


@dataclass(frozen=True, slots=True)
class Setting:
    """The x for a wanted y, and the interval of the stated coverage."""

    x: float
    low: float
    high: float
    coverage: float


def fit_line(x: Sequence[float], y: Sequence[float]) -> Line:
    """Fit a straight line by least squares, every y equally uncertain and x exact.

    Raises
    ------
    BadInputError
        If there are fewer than three pairs, or all x are the same.

    Notes
    -----
    JCGM 100:2008, H.3.2.
    """
    xs, ys = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    if len(xs) != len(ys) or len(xs) < 3:
        raise bad_input("line", f"there are {len(xs)} x and {len(ys)} y", "give three pairs or more")
    away = xs - xs.mean()
    square = float(away @ away)
    if square <= 1e-24 * max(1.0, float(xs @ xs)):
        raise bad_input("line", "every x is the same", "measure at different places")
    slope = float(away @ (ys - ys.mean())) / square
    off = ys - ys.mean() - slope * away
    residual = math.sqrt(float(off @ off) / (len(xs) - 2))
    root = math.sqrt(float(xs @ xs) / len(xs))
    return Line(
        intercept=float(ys.mean() - slope * xs.mean()),
        slope=slope,
        u_intercept=residual * root / math.sqrt(square),
        u_slope=residual / math.sqrt(square),
        correlation=-float(xs.mean()) / root if root else 0.0,
        residual=residual,
        degrees_of_freedom=len(xs) - 2,
        mean_x=float(xs.mean()),
        mean_y=float(ys.mean()),
        sum_square_x=square,
    )


def setting_for(line: Line, y: float, *, repeats: int | None = 1, coverage: float = 0.95) -> Setting:
    """Return the x at which y will be read, with Fieller's interval.

    Parameters
    ----------
    line : Line
    y : float
        The wanted y.
    repeats : int or None
        How many readings y is the mean of; None for the true mean response.
    coverage : float
        Of the interval.

    Raises
    ------
    BadInputError
        If the slope is not sure to differ from nought (g of one or more): no finite interval.

    Notes
    -----
    Fieller's theorem: with t of n - 2, g = t^2 s^2 / (b^2 Sxx), d = (y - ybar) / b, k = 1 / repeats, the
    interval is xbar + d/(1-g) plus or minus (t s / |b|)/(1-g) root(d^2/Sxx + (1-g)(k + 1/n)). From memory.
    """
    t = student_factor(line.degrees_of_freedom, coverage=coverage)
    g = (t * line.u_slope / line.slope) ** 2 if line.slope else math.inf
    if g >= 1:
        what = "the slope may be nought, so that no setting can be told"
        raise bad_input("line", what, "measure over a longer way or more often")
    d = (y - line.mean_y) / line.slope
    k = (1 / repeats if repeats else 0.0) + 1 / (line.degrees_of_freedom + 2)
    root = math.sqrt(d**2 / line.sum_square_x + (1 - g) * k)
    half = t * line.residual / abs(line.slope) / (1 - g) * root
    middle = line.mean_x + d / (1 - g)
    return Setting(line.mean_x + d, middle - half, middle + half, coverage)


def setting_between(
    first: tuple[float, float],
    second: tuple[float, float],
    wanted: float,
    *,
    u_first: float,
    u_second: float,
    u_wanted: float = 0.0,
) -> tuple[float, float]:
    """Return the x at which a line through two readings has a wanted y, and its standard uncertainty.

    Parameters
    ----------
    first, second : (float, float)
        x and y of two readings.
    wanted : float
        The y to reach.
    u_first, u_second, u_wanted : float
        Standard uncertainties of the three y.

    Notes
    -----
    u^2(x) = ((1 - l)^2 u1^2 + l^2 u2^2 + u0^2) / slope^2 (JCGM 100:2008, equation 10, on a straight line).
    """
    (x1, y1), (x2, y2) = first, second
    if x1 == x2 or y1 == y2:
        raise bad_input("readings", "both are the same", "turn further between them")
    slope = (y2 - y1) / (x2 - x1)
    along = (wanted - y1) / (y2 - y1)
    u = math.sqrt(((1 - along) * u_first) ** 2 + (along * u_second) ** 2 + u_wanted**2) / abs(slope)
    return x1 + along * (x2 - x1), u
