"""State levels and crossings of a two-state signal, and where a fit of its edges may begin."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def state_levels(samples: NDArray[np.floating], *, bins: int = 100) -> tuple[float, float]:
    """Return the low and the high level: the mode of each half of the histogram.

    Parameters
    ----------
    samples : ndarray, shape (n,)
    bins : int
        Of the histogram from the least to the greatest sample.

    Notes
    -----
    IEEE 181-2003, the histogram method, as a general toolbox describes it. Without noise each level is
    biased by half a bin.
    """
    count, bounds = np.histogram(samples, bins=bins)
    middle = (bounds[:-1] + bounds[1:]) / 2
    half = bins // 2
    return float(middle[:half][count[:half].argmax()]), float(middle[half:][count[half:].argmax()])


def crossings(samples: NDArray[np.floating], level: float) -> tuple[Floats, Floats]:
    """Return where the samples rise through `level` and where they fall through it.

    Linear interpolation between two samples; in samples from the first one.
    """
    above = samples >= level
    change = np.flatnonzero(above[1:] != above[:-1])
    before, after = samples[change].astype(np.float64), samples[change + 1].astype(np.float64)
    place = change + (level - before) / (after - before)
    rising = above[change + 1]
    return place[rising], place[~rising]


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One sharp change, roughly: its ends' levels, its middle and its length (in samples)."""

    before: float
    after: float
    middle: float
    length: float


def rough_rise(samples: Floats, *, base: float, top: float) -> Step | None:
    """Return the first rise from `base` to `top`, from its half level outwards.

    Outwards, so that a spike of noise far from the rise is not taken for its beginning.
    """
    low, half, high = (base + share * (top - base) for share in (0.2, 0.5, 0.8))
    middle = _first_at(samples, half)
    if middle is None:
        return None
    at = int(middle)
    below, above = np.flatnonzero(samples[: at + 1] < low), np.flatnonzero(samples[at:] >= high)
    begin = float(below[-1]) if below.size else 0.0
    end = at + float(above[0]) if above.size else float(samples.size)
    return Step(before=base, after=top, middle=middle, length=max(1.0, (end - begin) / 0.6))


def _first_at(samples: Floats, level: float) -> float | None:
    """Return where the samples first rise through `level`; what is above it from the beginning is no rise."""
    above = samples >= level
    rises = np.flatnonzero(above[1:] & ~above[:-1])
    if not rises.size:
        return 0.0 if above.any() else None
    at = int(rises[0])
    before, after = samples[at], samples[at + 1]
    return float(at + (level - before) / (after - before))
