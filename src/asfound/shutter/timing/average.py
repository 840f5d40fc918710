"""Several fitted shapes into one result, each weighted by how likely it is."""

import math
from dataclasses import dataclass

import numpy as np

from asfound.shutter.timing.coupling import Floats
from asfound.shutter.timing.disturbance import expected
from asfound.shutter.timing.fit import Binned, Fitted

SKIRT = 0.4  # share of an edge's length to either side of it in which a wrong shape may leave light over


@dataclass(frozen=True, slots=True, kw_only=True)
class Averaged:
    """What the fits say together; times in seconds."""

    effective_s: float
    u_random_s: float
    half_level_s: float
    total_s: float
    opening_s: float
    closing_s: float
    first_s: float


def average(fits: list[Fitted], binned: Binned, *, noise_rms: float) -> Averaged:
    """Return the mean of the fits by their likelihood, with what divides them in the uncertainty.

    Notes
    -----
    Weights exp(-chi-square / 2): the shapes have equally many parameters and equal prior chances. Variance:
    within each shape plus between the shapes.
    """
    least = min(fitted.chi_square for fitted in fits)
    weight = np.array([math.exp(-min(700.0, (fitted.chi_square - least) / 2)) for fitted in fits])
    weight /= weight.sum()
    unsure = [_unsure(weight, fits, which) for which in (0, 1)]
    missed = [_missed(fitted, binned, unsure, noise_rms) for fitted in fits]
    times = np.array([fitted.effective_s + light for fitted, (light, _) in zip(fits, missed, strict=True)])
    own = np.array([fitted.u_effective_s**2 + u**2 for fitted, (_, u) in zip(fits, missed, strict=True)])
    mean = float(weight @ times)
    variance = float(weight @ (own + (times - mean) ** 2))

    def mixed(values: list[float]) -> float:
        return float(weight @ np.array(values))

    return Averaged(
        effective_s=mean,
        u_random_s=math.sqrt(variance),
        half_level_s=mixed([f.half_level_s for f in fits]),
        total_s=mixed([f.edges.last_s - f.edges.first_s for f in fits]),
        opening_s=mixed([f.edges.opening_s for f in fits]),
        closing_s=mixed([f.edges.closing_s for f in fits]),
        first_s=mixed([f.edges.first_s for f in fits]),
    )


def _unsure(weight: Floats, fits: list[Fitted], which: int) -> float:
    """Return 1 where either shape of an edge is at all likely, 0 where one is certain."""
    straight = sum(float(w) for w, f in zip(weight, fits, strict=True) if f.shapes[which] == "area")
    return min(1.0, 15 * straight * (1 - straight))


def _missed(fitted: Fitted, binned: Binned, unsure: list[float], noise: float) -> tuple[float, float]:
    """Return the light that a fit leaves over at its edges, and the uncertainty that adds; in seconds.

    A shape that is not the true one misses a little light. Where the data cannot tell the shapes apart that
    would be a bias, so it is summed, in the measure in which they cannot be told apart; where they can,
    nothing is added. Within an edge the fit has used the noise already; outside it is new.
    """
    if max(unsure) < 0.01:
        return 0.0, 0.0
    edges = fitted.edges
    begins = ((edges.first_s, edges.opening_s), (edges.last_s - edges.closing_s, edges.closing_s))
    residual = binned.mean - expected(binned.time_s, fitted)
    light = variance = 0.0
    for share, (first, length) in zip(unsure, begins, strict=True):
        since = (binned.time_s - first) / length
        near = (since > -SKIRT) & (since < 1 + SKIRT)
        outside = near & ((since < 0) | (since > 1))
        scale = share * binned.step_s / fitted.plateau
        light += scale * float(residual[near] @ binned.count[near])
        variance += (scale * noise) ** 2 * float(binned.count[outside].sum())
    return light, math.sqrt(variance)
