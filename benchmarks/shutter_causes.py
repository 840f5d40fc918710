"""How often the cause of a simulated shutter's errors is named, against the best that could be.

Every shutter is drawn anew and given one fault (0.3 to 2 stops, single shots scattering by 3 %). The ceiling is
the classifier that knows the simulator: the likelihood of the shots under each kind, averaged over shutters
drawn from the very generator. Accuracy on one's own simulator is not accuracy in the field.

``python benchmarks/shutter_causes.py --dials 200 --draws 6000``
"""

import argparse
import time
from collections.abc import Sequence

import numpy as np
from benchmarks._table import Figure
from numpy.typing import NDArray
from scipy.special import logsumexp, xlog1py, xlogy

from asfound.shutter.causes.weighing import why
from asfound.shutter.simulated.faulty import KINDS, UNEVEN_STOPS, Readings, draw_cameras, spoil
from asfound.shutter.speeds.groups import USUAL_TRAIN
from asfound.shutter.speeds.series import Shot, Speed

MARKS = {"1": 1.0} | {f"1/{n}": 1 / n for n in (2, 5, 10, 25, 50, 100, 250)}
SIDES = (1, 1, -1, -1)
Bools = NDArray[np.bool_]
Floats = NDArray[np.float64]


def usable(kind: str, count: int, sides: Sequence[int], generator: np.random.Generator) -> Readings:
    """Return readings of so many usable shutters of a kind."""
    kept: list[Readings] = []
    while sum(r.scatter_stops.size for r in kept) < count:
        readings, good = spoil(kind, draw_cameras(count, list(MARKS.values()), generator), sides, generator)
        kept.append(of(readings, good))
    joined = Readings(
        error_stops=np.concatenate([r.error_stops for r in kept]),
        scatter_stops=np.concatenate([r.scatter_stops for r in kept]),
        stalls=np.concatenate([r.stalls for r in kept]),
        rebounds=np.concatenate([r.rebounds for r in kept]),
    )
    return of(joined, np.arange(joined.scatter_stops.size) < count)


def of(readings: Readings, which: Bools) -> Readings:
    """Return some of the readings."""
    return Readings(
        error_stops=readings.error_stops[which],
        scatter_stops=readings.scatter_stops[which],
        stalls=readings.stalls[which],
        rebounds=readings.rebounds[which],
    )


def shoot(readings: Readings, generator: np.random.Generator) -> tuple[Floats, Bools]:
    """Return errors of single shots (not a number where one never closed), and which of them rebounded."""
    shape = readings.error_stops.shape
    uneven = generator.normal(0, UNEVEN_STOPS, (*shape[:2], 1))
    errors = readings.error_stops + uneven + readings.scatter_stops[:, None, None] * generator.normal(size=shape)
    stalled = generator.random(shape) < readings.stalls[..., None]
    rebounded = (generator.random(shape) < readings.rebounds[..., None]) & ~stalled
    return np.where(stalled, np.nan, errors), rebounded


def speeds_of(errors: Floats, rebounded: Bools, sides: Sequence[int]) -> tuple[Speed, ...]:
    """Return one dial as the judge takes it."""
    return tuple(
        Speed(
            marked=mark,
            nominal_s=nominal,
            group=USUAL_TRAIN.group(nominal),
            shots=tuple(
                Shot(time_s=None if np.isnan(e) else nominal * 2**e, side=side, rebound=bool(r))
                for e, side, r in zip(row, sides, back, strict=True)
            ),
        )
        for (mark, nominal), row, back in zip(MARKS.items(), errors, rebounded, strict=True)
    )


def log_likelihood(readings: Readings, errors: Floats, rebounded: Bools) -> float:
    """Return the log likelihood of one dial averaged over the drawn shutters of one kind."""
    timed = ~np.isnan(errors)
    n = timed.sum(axis=1)
    left = np.where(timed, errors - readings.error_stops, 0.0)
    variance = readings.scatter_stops[:, None] ** 2
    shared = variance + n * UNEVEN_STOPS**2
    mean = left.sum(axis=2) / np.maximum(n, 1)
    within = np.sum(np.where(timed, left - mean[..., None], 0.0) ** 2, axis=2)
    normal = np.log(2 * np.pi) * n + np.maximum(n - 1, 0) * np.log(variance) + (n > 0) * np.log(shared)
    total = -0.5 * (normal + within / variance + n * mean**2 / shared)
    stalls, back = (~timed).sum(axis=1), rebounded.sum(axis=1)
    total += xlogy(stalls, readings.stalls) + xlog1py(n, -readings.stalls)
    total += xlogy(back, readings.rebounds) + xlog1py(n - back, -readings.rebounds)
    summed = total.sum(axis=1)
    return float(logsumexp(summed) - np.log(summed.size))


def confusion(dials: int, draws: int, seed: int, sides: Sequence[int]) -> tuple[NDArray[np.int64], float, float]:
    """Return the confusion table of the judge, and how often the ceiling is right with half and all draws."""
    generator = np.random.default_rng(seed)
    models = {kind: usable(kind, draws, sides, generator) for kind in KINDS}
    halves = {kind: of(model, np.arange(draws) < draws // 2) for kind, model in models.items()}
    table = np.zeros((len(KINDS), len(KINDS) + 1), dtype=np.int64)
    right = right_half = 0
    for truth, kind in enumerate(KINDS):
        for errors, rebounded in zip(*shoot(usable(kind, dials, sides, generator), generator), strict=True):
            named = why(speeds_of(errors, rebounded, sides), condition="clean").causes[0].cause
            table[truth, KINDS.index(named) if named in KINDS else -1] += 1
            right += int(np.argmax([log_likelihood(models[k], errors, rebounded) for k in KINDS])) == truth
            right_half += int(np.argmax([log_likelihood(halves[k], errors, rebounded) for k in KINDS])) == truth
    total = dials * len(KINDS)
    return table, right_half / total, right / total


def main(brief: bool = False) -> Sequence[Figure]:
    """Print the confusion table and the share of the ceiling that is reached."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--dials", type=int, default=30 if brief else 150, help="of each kind")
    parser.add_argument("--draws", type=int, default=2000 if brief else 6000, help="for the ceiling, of each kind")
    parser.add_argument("--seed", type=int, default=516)
    parser.add_argument("--one-side", action="store_true", help="three shots, all set from above, as most are taken")
    asked = parser.parse_args()
    sides = (1, 1, 1) if asked.one_side else SIDES
    start = time.perf_counter()
    table, half, ceiling = confusion(asked.dials, asked.draws, asked.seed, sides)
    names = [*KINDS, "something else"]
    shot = "3 shots, all from above," if asked.one_side else "4 shots, two from each side,"
    print(f"{asked.dials} dials of each kind, {shot} at each of {len(MARKS)} speeds")
    print("true kind        named " + " ".join(f"{name[:9]:>9}" for name in names))
    for kind, row in zip(KINDS, table, strict=True):
        print(f"{kind:<22} " + " ".join(f"{n:>9}" for n in row))
    right = np.trace(table[:, :-1]) / table.sum()
    print(f"named rightly: {right:.3f}")
    print(f"ceiling: {ceiling:.3f} ({half:.3f} with half the draws)")
    print(f"share of the ceiling: {right / ceiling:.3f} (wanted: 0.95), {time.perf_counter() - start:.0f} s")
    print("Accuracy on one's own simulator is not accuracy in the field.")
    told = f"cause named rightly, share of what can be known, {asked.dials} dials of each kind (own simulator)"
    return (Figure(told, f"{right / ceiling:.3f}", ">= 0.95", bool(right / ceiling >= 0.95)),)


if __name__ == "__main__":
    main()
