"""Guarded verdicts: how far inside its tolerance a value must lie, and the chance that an accepted one is bad.

JCGM 106:2012 (from memory): guarded acceptance with a guard band w = r U, U = k u (8.3.2); the chance that what was
accepted is in truth outside is the specific consumer's risk (3.3.13), one less the conformance probability (7.2).
"""

import math
from dataclasses import dataclass

from asfound.quantity.reading import Reading
from asfound.quantity.tolerance import Tolerance, Verdict, expanded, verdict

# r: the guard band is once the expanded uncertainty on either side (JCGM 106:2012, 8.3.2.2; ISO 14253-1, memory).
GUARD_MULTIPLIER = 1.0
# Normal, beyond two standard uncertainties on one side: what the guard band leaves at most at one limit.
MOST_RISK = 0.5 * math.erfc(2 / math.sqrt(2))


@dataclass(frozen=True, slots=True, kw_only=True)
class Conformity:
    """A verdict with its guard band.

    Attributes
    ----------
    verdict : {"within", "outside", "cannot tell"}
    guard : float or None
        Width of the guard band at each limit, in the unit of the reading; None where no uncertainty is known.
    conforms : float or None
        The probability that the value lies within its tolerance; None where no uncertainty is known.
    """

    verdict: Verdict
    guard: float | None
    conforms: float | None

    @property
    def consumers_risk(self) -> float | None:
        """The chance that this accepted value is in truth outside; None where it was not accepted."""
        return None if self.conforms is None or self.verdict != "within" else 1 - self.conforms


def conformity(reading: Reading, tolerance: Tolerance) -> Conformity:
    """Judge a reading by its tolerance, guarded.

    Raises
    ------
    ValueError
        If reading and tolerance are in different units.
    """
    return Conformity(
        verdict=verdict(reading, tolerance),
        guard=GUARD_MULTIPLIER * expanded(reading) if reading.standard_uncertainty else None,
        conforms=conformance_probability(reading, tolerance),
    )


def conformance_probability(reading: Reading, tolerance: Tolerance) -> float | None:
    """Return the probability that the value lies within its tolerance, as far as the measurement alone knows.

    Normal about the value; Student's where the degrees of freedom are known; even between the bounds of a bracket.
    None where no uncertainty is known. JCGM 106:2012, 7.2 to 7.4 (from memory), with nothing known beforehand.
    """
    floor = -math.inf if tolerance.lower is None else tolerance.lower
    ceiling = math.inf if tolerance.upper is None else tolerance.upper
    if reading.lower is not None and reading.upper is not None:
        return _of_bracket(reading.lower, reading.upper, floor, ceiling)
    if reading.value is None or not reading.standard_uncertainty:
        return None
    low, high = ((bound - reading.value) / reading.standard_uncertainty for bound in (floor, ceiling))
    below = [_below(z, reading.degrees_of_freedom) for z in (low, high)]
    return max(0.0, below[1] - below[0])


def _of_bracket(low: float, high: float, floor: float, ceiling: float) -> float:
    if high <= low:
        return float(floor <= low <= ceiling)
    return max(0.0, min(high, ceiling) - max(low, floor)) / (high - low)


def _below(z: float, degrees_of_freedom: float | None) -> float:
    if math.isinf(z):
        return float(z > 0)
    if degrees_of_freedom is None:
        return 0.5 * math.erfc(-z / math.sqrt(2))
    from scipy.special import stdtr  # only here: it takes a while to load

    return float(stdtr(degrees_of_freedom, z))
