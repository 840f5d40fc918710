"""A coupled rangefinder against its lens: offset and rate, and which adjuster comes first."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from asfound.focus.budget import FocusBudget, coverage_factor
from asfound.focus.focusing import Focusing
from asfound.focus.line import Line, fit_line
from asfound.problems import bad_input
from asfound.quantity import Reading
from asfound.quantity.tolerance import Verdict

Adjuster = Literal["offset", "rate", "none", "cannot tell"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CoupledReading:
    """One coincidence.

    Attributes
    ----------
    true_mm, indicated_mm : float
        Taped distance to the target, and the distance at which the lens stood at coincidence.
    error_mm : float
        Extension of the lens less what the target needs: positive when too far out.
    share : float or None
        The same as a share of the budget.
    verdict : Verdict or None
        Against the budget.
    after_offset_mm, after_both_mm : float
        Error that is left once the offset is taken out, and once both are.
    """

    true_mm: float
    indicated_mm: float
    error_mm: float
    share: float | None
    verdict: Verdict | None
    after_offset_mm: float
    after_both_mm: float

    def flat(self) -> dict[str, float | str | None]:
        """Return the reading under its JSON names."""
        return {
            "true_mm": self.true_mm,
            "indicated_mm": self.indicated_mm,
            "error_mm": self.error_mm,
            "share": self.share,
            "verdict": self.verdict,
            "after_offset_mm": self.after_offset_mm,
            "after_both_mm": self.after_both_mm,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Coupling:
    """How the rangefinder follows the lens.

    Attributes
    ----------
    offset : Reading
        Error of the extension in mm at infinity.
    rate : Reading
        Extension at coincidence per extension needed; 1 is right, more means the lens runs ahead.
    readings : tuple of CoupledReading
        In the order given.
    first : {"offset", "rate", "none", "cannot tell"}
        Which adjuster to turn first.
    advice : str
        What to do, in one sentence.
    """

    offset: Reading
    rate: Reading
    readings: tuple[CoupledReading, ...]
    first: Adjuster
    advice: str

    def flat(self) -> dict[str, object]:
        """Return the coupling under its JSON names."""
        return {
            **self.offset.flat("offset"),
            **self.rate.flat("rate"),
            "first": self.first,
            "advice": self.advice,
            "readings": [reading.flat() for reading in self.readings],
        }


def rangefinder_coupling(
    *,
    focusing: Focusing,
    readings: Sequence[tuple[float, float]],
    u_extension_mm: float | None = None,
    budget: FocusBudget | None = None,
) -> Coupling:
    """Return offset and rate of a rangefinder coupling, and which adjuster to turn first.

    The extension at coincidence (for a front cell: what it does to the image) is a straight line in the extension
    that the target needs. At infinity the rate
    has no say, so the offset is set there first and the rate at the nearest distance after it, and then the
    offset is looked at again.

    Parameters
    ----------
    focusing : UnitFocusing or FrontFocusing
        Of the lens whose scale is trusted; says from where distances are measured, too.
    readings : sequence of (true distance in mm, indicated distance in mm)
        At two or more different true distances; infinity as ``math.inf``; repeats welcome.
    u_extension_mm : float, optional
        Standard uncertainty of the extension at one coincidence; without it the scatter about the line is used,
        which two readings do not have.
    budget : FocusBudget, optional
        For shares, verdicts and whether anything need be done.

    Raises
    ------
    BadInputError
        For readings at fewer than two distances, or a distance shorter than the lens allows.
    """
    at_image = focusing.image_per_travel
    needed = [at_image * focusing.travel_for(true) for true, _ in readings]
    stood = [at_image * focusing.travel_for(indicated) for _, indicated in readings]
    line = fit_line(x=needed, y=stood, u_y=u_extension_mm)
    if line.slope <= 0:
        what = "the lens moves the wrong way as the target comes nearer"
        raise bad_input("readings", what, "check which distance is the true one and which the indicated")
    u = u_extension_mm if u_extension_mm is not None else line.residual_sd
    found = tuple(
        _reading(pair, x, y, line, residual, u, budget)
        for pair, x, y, residual in zip(readings, needed, stood, line.residuals, strict=True)
    )
    offset = _fitted(line.intercept, line.u_intercept, "mm", line)
    rate = _fitted(line.slope, line.u_slope, "1", line)
    first = _first(offset, rate, found, budget)
    return Coupling(
        offset=offset, rate=rate, readings=found, first=first, advice=_advice(first, offset, rate, found, budget)
    )


def _reading(
    pair: tuple[float, float],
    needed: float,
    stood: float,
    line: Line,
    residual: float,
    u: float | None,
    budget: FocusBudget | None,
) -> CoupledReading:
    error = Reading(
        value=stood - needed,
        unit="mm",
        standard_uncertainty=u,
        degrees_of_freedom=line.degrees_of_freedom,
    )
    return CoupledReading(
        true_mm=pair[0],
        indicated_mm=pair[1],
        error_mm=stood - needed,
        share=budget.share(stood - needed) if budget else None,
        verdict=budget.judge(error) if budget else None,
        after_offset_mm=stood - needed - line.intercept,
        after_both_mm=residual / line.slope,
    )


def _fitted(value: float, u: float | None, unit: str, line: Line) -> Reading:
    return Reading(
        value=value,
        unit=unit,
        standard_uncertainty=u,
        degrees_of_freedom=line.degrees_of_freedom,
        how=f"fit of {len(line.residuals)} coincidences",
    )


def _first(offset: Reading, rate: Reading, found: Sequence[CoupledReading], budget: FocusBudget | None) -> Adjuster:
    if budget and all(reading.verdict == "within" for reading in found):
        return "none"
    assert rate.value is not None
    if _proved(offset, 0.0):
        return "offset"
    return "rate" if _proved(rate, 1.0) else "cannot tell"


def _proved(reading: Reading, right: float) -> bool:
    """Say whether a reading differs from its right value by more than its 95 % interval."""
    if reading.value is None or reading.standard_uncertainty is None:
        return False
    factor = coverage_factor(reading.degrees_of_freedom)
    return abs(reading.value - right) > factor * reading.standard_uncertainty


def _advice(
    first: Adjuster,
    offset: Reading,
    rate: Reading,
    found: Sequence[CoupledReading],
    budget: FocusBudget | None,
) -> str:
    assert offset.value is not None
    assert rate.value is not None
    left = max(abs(reading.after_both_mm) for reading in found)
    if first != "none" and budget and left > budget.half_width_mm:
        return "neither adjuster takes it out: look at the cam and its follower, or repeat the readings"
    nearest = min(reading.true_mm for reading in found)
    near = "infinity" if math.isinf(nearest) else f"{nearest / 1000:.2f} m"
    words: dict[Adjuster, str] = {
        "none": "every distance is within the budget: leave both adjusters",
        "offset": f"offset first, at infinity ({offset.value:+.3f} mm); then the rate at {near}; then infinity again",
        "rate": f"rate first, at {near} ({rate.value:.4f} for 1); infinity is right, look at it again after",
        "cannot tell": "the readings cannot tell which: repeat them at infinity and at the nearest distance",
    }
    return words[first]
