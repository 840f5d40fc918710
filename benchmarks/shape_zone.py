"""How fast the minimum zone is found and proved; processor time, one thread.

The bounds: 100,000 edge points of a closed ring out of round by less than 5 % of its radius in 0.3 s; any
data in 5 s.
"""

import time
from collections.abc import Iterator, Sequence

import numpy as np
from benchmarks._table import Figure
from numpy.typing import NDArray
from scipy import optimize

from asfound.problems import BadInputError
from asfound.shape import minimum_zone

Points = NDArray[np.float64]
COUNT = 100_000


def ring(random: np.random.Generator, *, scatter: float, oval: float, lobes: float, turn: float = 2 * np.pi) -> Points:
    """Return points of a ring of radius 20 off the middle."""
    angle = random.uniform(0, turn, COUNT)
    radius = 20 + oval * np.cos(2 * angle) + lobes * np.cos(3 * angle + 1) + scatter * random.normal(size=COUNT)
    return np.column_stack([radius * np.cos(angle), radius * np.sin(angle)]) + np.array([3.0, -2.0])


def rings(random: np.random.Generator) -> Iterator[tuple[str, Points]]:
    """Yield closed rings, each within 5 % of its radius out of round."""
    yield "a photograph's ring", ring(random, scatter=0.01, oval=0.2, lobes=0.1)
    yield "scatter alone", ring(random, scatter=0.1, oval=0, lobes=0)
    yield "nearly round", ring(random, scatter=0.001, oval=0.002, lobes=0.001)
    yield "oval without scatter", ring(random, scatter=0, oval=0.45, lobes=0)
    yield "three lobes without scatter", ring(random, scatter=0, oval=0, lobes=0.45)
    yield "a true circle", ring(random, scatter=0, oval=0, lobes=0)
    even = np.round(ring(random, scatter=0.01, oval=0.2, lobes=0.1), 2)
    yield "rounded to hundredths: ties and duplicates", even


def others(random: np.random.Generator) -> Iterator[tuple[str, Points]]:
    """Yield data that are no closed ring."""
    yield "half a ring", ring(random, scatter=0.01, oval=0.1, lobes=0, turn=np.pi)
    yield "an arc of 20 degrees", ring(random, scatter=0.01, oval=0, lobes=0, turn=np.radians(20))
    yield "an arc of 3 degrees", ring(random, scatter=0.01, oval=0, lobes=0, turn=np.radians(3))
    yield "a solid square", random.uniform(-1, 1, (COUNT, 2))
    yield "a normal cloud", random.normal(size=(COUNT, 2))
    yield "a bar", random.uniform(-1, 1, (COUNT, 2)) * (1, 0.1)
    yield "a thin bar", random.uniform(-1, 1, (COUNT, 2)) * (1, 0.001)
    side = np.arange(316.0)
    yield "a square grid", np.column_stack([np.tile(side, 316), np.repeat(side, 316)])
    yield (
        "two rings",
        np.vstack([ring(random, scatter=0.01, oval=0, lobes=0), 2 * ring(random, scatter=0.01, oval=0, lobes=0)]),
    )
    yield "one far point", np.vstack([ring(random, scatter=0.01, oval=0, lobes=0), [[1e4, 0]]])


def measure(name: str, points: Points) -> float:
    """Print and return how long one set took."""
    start = time.process_time()
    try:
        zone = minimum_zone(points)
        proof = zone.certificate
        says = f"{zone.out_of_round_mm:.9f}, {'proved' if proof.proved else 'NOT PROVED'} in {proof.cells} cells"
    except BadInputError as refused:
        says = refused.problems[0].what
    seconds = time.process_time() - start
    print(f"  {name}: {seconds:.3f} s, {says}")
    return seconds


def main(brief: bool = False) -> Sequence[Figure]:
    """Measure both bounds."""
    random = np.random.default_rng(1)
    minimum_zone(random.normal(size=(100, 2)))
    figures = []
    for title, sets, bound in (("closed rings", rings(random), 0.3), ("any data", others(random), 5.0)):
        print(f"{title}, {COUNT} points each:")
        worst = max(measure(name, points) for name, points in sets)
        print(f"worst {worst:.3f} s; bound {bound} s")
        figures.append(
            Figure(f"minimum zone, {COUNT:,} points, {title}", f"{worst:.3f} s", f"<= {bound} s", worst <= bound)
        )
    return (*figures, *against_others(random))


def against_others(random: np.random.Generator) -> tuple[Figure, ...]:
    """Hold the proved zone against two general optimisers on the same 2,000 points."""
    points = ring(random, scatter=0.01, oval=0.2, lobes=0.1)[:2000]

    def width(centre: Points) -> float:
        return float(np.ptp(np.linalg.norm(points - centre, axis=1)))

    start = time.process_time()
    ours = minimum_zone(points).out_of_round_mm
    seconds = time.process_time() - start
    figures = []
    middle = points.mean(axis=0)
    near = [(x - 1, x + 1) for x in middle]
    for name, run in (
        (
            "Nelder-Mead",
            lambda: optimize.minimize(width, middle, method="Nelder-Mead", options={"xatol": 1e-9, "fatol": 1e-12}),
        ),
        ("differential evolution", lambda: optimize.differential_evolution(width, near, seed=1, tol=1e-12)),
    ):
        start = time.process_time()
        theirs = float(run().fun)
        spent = time.process_time() - start
        print(f"  {name}: {theirs:.9f} against {ours:.9f} proved; {spent:.2f} s against {seconds:.3f} s")
        figures.append(Figure(f"minimum zone against SciPy's {name}, 2,000 points",
                              f"theirs wider by {max(0.0, theirs - ours):.1e} mm, {spent / seconds:.1f} times the time",
                              "never narrower", theirs >= ours - 1e-9))  # fmt: skip
    return tuple(figures)


if __name__ == "__main__":
    main()
