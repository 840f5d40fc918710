"""Uncertainty by drawing at random, for results that are not nearly straight in their inputs."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from asfound.problems import bad_input
from asfound.quantity.reading import Reading
from asfound.quantity.repeats import student_factor

Draws = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Distribution:
    """What is believed of an input.

    Attributes
    ----------
    kind : {"normal", "student", "rectangular", "arcsine"}
        By what is known: an uncertainty; one with its degrees of freedom; bounds; the bounds of a swing.
    middle : float
    width : float
        Standard uncertainty (normal), scale (student), or half-width (rectangular, arcsine).
    degrees_of_freedom : float, optional
        For student.
    """

    kind: Literal["normal", "student", "rectangular", "arcsine"]
    middle: float
    width: float
    degrees_of_freedom: float = math.inf


@dataclass(frozen=True, slots=True)
class Drawn:
    """Mean, standard uncertainty and the interval of the stated coverage, equally likely missed each side."""

    mean: float
    standard_uncertainty: float
    low: float
    high: float
    coverage: float
    draws: int


def distribution_of(reading: Reading, *, name: str = "reading") -> Distribution:
    """Return what a reading lets one believe of its value.

    Both bounds known and nothing else: rectangular (JCGM 101:2008, 6.4.2). Few degrees of freedom: scaled
    and shifted t (6.4.9). An uncertainty: normal (6.4.7).

    Raises
    ------
    BadInputError
        If only one bound is known.
    """
    if reading.value is None:
        raise bad_input(name, "has only a bound, no value", "try further until both sides are known")
    u = reading.standard_uncertainty or 0.0
    if reading.degrees_of_freedom is not None and math.isfinite(reading.degrees_of_freedom):
        return Distribution("student", reading.value, u, reading.degrees_of_freedom)
    if reading.lower is not None and reading.upper is not None:
        half = (reading.upper - reading.lower) / 2
        if math.isclose(u, half / math.sqrt(3), rel_tol=1e-6):
            return Distribution("rectangular", reading.value, half)
    return Distribution("normal", reading.value, u)


def draw(distribution: Distribution, random: np.random.Generator, *, draws: int) -> Draws:
    """Return values drawn from a distribution, as an array of `draws`."""
    if distribution.kind == "normal":
        unit = random.standard_normal(draws)
    elif distribution.kind == "student":
        unit = random.standard_t(distribution.degrees_of_freedom, draws)
    elif distribution.kind == "rectangular":
        unit = random.uniform(-1.0, 1.0, draws)
    else:
        unit = np.sin(random.uniform(0.0, 2 * np.pi, draws))
    return np.asarray(distribution.middle + distribution.width * unit)


def monte_carlo(
    function: Callable[..., Draws],
    inputs: Mapping[str, Distribution],
    *,
    random: np.random.Generator,
    draws: int = 200_000,
    coverage: float = 0.95,
) -> Drawn:
    """Carry distributions through a function by drawing at random.

    Parameters
    ----------
    function : callable
        Takes arrays of `draws` values by keyword, returns such an array.
    inputs : mapping of str to Distribution
    random : numpy Generator
        Where the draws come from; the same seed gives the same result.
    draws : int
        JCGM 101:2008, 7.2.2 advises at least 10^4 over (1 - coverage).
    coverage : float
        Of the interval.

    Raises
    ------
    BadInputError
        If the function has no finite value for some draws.

    Notes
    -----
    JCGM 101:2008, 5.9, 7.6 and 7.7 (probabilistically symmetric interval).
    """
    values = {name: draw(distribution, random, draws=draws) for name, distribution in inputs.items()}
    result = np.asarray(function(**values), dtype=np.float64)
    if not np.isfinite(result).all():
        share = 100 * float(np.mean(~np.isfinite(result)))
        what = f"has no value for {share:.2g} % of what the inputs may be"
        raise bad_input("result", what, "measure the inputs better")
    low, high = np.quantile(result, [(1 - coverage) / 2, (1 + coverage) / 2])
    mean, u = float(result.mean()), float(result.std(ddof=1))
    return Drawn(mean, u, float(low), float(high), coverage, draws)


def linear_serves(linear: Reading, drawn: Drawn) -> bool:
    """Say whether first-order propagation agrees with drawing, to two digits of the uncertainty.

    Notes
    -----
    JCGM 101:2008, 8.1: both ends of the interval within half of the last of two digits.
    """
    if linear.value is None or linear.standard_uncertainty is None:
        return False
    half = student_factor(linear.degrees_of_freedom, coverage=drawn.coverage) * linear.standard_uncertainty
    allowed = 0.5 * 10.0 ** _last_digit(drawn.standard_uncertainty)
    low, high = linear.value - half, linear.value + half
    return abs(low - drawn.low) <= allowed and abs(high - drawn.high) <= allowed


def _last_digit(uncertainty: float) -> int:
    """Return the power of ten of the second digit of an uncertainty."""
    return math.floor(math.log10(uncertainty)) - 1 if uncertainty > 0 else 0
