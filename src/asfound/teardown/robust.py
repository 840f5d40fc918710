"""The middle and spread of a few values of which one or two may be far out."""

import math
import statistics
from collections.abc import Sequence


def robust_mean_and_spread(values: Sequence[float]) -> tuple[float, float | None]:
    """Return the robust mean and standard deviation; of one value no spread.

    Values are pulled in to 1.5 spreads from the middle until nothing changes: algorithm A of ISO 13528:2015, C.3
    (from memory), which begins with the median and 1.483 times the median absolute deviation. Where more than half
    of the values are equal that deviation is zero, and the ordinary standard deviation begins instead.

    Raises
    ------
    ValueError
        Without a value.
    """
    if not values:
        raise ValueError("no values")
    if len(values) == 1:
        return float(values[0]), None
    middle = statistics.median(values)
    spread = 1.483 * statistics.median(abs(v - middle) for v in values) or statistics.stdev(values)
    for _ in range(1000):
        low, high = middle - 1.5 * spread, middle + 1.5 * spread
        pulled = [min(max(v, low), high) for v in values]
        old = middle, spread
        middle = statistics.fmean(pulled)
        spread = 1.134 * _deviation(pulled, middle)
        if abs(middle - old[0]) + abs(spread - old[1]) <= 1e-9 * (abs(middle) + spread):
            break
    return middle, spread


def _deviation(values: Sequence[float], mean: float) -> float:
    """Return the standard deviation about a known mean; the library's exact fractions are slow."""
    return math.sqrt(math.fsum((v - mean) ** 2 for v in values) / (len(values) - 1))
