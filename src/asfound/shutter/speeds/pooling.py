"""Scatter of single shots, pooled over speeds that scatter alike.

Three shots and Student's t leave almost every speed undecided. The speeds of one shutter usually scatter by
about the same share of their time; where a test lets that stand, they share one figure.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from scipy.special import chdtrc

# Speeds are taken for comparable unless their difference would be rarer than this by chance.
COMPARABLE_FROM = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Pooled:
    """The scatter that speeds have in common.

    Attributes
    ----------
    relative : float
        Standard deviation of one shot as a share of its time.
    degrees_of_freedom : int
    chance : float or None
        How often speeds that scatter alike would look as different as these; None from one speed alone.
    speeds : tuple of int
        Places of the speeds that share it.
    """

    relative: float
    degrees_of_freedom: int
    chance: float | None
    speeds: tuple[int, ...]


def relative_scatter(shots_s: Sequence[float]) -> float:
    """Return the standard deviation of the logarithms of the times, a share of the time; two shots at least.

    Notes
    -----
    For small scatter it equals s / mean (JCGM 100:2008, 5.1.6, relative variances).
    """
    logs = [math.log(t) for t in shots_s]
    mean = math.fsum(logs) / len(logs)
    return math.sqrt(math.fsum((x - mean) ** 2 for x in logs) / (len(logs) - 1))


def bartlett(variances: Sequence[float], degrees_of_freedom: Sequence[int]) -> float:
    """Return how often equal variances would look as different as these by chance.

    Parameters
    ----------
    variances : sequence of float
        Two or more, each above zero.
    degrees_of_freedom : sequence of int
        That each rests on.

    Notes
    -----
    Bartlett's test with its correction: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.7 (from
    memory). Times are taken as log-normal.
    """
    total, groups = sum(degrees_of_freedom), len(variances)
    mean = math.fsum(f * v for v, f in zip(variances, degrees_of_freedom, strict=True)) / total
    spread = math.fsum(f * math.log(mean / v) for v, f in zip(variances, degrees_of_freedom, strict=True))
    correction = 1 + (math.fsum(1 / f for f in degrees_of_freedom) - 1 / total) / (3 * (groups - 1))
    return float(chdtrc(groups - 1, spread / correction))


def pool(shots_s: Sequence[Sequence[float]]) -> tuple[Pooled | None, ...]:
    """Return for each speed the scatter it shares, or None where it has to stand by itself.

    While the speeds are not comparable, the one that scatters most is set aside; those set aside are then
    tried among themselves.

    Parameters
    ----------
    shots_s : sequence of sequence of float
        Times of the shots of each speed, above zero.

    Returns
    -------
    tuple of Pooled or None
        In the order of the speeds. A speed of one shot takes the figure of the quietest. Speeds whose shots
        agree to the last digit are left out: such times were rounded or copied.
    """
    variances = {i: relative_scatter(t) ** 2 for i, t in enumerate(shots_s) if len(t) > 1}
    waiting = sorted((i for i, v in variances.items() if v > 0), key=lambda i: variances[i])
    single = tuple(i for i, t in enumerate(shots_s) if len(t) == 1)
    found: list[Pooled | None] = [None] * len(shots_s)
    while len(waiting) > 1:
        shared = _largest_shared(shots_s, variances, waiting, single)
        if shared is None:
            waiting, single = waiting[1:], ()
            continue
        for i in shared.speeds:
            found[i] = shared
        waiting, single = [i for i in waiting if i not in shared.speeds], ()
    return tuple(found)


def _largest_shared(
    shots_s: Sequence[Sequence[float]], variances: dict[int, float], waiting: list[int], single: tuple[int, ...]
) -> Pooled | None:
    for end in range(len(waiting), 1, -1):
        alike = waiting[:end]
        freedom = [len(shots_s[i]) - 1 for i in alike]
        chance = bartlett([variances[i] for i in alike], freedom)
        if chance >= COMPARABLE_FROM:
            mean = math.fsum(variances[i] * f for i, f in zip(alike, freedom, strict=True)) / sum(freedom)
            speeds = tuple(sorted((*alike, *single)))
            return Pooled(relative=math.sqrt(mean), degrees_of_freedom=sum(freedom), chance=chance, speeds=speeds)
    return None
