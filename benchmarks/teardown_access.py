"""What must come off to reach a part, on cameras of 1,000 parts with two ways to many of them.

The bound: under 1 s. Parts need some of those before them, drawn at random with a seed; a third can come off in a
second way. It is met where what a part needs lies near it, as on a camera, or where few parts matter; in between,
where hundreds of choices bear on each other, proving the least takes a few seconds.
"""

import random
import time
from collections.abc import Sequence

from benchmarks._table import Figure

from asfound.teardown.access import Way, reach_part


def camera(parts: int, seed: int, *, spread: int) -> dict[str, tuple[Way, ...]]:
    """Return the ways to take off each part; what it needs lies within `spread` parts before it."""
    dice = random.Random(seed)

    def way(n: int) -> Way:
        before = range(max(0, n - spread), n)
        needs = frozenset(f"part {m}" for m in dice.sample(before, min(len(before), dice.randint(1, 3))))
        return Way(needs=needs, minutes=dice.uniform(0.5, 10), risk_minutes=dice.choice((0.0, 0.5, 6.0)))

    return {f"part {n}": tuple(way(n) for _ in range(1 + (dice.random() < 1 / 3))) for n in range(parts)}


def main(brief: bool = False) -> Sequence[Figure]:
    """Measure and print."""
    longest = 0.0
    for spread in (5, 20, 100, 200, 1000):
        for seed in range(3):
            ways = camera(1000, seed, spread=spread)
            start = time.process_time()
            found = reach_part(ways, ["part 999"])
            seconds = time.process_time() - start
            longest = max(longest, seconds)
            proved = "proved" if found.proved else f"bound {found.lower_bound:.1f}"
            print(
                f"needs within {spread:4d} parts, seed {seed}: {len(found.steps)} off, "
                f"{found.minutes + found.risk_minutes:.0f} min with risk, {proved}; {seconds:.2f} s",
                flush=True,
            )
    return (Figure("access, 1,000 parts, the slowest of 15", f"{longest:.2f} s", "<= 1 s", longest <= 1),)


if __name__ == "__main__":
    main()
