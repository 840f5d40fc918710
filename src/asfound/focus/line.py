"""A straight line through readings, with how well its two numbers are known."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from asfound.focus.budget import finite, not_negative
from asfound.problems import bad_input


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """y = intercept + slope x by least squares.

    Attributes
    ----------
    intercept, slope : float
        The line.
    u_intercept, u_slope : float or None
        Standard uncertainties; None where two points alone leave nothing to judge them by.
    covariance : float or None
        Of intercept and slope.
    degrees_of_freedom : float or None
        n - 2 where the scatter tells the uncertainty; None (infinitely many) where it was given.
    residual_sd : float or None
        Scatter about the line; None for two points.
    residuals : tuple of float
        Reading less line.
    """

    intercept: float
    slope: float
    u_intercept: float | None
    u_slope: float | None
    covariance: float | None
    degrees_of_freedom: float | None
    residual_sd: float | None
    residuals: tuple[float, ...]


def fit_line(*, x: Sequence[float], y: Sequence[float], u_y: float | None = None) -> Line:
    """Fit a straight line (JCGM 100:2008, H.3).

    Parameters
    ----------
    x, y : sequence of float
        As many of each; x taken as exact.
    u_y : float, optional
        Standard uncertainty of one y. Without it the scatter about the line is used.

    Raises
    ------
    BadInputError
        If there are fewer than two different x.
    """
    not_negative("uncertainty of a reading", u_y, "")
    xs, ys = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    for value in (*xs.tolist(), *ys.tolist()):
        finite("readings", value, "")
    if len(xs) < 2 or np.ptp(xs) == 0:
        raise bad_input("readings", "they are not at two different places", "take them at two or more places")
    away = xs - xs.mean()
    sxx = float(away @ away)
    slope = float(away @ (ys - ys.mean()) / sxx)
    intercept = float(ys.mean() - slope * xs.mean())
    residuals = ys - ys.mean() - slope * away
    dof = len(xs) - 2
    scatter = float(np.sqrt(residuals @ residuals / dof)) if dof else None
    u = scatter if u_y is None else u_y
    known = u is not None
    unit = (u or 0.0) ** 2
    return Line(
        intercept=intercept,
        slope=slope,
        u_intercept=float(np.sqrt(unit * (1 / len(xs) + xs.mean() ** 2 / sxx))) if known else None,
        u_slope=float(np.sqrt(unit / sxx)) if known else None,
        covariance=float(-unit * xs.mean() / sxx) if known else None,
        degrees_of_freedom=float(dof) if u_y is None and dof else None,
        residual_sd=scatter,
        residuals=tuple(residuals.tolist()),
    )
