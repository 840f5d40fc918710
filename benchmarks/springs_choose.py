"""How fast a new spring is chosen: raw designs a second, and a space of 1e8 with pruning; processor time.

The bounds: 15 million evaluated designs a second on one core; 1e8 in under 5 s, identical to looking at all.
"""

import time
from collections.abc import Sequence

from benchmarks._table import Figure

from asfound.springs.choose import steps, wire_choices
from asfound.springs.search import Demands, Grid, search
from asfound.springs.torsion import CONSTANTS
from asfound.springs.wire import MATERIALS, sold_sizes


def grid(diameters: int, turns: int, preloads: int) -> Grid:
    """Return a grid of all sold wires and as many diameters, turns and preloads."""
    wires, _ = wire_choices(MATERIALS, sold_sizes(thickest_mm=1.0))
    return Grid(
        wires=wires,
        mean_diameters_mm=steps(3.0, 3.0 + 5.0 * (diameters - 1) / diameters, 5.0 / diameters)[:diameters],
        whole_turns=tuple(range(2, 2 + turns)),
        preloads_deg=steps(5.0, 400.0, 395.0 / (preloads - 1))[:preloads],
        erected_leg_angle_deg=80.0,
        leg_lengths_mm=(9.0, 11.0),
    )


DEMANDS = Demands(
    erected_n_mm=12.3,
    folded_n_mm=15.1,
    travel_deg=87.0,
    pin_mm=2.53,
    outside_mm=7.47,
    cheeks_mm=6.53,
    constant=CONSTANTS["textbook"],
)


def main(brief: bool = False) -> Sequence[Figure]:
    """Measure and print both bounds."""
    small = grid(40, 10, 60)
    start = time.process_time()
    whole = search(small, DEMANDS, keep=20, prune=False)
    seconds = time.process_time() - start
    print(f"without pruning: {small.size:.3g} designs, {seconds:.3f} s")
    print(f"  of these worked out (the rest cannot be a coil there): {whole.evaluated:.3g}")
    rate = whole.evaluated / seconds / 1e6
    print(f"  {rate:.1f} M/s on one core")
    same = search(small, DEMANDS, keep=20).found == whole.found
    print(f"  with pruning the same answer: {same}")
    pruned = []
    for name, each in (("the best 20", False), ("the best of each wire", True)):
        large = grid(200, 20, 250)
        start = time.process_time()
        result = search(large, DEMANDS, keep=1 if each else 20, each_wire=each)
        seconds = time.process_time() - start
        pruned.append(seconds)
        print(f"pruned, {name}: {large.size:.3g} designs in {seconds:.3f} s, {result.evaluated:.3g} worked out")
        print(f"  {result.evaluated / seconds / 1e6:.1f} M/s worked out, {len(result.found)} found")
    large = grid(200, 20, 250)
    start = time.process_time()
    whole = search(large, DEMANDS, keep=20, prune=False)
    seconds = time.process_time() - start
    print(f"without pruning: {large.size:.3g} designs in {seconds:.2f} s")
    alike = search(large, DEMANDS, keep=20).found == whole.found
    print(f"  with pruning the same answer: {alike}")
    return (
        Figure("springs searched, one core, without pruning", f"{rate:.0f} million designs a second"),
        Figure(f"springs, {large.size:.2g} designs with pruning", f"{pruned[0]:.2f} s; unpruned {seconds:.2f} s",
               "the same answer", alike),
    )  # fmt: skip


if __name__ == "__main__":
    main()
