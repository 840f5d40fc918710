"""Uncertainty of a result from the uncertainties of what it was reckoned from."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from asfound.problems import bad_input
from asfound.quantity.reading import Reading
from asfound.quantity.repeats import welch_satterthwaite

Correlations = Mapping[tuple[str, str], float]
_NONE: Correlations = {}


@dataclass(frozen=True, slots=True)
class Share:
    """What one input brings: how much the result changes with it, and its part of the uncertainty."""

    name: str
    sensitivity: float
    standard_uncertainty: float
    degrees_of_freedom: float | None

    @property
    def signed(self) -> float:
        """Sensitivity times uncertainty, in the result's unit."""
        return self.sensitivity * self.standard_uncertainty


@dataclass(frozen=True, slots=True)
class Propagated:
    """A result as a reading, and every input's share in its uncertainty, largest first."""

    reading: Reading
    shares: tuple[Share, ...]


def propagate(
    function: Callable[..., float],
    inputs: Mapping[str, Reading],
    *,
    unit: str,
    correlations: Correlations = _NONE,
    how: str = "",
) -> Propagated:
    """Carry the uncertainties of the inputs through a function, to first order.

    Parameters
    ----------
    function : callable
        Takes the inputs' values by keyword, returns the result in `unit`.
    inputs : mapping of str to Reading
        One reading for each argument; a reading without uncertainty is taken as exact.
    unit : str
        Of the result.
    correlations : mapping of (str, str) to float, optional
        Correlation coefficients; a pair not named is independent.
    how : str
        How the result was reckoned.

    Returns
    -------
    Propagated

    Raises
    ------
    BadInputError
        If an input is one-sided: it has no value to carry, only a bound.

    Notes
    -----
    JCGM 100:2008, equations 13 and 16; degrees of freedom by Welch-Satterthwaite (G.2b), inputs correlated
    with one another counting as one share with the fewest of their degrees of freedom. Sensitivities by
    differences of fourth order a quarter of the uncertainty apart. Valid where the function is nearly
    straight over the uncertainties: `linear_serves` says so.
    """
    values = {name: _value(name, reading) for name, reading in inputs.items()}
    shares = [_share(function, values, name, reading) for name, reading in inputs.items()]
    groups = _groups([share.name for share in shares], correlations)
    together = [_together([s for s in shares if s.name in group], correlations) for group in groups]
    uncertainty, freedom = welch_satterthwaite(together)
    result = Reading(
        value=function(**values),
        unit=unit,
        standard_uncertainty=uncertainty,
        degrees_of_freedom=freedom,
        how=how,
    )
    return Propagated(result, tuple(sorted(shares, key=lambda share: -abs(share.signed))))


def correlation(first: Propagated, second: Propagated, correlations: Correlations = _NONE) -> float:
    """Return the correlation of two results reckoned from the same inputs (JCGM 100:2008, F.1.2.3, H.9)."""
    covariance = math.fsum(
        a.signed * b.signed * _coefficient(a.name, b.name, correlations) for a in first.shares for b in second.shares
    )
    u, v = first.reading.standard_uncertainty, second.reading.standard_uncertainty
    return covariance / (u * v) if u and v else 0.0


def _value(name: str, reading: Reading) -> float:
    if reading.value is None:
        raise bad_input(name, "has only a bound, no value", "try further until both sides are known")
    return reading.value


def _share(function: Callable[..., float], values: Mapping[str, float], name: str, reading: Reading) -> Share:
    u = reading.standard_uncertainty or 0.0
    step = u / 4 or max(1e-6, abs(values[name]) * 1e-6)

    def at(steps: int) -> float:
        return function(**{**values, name: values[name] + steps * step})

    slope = (8 * (at(1) - at(-1)) - (at(2) - at(-2))) / (12 * step)
    return Share(name, slope, u, reading.degrees_of_freedom)


def _coefficient(first: str, second: str, correlations: Correlations) -> float:
    if first == second:
        return 1.0
    return correlations.get((first, second), correlations.get((second, first), 0.0))


def _groups(names: list[str], correlations: Correlations) -> list[set[str]]:
    """Return the names in sets that are correlated with one another, directly or through others."""
    groups: list[set[str]] = []
    for name in names:
        linked = [g for g in groups if any(_coefficient(name, other, correlations) for other in g)]
        groups = [g for g in groups if g not in linked] + [{name}.union(*linked)]
    return groups


def _together(shares: list[Share], correlations: Correlations) -> tuple[float, float | None]:
    """Return a correlated group's uncertainty, and the fewest degrees of freedom in it."""
    variance = math.fsum(
        a.signed * b.signed * _coefficient(a.name, b.name, correlations) for a in shares for b in shares
    )
    freedom = [s.degrees_of_freedom for s in shares if s.degrees_of_freedom is not None and s.signed]
    return math.sqrt(max(0.0, variance)), min(freedom, default=None)
