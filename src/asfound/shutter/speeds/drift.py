"""What shots show one after another, and from which side the dial was set."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from asfound.quantity import student_factor
from asfound.shutter.speeds.pooling import pool

Shown = Literal["yes", "no sign"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Drift:
    """Change from shot to shot at one setting, common to all speeds.

    Attributes
    ----------
    stops_a_shot : float
        Positive where the times grow.
    u_stops_a_shot : float
        Its standard uncertainty.
    degrees_of_freedom : int
    interval_stops : float
        Half-width of its 95 % interval (Student's t).
    verdict : {"yes", "no sign"}
    """

    stops_a_shot: float
    u_stops_a_shot: float
    degrees_of_freedom: int
    interval_stops: float
    verdict: Shown


@dataclass(frozen=True, slots=True, kw_only=True)
class Approach:
    """Difference at one speed between a dial set from above and one set from below.

    Attributes
    ----------
    marked : str
    difference_stops, u_difference_stops : float
        From above less from below; its standard uncertainty.
    interval_stops : float
        Half-width of its 95 % interval.
    verdict : {"yes", "no sign"}
        Whether a difference is shown: a loose cam plate (common practice, no source).
    """

    marked: str
    difference_stops: float
    u_difference_stops: float
    interval_stops: float
    verdict: Shown


def drift(shots_s: Sequence[Sequence[float]]) -> Drift | None:
    """Return the slope of log2 time over shots, one slope for all speeds; None from too few shots.

    Parameters
    ----------
    shots_s : sequence of sequence of float
        Times at each speed in the order shot; each speed keeps its own mean.

    Notes
    -----
    Least squares with a common slope and a level for each speed (analysis of covariance: from memory).
    """
    pairs = [
        (n - (len(shots) - 1) / 2, math.log2(t) - math.fsum(map(math.log2, shots)) / len(shots))
        for shots in shots_s
        if len(shots) > 1
        for n, t in enumerate(shots)
    ]
    freedom = len(pairs) - sum(len(shots) > 1 for shots in shots_s) - 1
    if freedom < 1:
        return None
    across = math.fsum(x * x for x, _ in pairs)
    slope = math.fsum(x * y for x, y in pairs) / across
    left = math.fsum((y - slope * x) ** 2 for x, y in pairs)
    u = math.sqrt(left / freedom / across)
    interval = student_factor(freedom) * u
    verdict: Shown = "yes" if abs(slope) > interval else "no sign"
    return Drift(
        stops_a_shot=slope,
        u_stops_a_shot=u,
        degrees_of_freedom=freedom,
        interval_stops=interval,
        verdict=verdict,
    )


def approach(
    marked: str,
    *,
    above_s: Sequence[float],
    below_s: Sequence[float],
    relative_scatter: float,
    degrees_of_freedom: float | None,
) -> Approach:
    """Compare shots after setting the dial from above with shots after setting it from below.

    Parameters
    ----------
    marked : str
    above_s, below_s : sequence of float
        Times, one or more each.
    relative_scatter : float
        Of one shot, as pooled over comparable speeds.
    degrees_of_freedom : float or None
        That it rests on.

    Notes
    -----
    Difference of two means with a common scatter (JCGM 100:2008, 4.2.3 and 5.1.2).
    """
    means = [math.fsum(map(math.log2, shots)) / len(shots) for shots in (above_s, below_s)]
    u = relative_scatter / math.log(2) * math.sqrt(1 / len(above_s) + 1 / len(below_s))
    interval = student_factor(degrees_of_freedom) * u
    difference = means[0] - means[1]
    return Approach(
        marked=marked,
        difference_stops=difference,
        u_difference_stops=u,
        interval_stops=interval,
        verdict="yes" if abs(difference) > interval else "no sign",
    )


def approaches(rows: Sequence[tuple[str, Sequence[float], Sequence[float]]]) -> tuple[Approach, ...]:
    """Compare the sides at every speed that was set from both, with the scatter that all of them share.

    Parameters
    ----------
    rows : sequence of (str, sequence of float, sequence of float)
        Mark, times set from above, times set from below. Speeds that scatter by themselves and were fired
        only once from either side are passed over.
    """
    pooled = pool([side for _, *sides in rows for side in sides])
    found = []
    for n, (marked, above, below) in enumerate(rows):
        shared = [p for p in pooled[2 * n : 2 * n + 2] if p is not None]
        if above and below and shared:
            larger = max(shared, key=lambda p: p.relative)
            found.append(
                approach(
                    marked,
                    above_s=above,
                    below_s=below,
                    relative_scatter=larger.relative,
                    degrees_of_freedom=larger.degrees_of_freedom,
                )
            )
    return tuple(found)
