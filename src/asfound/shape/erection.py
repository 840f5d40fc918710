"""How well a front standard comes back when opened again, and how far it gives to a push and a pull."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from asfound.problems import bad_input
from asfound.quantity import Reading, scatter, student_factor, welch_satterthwaite


@dataclass(frozen=True, slots=True, kw_only=True)
class Erection:
    """Heights of a standard opened and closed several times.

    Attributes
    ----------
    height : Reading
        Mean height; its uncertainty is that of the mean.
    scatter : Reading
        What a single opening may differ by: value nought, its standard uncertainty the scatter.
    range_mm : float
        Highest less lowest.
    """

    height: Reading
    scatter: Reading
    range_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StrutGive:
    """One strut against the mean of the others."""

    name: str
    give: Reading
    times_others: float
    verdict: Literal["alike", "weaker", "stiffer", "cannot tell"]


def erection(heights_mm: Sequence[float], *, instrument_uncertainty_mm: float = 0.0) -> Erection:
    """Return mean and scatter of heights at repeated openings.

    Five openings are usual (common practice, no source); two are the least.

    Parameters
    ----------
    heights_mm : sequence of float
        One for each opening, pushed home or pulled out each time in the same way.
    instrument_uncertainty_mm : float
        Of the gauge; it is in the mean, not in the scatter.

    Notes
    -----
    JCGM 100:2008, 4.2.2 (scatter) and 4.2.3 (mean).
    """
    found = scatter(heights_mm)
    count = len(heights_mm)
    how = f"opened {count} times"
    shares = [
        (found.deviation / math.sqrt(count), found.degrees_of_freedom),
        (instrument_uncertainty_mm, None),
    ]
    u, freedom = welch_satterthwaite(shares)
    mean = heights_mm[0] + math.fsum(h - heights_mm[0] for h in heights_mm) / count
    return Erection(
        height=Reading(value=mean, unit="mm", standard_uncertainty=u, degrees_of_freedom=freedom, how=how),
        scatter=Reading(
            value=0.0,
            unit="mm",
            standard_uncertainty=found.deviation,
            degrees_of_freedom=found.degrees_of_freedom,
            how=how,
        ),
        range_mm=max(heights_mm) - min(heights_mm),
    )


def with_erection(reading: Reading, scatter_of: Reading) -> Reading:
    """Return a height or focus reading in mm with the scatter of erection in its uncertainty.

    Raises
    ------
    BadInputError
        If either is not in mm.
    """
    if reading.unit != "mm" or scatter_of.unit != "mm":
        raise bad_input("scatter", f"a reading in {reading.unit}", "give both in mm")
    shares = [(r.standard_uncertainty or 0.0, r.degrees_of_freedom) for r in (reading, scatter_of)]
    u, freedom = welch_satterthwaite(shares)
    return replace(reading, standard_uncertainty=u, degrees_of_freedom=freedom)


def give(
    *,
    pushed_mm: float,
    pulled_mm: float,
    push_n: float,
    pull_n: float,
    u_height_mm: float,
    u_force_n: float = 0.0,
) -> Reading:
    """Return mm per newton between a push and a pull at the lens.

    Parameters
    ----------
    pushed_mm, pulled_mm : float
        Height under each.
    push_n, pull_n : float
        Both forces, each greater than nought.
    u_height_mm, u_force_n : float
        Standard uncertainties of one height and one force.

    Raises
    ------
    BadInputError
        If a force is not above nought.
    """
    if not (push_n > 0 and pull_n > 0):
        raise bad_input("force", "is not above nought", "give the push and the pull as two forces")
    force = push_n + pull_n
    value = (pulled_mm - pushed_mm) / force
    u = math.sqrt(2) * math.hypot(u_height_mm, value * u_force_n) / force
    return Reading(value=value, unit="mm/N", standard_uncertainty=u, how="push and pull")


def tilt_between_deg(*, first_mm: float, second_mm: float, apart_mm: float) -> float:
    """Return the tilt when one side moves by `first_mm` and the other, `apart_mm` away, by `second_mm`."""
    if not apart_mm > 0:
        raise bad_input("struts", f"{apart_mm:g} mm apart", "give the distance between them")
    return math.degrees(math.atan((first_mm - second_mm) / apart_mm))


def compare_struts(gives: Mapping[str, Reading]) -> tuple[StrutGive, ...]:
    """Return each strut's give against the mean of the others, the weakest first.

    Weaker or stiffer where the difference exceeds its expanded uncertainty (95 %); cannot tell where that
    uncertainty is more than half of the mean.

    Raises
    ------
    BadInputError
        If there are fewer than two struts.
    """
    if len(gives) < 2:
        raise bad_input("struts", f"there are {len(gives)}", "measure two or more to compare them")
    found = [_against_others(name, gives) for name in gives]
    return tuple(sorted(found, key=lambda strut: -(strut.give.value or 0.0)))


def _against_others(name: str, gives: Mapping[str, Reading]) -> StrutGive:
    own, others = gives[name], [reading for other, reading in gives.items() if other != name]
    mean = math.fsum(r.value or 0.0 for r in others) / len(others)
    shares = [(own.standard_uncertainty or 0.0, own.degrees_of_freedom)]
    shares += [((r.standard_uncertainty or 0.0) / len(others), r.degrees_of_freedom) for r in others]
    u, freedom = welch_satterthwaite(shares)
    difference, expanded = (own.value or 0.0) - mean, student_factor(freedom) * u
    verdict: Literal["alike", "weaker", "stiffer", "cannot tell"] = "alike"
    if abs(difference) > expanded:
        verdict = "weaker" if difference > 0 else "stiffer"
    elif expanded > abs(mean) / 2:
        verdict = "cannot tell"
    return StrutGive(
        name=name,
        give=own,
        times_others=(own.value or 0.0) / mean if mean else math.inf,
        verdict=verdict,
    )
