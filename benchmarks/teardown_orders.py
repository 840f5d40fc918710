"""The way back at 25 and 60 steps, and the sequential ordering problem: proved or within which gap, in what time.

The bounds: proved at 25 steps; at 60 steps within 5 % of the best possible. Steps and costs are drawn at random, with a
seed; density is the share of pairs whose order is fixed. At 60 steps with costs of any kind the bound is met from 15 %
on and not below: there the gap printed is what is left.
"""

import random
import statistics
import time

import numpy as np

from asfound.teardown.handling import Handling, fewest_changes
from asfound.teardown.ordering import shortest_order

TOOLS = ("fine blade", "wide blade", "spanner", "rubber plug", "tweezers", "")
POSES = ("lens up", "lens down", "door up", "")
Pairs = list[tuple[int, int]]


def some_pairs(dice: random.Random, n: int, density: float) -> Pairs:
    """Return that share of all pairs, the earlier number first."""
    return [(i, j) for i in range(n) for j in range(i + 1, n) if dice.random() < density]


def way_back(n: int, density: float, seeds: int) -> str:
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
    return _line(n, density, proved, gaps, seconds)


def setup(n: int, density: float, seeds: int) -> str:
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
    return _line(n, density, proved, gaps, seconds)


def _line(n: int, density: float, proved: int, gaps: list[float], seconds: list[float]) -> str:
    middle = statistics.median(seconds)
    return (
        f"{n:3d} steps, {density:4.0%} of pairs fixed: proved {proved} of {len(gaps)}, "
        f"gap at most {max(gaps):.1%}; {middle:.2f} s, at most {max(seconds):.2f} s"
    )


def main() -> None:
    """Measure and print both."""
    print("way back: fewest changes of tool and turnings over")
    for n in (25, 60):
        for density in (0.05, 0.15, 0.4):
            print(f"  {way_back(n, density, 5)}", flush=True)
    print("setup costs of any kind (the sequential ordering problem)")
    for n, density in ((25, 0.0), (25, 0.05), (25, 0.15), (25, 0.4), (60, 0.05), (60, 0.1), (60, 0.15), (60, 0.4)):
        print(f"  {setup(n, density, 3)}", flush=True)


if __name__ == "__main__":
    main()
