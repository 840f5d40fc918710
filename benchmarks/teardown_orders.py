"""The way back at 25 and 60 steps, and the sequential ordering problem: proved or within which gap, in what time.

The bounds: proved at 25 steps; at 60 steps within 5 % of the best possible. Steps and costs are drawn at random, with a
seed; density is the share of pairs whose order is fixed. At 60 steps with costs of any kind the bound is met from 15 %
on and not below: there the gap printed is what is left.
"""

import random
import statistics
import time
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from benchmarks._table import Figure

from asfound.teardown.handling import Handling, fewest_changes
from asfound.teardown.ordering import shortest_order

TOOLS = ("fine blade", "wide blade", "spanner", "rubber plug", "tweezers", "")
POSES = ("lens up", "lens down", "door up", "")
Pairs = list[tuple[int, int]]


class Ordered(NamedTuple):
    """How a few orders of one sort went."""

    proved: int
    gaps: list[float]
    seconds: list[float]


def some_pairs(dice: random.Random, n: int, density: float) -> Pairs:
    """Return that share of all pairs, the earlier number first."""
    return [(i, j) for i in range(n) for j in range(i + 1, n) if dice.random() < density]


def way_back(n: int, density: float, seeds: int) -> Ordered:
    """Order the steps of random cameras with the fewest changes; return how it went."""
    proved, gaps, seconds = 0, [], []
    for seed in range(seeds):
        dice = random.Random(seed)
        asked = [Handling(tool=dice.choice(TOOLS), pose=dice.choice(POSES)) for _ in range(n)]
        start = time.process_time()
        found = fewest_changes(asked, some_pairs(dice, n, density))
        seconds.append(time.process_time() - start)
        proved += found.proved
        gaps.append(found.cost / found.lower_bound - 1 if found.lower_bound else 0.0)
    return Ordered(proved, gaps, seconds)


def setup(n: int, density: float, seeds: int) -> Ordered:
    """Order steps by random setup costs, as different one way and the other as can be; return how it went."""
    proved, gaps, seconds = 0, [], []
    for seed in range(seeds):
        dice = random.Random(seed)
        costs = np.random.default_rng(seed).integers(1, 100, (n, n))
        start = time.process_time()
        found = shortest_order(costs, some_pairs(dice, n, density))
        seconds.append(time.process_time() - start)
        proved += found.proved
        gaps.append(found.cost / found.lower_bound - 1 if found.lower_bound else 0.0)
    return Ordered(proved, gaps, seconds)


def _shown(sort: str, n: int, density: float, found: Ordered) -> Figure:
    """Print how one sort of order went, and return it beside its bound."""
    slowest, gap = max(found.seconds), max(found.gaps)
    print(
        f"  {n:3d} steps, {density:4.0%} of pairs fixed: proved {found.proved} of {len(found.gaps)}, "
        f"gap at most {gap:.1%}; {statistics.median(found.seconds):.2f} s, at most {slowest:.2f} s",
        flush=True,
    )
    told = f"proved {found.proved} of {len(found.gaps)}, gap at most {gap:.1%}, at most {slowest:.2f} s"
    what = f"{sort}, {n} steps, {density:.0%} of pairs fixed"
    if n == 25:
        return Figure(what, told, "proved", found.proved == len(found.gaps))
    return Figure(what, told, "within 5 %", gap <= 0.05)


def main(brief: bool = False) -> Sequence[Figure]:
    """Measure and print both."""
    figures = []
    print("way back: fewest changes of tool and turnings over")
    for n in (25, 60):
        for density in (0.05, 0.15, 0.4):
            figures.append(_shown("way back", n, density, way_back(n, density, 3 if brief else 5)))
    print("setup costs of any kind (the sequential ordering problem)")
    for n, density in ((25, 0.0), (25, 0.05), (25, 0.15), (25, 0.4), (60, 0.05), (60, 0.1), (60, 0.15), (60, 0.4)):
        figures.append(_shown("any setup costs", n, density, setup(n, density, 1 if brief else 3)))
    return figures


if __name__ == "__main__":
    main()
