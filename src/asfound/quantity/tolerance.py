"""What a reading is held to, and who says so."""

import math
from dataclasses import dataclass
from typing import Literal

from asfound.quantity.reading import Reading
from asfound.quantity.repeats import student_factor

# The share of a normal distribution within two standard deviations.
TWO_SIGMA = math.erf(2 / math.sqrt(2))

Verdict = Literal["within", "outside", "cannot tell"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tolerance:
    """The allowed range of a quantity with its source; a bound that is None does not bind."""

    unit: str
    source: str
    lower: float | None = None
    upper: float | None = None

    def __str__(self) -> str:
        if self.lower is not None and self.upper is not None:
            return f"{self.lower:.6g} to {self.upper:.6g} {self.unit}"
        if self.lower is not None:
            return f"at least {self.lower:.6g} {self.unit}"
        if self.upper is not None:
            return f"at most {self.upper:.6g} {self.unit}"
        return "no bound"


def verdict(reading: Reading, tolerance: Tolerance, *, coverage_factor: float | None = None) -> Verdict:
    """Judge a reading: within or outside only where its expanded uncertainty leaves no doubt.

    The factor is 2, or Student's for as much where the degrees of freedom are few. A reading without a stated
    uncertainty is judged as it stands; a bracket by its two bounds. A one-sided reading can be within or outside only
    where its bound settles it. Guarded acceptance and guarded rejection, JCGM 106:2012, 8.3 (from memory).

    Raises
    ------
    ValueError
        If reading and tolerance are in different units.
    """
    if reading.unit != tolerance.unit:
        raise ValueError(f"reading in {reading.unit}, tolerance in {tolerance.unit}")
    low, high = _interval(reading, expanded(reading, coverage_factor))
    floor = -float("inf") if tolerance.lower is None else tolerance.lower
    ceiling = float("inf") if tolerance.upper is None else tolerance.upper
    if high < floor or low > ceiling:
        return "outside"
    return "within" if low >= floor and high <= ceiling else "cannot tell"


def expanded(reading: Reading, coverage_factor: float | None = None) -> float:
    """Return the expanded uncertainty: two standard ones, or Student's as many for as much where they are poorly known.

    The coverage is that of two standard deviations of a normal distribution, 95.45 % (JCGM 100:2008, G.3); nothing
    where no uncertainty is known.
    """
    u, freedom = reading.standard_uncertainty or 0.0, reading.degrees_of_freedom
    if coverage_factor is None:
        coverage_factor = 2.0 if freedom is None or not u else student_factor(max(freedom, 1.0), coverage=TWO_SIGMA)
    return coverage_factor * u


def _interval(reading: Reading, half: float) -> tuple[float, float]:
    """Return where the value surely lies: its bracket where one is known, else value plus or minus `half`."""
    low = -float("inf") if reading.value is None else reading.value - half
    high = float("inf") if reading.value is None else reading.value + half
    return low if reading.lower is None else reading.lower, high if reading.upper is None else reading.upper
