"""The first firing after hours of rest, kept apart from the exercised ones: old oil shows there first."""

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from scipy.special import stdtrit  # scipy.stats takes a second to import

from asfound.shutter.timing.firing import Firing

LEVEL = 0.95


@dataclass(frozen=True, slots=True, kw_only=True)
class Rested:
    """One speed's first firing after rest against the exercised ones.

    Attributes
    ----------
    rested_s, exercised_s : float or None
        The first time, and the mean of the others.
    slower_stops : float or None
        log2 of the one over the other; positive when the rested shutter is slower.
    differs : bool or None
        Whether that is more than the scatter of single shots; None where it cannot be told.
    """

    rested_s: float | None
    exercised_s: float | None
    slower_stops: float | None
    differs: bool | None


def set_rested_apart(firings: Sequence[Firing], *, shots: int) -> tuple[tuple[Firing, ...], tuple[Firing, ...]]:
    """Return the rested firings and the exercised ones, of 1 + `shots` firings at each speed in turn."""
    rested = tuple(firing for at, firing in enumerate(firings) if at % (shots + 1) == 0)
    exercised = tuple(firing for at, firing in enumerate(firings) if at % (shots + 1))
    return rested, exercised


def struck_without_rested(struck: Collection[int], *, shots: int) -> frozenset[int]:
    """Return the places of struck shots once the first of each speed is set apart.

    Parameters
    ----------
    struck : collection of int
        Places from 1 among all firings; that of a rested shot itself is dropped.
    shots : int
        At each speed, the rested one not counted.
    """
    each = shots + 1
    return frozenset(n - (n - 1) // each - 1 for n in struck if (n - 1) % each)


def compare_rested(first: Firing, exercised: Sequence[Firing]) -> Rested:
    """Return how a rested firing differs from the exercised ones of the same speed.

    Notes
    -----
    A single further shot lies within t s sqrt(1 + 1/n) of the mean of n (the prediction interval of a
    normal sample; Student's t with n - 1 degrees of freedom).
    """
    times = [t for t in (_time(firing) for firing in exercised) if t]
    time = _time(first)
    if not time or not times:
        return Rested(rested_s=time, exercised_s=None, slower_stops=None, differs=None)
    mean = math.fsum(times) / len(times)
    differs = None
    if len(times) > 1:
        spread = math.sqrt(math.fsum((t - mean) ** 2 for t in times) / (len(times) - 1))
        reach = float(stdtrit(len(times) - 1, 0.5 + LEVEL / 2)) * spread * math.sqrt(1 + 1 / len(times))
        differs = abs(time - mean) > math.hypot(reach, 2 * (first.u_effective_s or first.u_open_s or 0.0))
    return Rested(rested_s=time, exercised_s=mean, slower_stops=math.log2(time / mean), differs=differs)


def _time(firing: Firing) -> float | None:
    return firing.open_s if firing.effective_s is None else firing.effective_s
