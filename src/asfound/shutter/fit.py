"""Fit a whole firing: dark level, full level, coupling, and start and length of both edges."""

import math
from dataclasses import dataclass
from itertools import product
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from asfound.shutter.coupling import Floats, power_responses
from asfound.shutter.simulate import DARK_SHARE, HALF_SHARE

Shapes = tuple[Literal["area", "diameter"], Literal["area", "diameter"]]
ALL_SHAPES: tuple[Shapes, ...] = tuple(product(("area", "diameter"), repeat=2))  # type: ignore[arg-type]


@dataclass(frozen=True, slots=True, eq=False)
class Binned:
    """A stretch of samples averaged over bins: fine at the edges of the light, coarse far from them.

    Attributes
    ----------
    time_s, mean : ndarray, shape (m,)
        Middle of each bin and mean of its samples.
    count : ndarray, shape (m,)
        Samples in each bin.
    """

    time_s: Floats
    mean: Floats
    count: Floats

    def without(self, start_s: float, stop_s: float) -> "Binned":
        """Return the bins outside a stretch of time."""
        keep = (self.time_s < start_s) | (self.time_s > stop_s)
        return Binned(self.time_s[keep], self.mean[keep], self.count[keep])


@dataclass(frozen=True, slots=True, kw_only=True)
class Edges:
    """First light, length of the opening, last light and length of the closing; in seconds."""

    first_s: float
    opening_s: float
    last_s: float
    closing_s: float


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Fitted:
    """One model fitted to one firing.

    Attributes
    ----------
    edges : Edges
    shapes : tuple of str
    pole_per_s : float
        Of the high pass; near zero when none is seen.
    plateau, base : float
        Change of the signal when fully open, and the signal in the dark.
    chi_square : float
        Sum of squared residuals over the noise.
    covariance : ndarray, shape (4, 4)
        Of the edges, in their order.
    """

    edges: Edges
    shapes: Shapes
    pole_per_s: float
    plateau: float
    base: float
    tail: float
    chi_square: float
    free: int
    covariance: Floats

    @property
    def effective_s(self) -> float:
        return float(self._weights() @ _vector(self.edges))

    @property
    def u_effective_s(self) -> float:
        """Standard uncertainty from noise."""
        weights = self._weights()
        return math.sqrt(max(0.0, float(weights @ self.covariance @ weights)))

    @property
    def half_level_s(self) -> float:
        e, (opening, closing) = self.edges, self.shapes
        dark = HALF_SHARE[opening] * e.opening_s + HALF_SHARE[closing] * e.closing_s
        return e.last_s - e.first_s - dark

    def _weights(self) -> Floats:
        opening, closing = self.shapes
        return np.array([-1.0, -DARK_SHARE[opening], 1.0, -DARK_SHARE[closing]])


def _vector(edges: Edges) -> Floats:
    return np.array([edges.first_s, edges.opening_s, edges.last_s, edges.closing_s])


def bin_around(samples: NDArray[np.floating], *, sample_rate_hz: float, edges: Edges, spread: float = 0.04) -> Binned:
    """Average samples over bins that widen with the distance from the nearer edge.

    A bin is at most `spread` of its distance from the edges wide, so that an exponential that starts
    there is straight within it; within an edge it is at most a hundredth of the edge.
    """
    bounds = _bin_bounds(samples.size, sample_rate_hz, edges, spread)
    sums = np.add.reduceat(samples.astype(np.float64, copy=False), bounds[:-1])
    count = np.diff(bounds).astype(np.float64)
    time = (bounds[:-1] + (count - 1) / 2) / sample_rate_hz
    return Binned(time, sums / count, count)


def _bin_bounds(size: int, sample_rate_hz: float, edges: Edges, spread: float) -> NDArray[np.intp]:
    opening, closing = edges.opening_s, edges.closing_s
    zones = (
        (edges.first_s - opening / 2, edges.first_s + 1.5 * opening, opening),
        (edges.last_s - 1.5 * closing, edges.last_s + closing / 2, closing),
    )
    inner = [[int(min(max(at * sample_rate_hz, 0), size)) for at in zone[:2]] for zone in zones]
    steps = [max(1, int(length * sample_rate_hz / 100)) for *_, length in zones]
    middle = max(inner[0][1], min(inner[1][0], size))
    centre = (inner[0][1] + middle) // 2
    parts = [
        inner[0][0] - _widening(inner[0][0], steps[0], spread)[::-1],
        np.arange(inner[0][0], inner[0][1], steps[0]),
        inner[0][1] + _widening(centre - inner[0][1], steps[0], spread),
        middle - _widening(middle - centre, steps[1], spread)[::-1],
        np.arange(middle, inner[1][1], steps[1]),
        max(inner[1][1], middle) + _widening(size - max(inner[1][1], middle), steps[1], spread),
        np.array([0, size]),
    ]
    return np.unique(np.concatenate(parts).astype(np.intp))


def _widening(length: int, first: int, spread: float) -> NDArray[np.intp]:
    """Return distances 0 ... length, each step at most `spread` of the distance (at least `first`)."""
    if length <= 0:
        return np.empty(0, np.intp)
    near = np.arange(0, min(length, int(first / spread)), first)
    last = max(near[-1], first)
    if last >= length:
        return near
    steps = int(np.log(length / last) / np.log1p(spread)) + 1
    far = last * (1 + spread) ** np.arange(1, steps + 1)
    return np.unique(np.concatenate([near, np.minimum(far, length).astype(np.intp)]))


def model(time_s: Floats, edges: Edges, shapes: Shapes, pole_per_s: float) -> tuple[Floats, Floats]:
    """Return the light after the coupling, and its derivatives by the four edge times.

    Returns
    -------
    light : ndarray, shape (m,)
    slopes : ndarray, shape (4, m)
    """
    rise, by_first, by_opening = _opening(time_s, edges.first_s, edges.opening_s, shapes[0], pole_per_s)
    fall, by_last, by_closing = _closing(time_s, edges.last_s, edges.closing_s, shapes[1], pole_per_s)
    return rise + fall, np.stack([by_first, by_opening, by_last, by_closing])


def _opening(time: Floats, first: float, length: float, shape: str, pole: float) -> tuple[Floats, Floats, Floats]:
    poles = (pole,)
    step0, ramp0, square0 = power_responses(time - first, poles)
    step1, ramp1, square1 = power_responses(time - first - length, poles)
    if shape == "area":
        rise = (ramp0 - ramp1) / length
        by_first = (step1 - step0) / length
        return rise, by_first, (step1 - rise) / length
    rise = (square0 - square1 - 2 * length * ramp1) / length**2
    by_first = 2 * (ramp1 + length * step1 - ramp0) / length**2
    return rise, by_first, 2 * (step1 - rise) / length


def _closing(time: Floats, last: float, length: float, shape: str, pole: float) -> tuple[Floats, Floats, Floats]:
    poles = (pole,)
    step0, ramp0, square0 = power_responses(time - last + length, poles)
    step1, ramp1, square1 = power_responses(time - last, poles)
    if shape == "area":
        fall = (ramp1 - ramp0) / length
        by_last = (step0 - step1) / length
        return fall, by_last, -(step0 + fall) / length
    # (1 - v)^2 with v = (t - start)/length, level again from `last` on
    fall = (square0 - square1) / length**2 - 2 * ramp0 / length
    by_last = (-2 * ramp0 + 2 * ramp1) / length**2 + 2 * step0 / length
    by_length = 2 * ramp0 / length**2 - 2 * (square0 - square1) / length**3 - 2 * step0 / length + 2 * ramp0 / length**2
    return fall, by_last, by_length


MAX_POLE_PER_S = 2 * np.pi * 80
_STEPS = 40
_DONE = 1e-4  # fall of chi-square still to be had: a hundredth of a standard uncertainty


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """Where a fit begins."""

    edges: Edges
    pole_per_s: float
    plateau: float
    base: float


def fit_shapes(binned: Binned, *, noise_rms: float, start: Start, shapes: Shapes, tail: bool = False) -> Fitted:
    """Fit one pair of shapes by damped least squares.

    Parameters
    ----------
    binned : Binned
    noise_rms : float
        Of one sample, more than zero.
    start : Start
    shapes : tuple of str
        Of the opening and of the closing.
    tail : bool
        Let the droop of an earlier firing die away through this one.
    """
    weight = np.sqrt(binned.count) / noise_rms
    vector = np.array([*_vector(start.edges), start.pole_per_s, start.plateau, start.base, 0.0])
    vector = vector if tail else vector[:-1]
    residual, jacobian = _linearise(binned, weight, vector, shapes)
    chi, damping = float(residual @ residual), 1e-3
    for _ in range(_STEPS):
        normal, slope = jacobian.T @ jacobian, jacobian.T @ residual
        step = _damped(normal, slope, damping)
        trial = _limited(vector, step, binned)
        new_residual, new_jacobian = _linearise(binned, weight, trial, shapes)
        new_chi = float(new_residual @ new_residual)
        if new_chi <= chi:
            gained, chi = chi - new_chi, new_chi
            vector, residual, jacobian = trial, new_residual, new_jacobian
            damping = max(damping / 8, 1e-9)
            if gained < _DONE:
                break
        else:
            damping *= 6
            if damping > 1e8:
                break
    return _fitted(vector, jacobian, shapes, chi, binned.count.size)


def _scale(normal: Floats) -> Floats:
    size = np.sqrt(np.diag(normal))
    return np.where(size > 0, size, 1.0)


def _damped(normal: Floats, slope: Floats, damping: float) -> Floats:
    scale = _scale(normal)
    scaled = normal / np.outer(scale, scale) + damping * np.eye(scale.size)
    return np.asarray(np.linalg.solve(scaled, slope / scale) / scale, dtype=np.float64)


def _limited(vector: Floats, step: Floats, binned: Binned) -> Floats:
    """Take the step, but no edge by more than half its length nor below one sample, no absurd pole."""
    finest = float(np.diff(binned.time_s).min())
    for first, length in ((0, 1), (2, 3)):
        most = vector[length] / 2 + finest
        step[first : length + 1] *= min(1.0, most / max(float(np.abs(step[first : length + 1]).max()), 1e-12))
    moved = vector + step
    moved[1], moved[3] = max(moved[1], finest), max(moved[3], finest)
    # Blades that close before they are open look the same as wider ones with a plateau: forbid it.
    together = (moved[2] - moved[0]) / max(moved[1] + moved[3], 1e-12)
    if 0 < together < 1:
        moved[[1, 3]] *= together
    duration = binned.time_s[-1] - binned.time_s[0]
    moved[4] = min(max(moved[4], -0.3 / duration), MAX_POLE_PER_S)
    return moved


def _linearise(binned: Binned, weight: Floats, vector: Floats, shapes: Shapes) -> tuple[Floats, Floats]:
    """Return the weighted residuals and the derivatives of the weighted model by the vector."""
    time, pole, plateau = binned.time_s, float(vector[4]), float(vector[5])
    edges = Edges(first_s=vector[0], opening_s=vector[1], last_s=vector[2], closing_s=vector[3])
    light, slopes = model(time, edges, shapes, pole)
    small = 1e-4 / (time[-1] - time[0]) + 1e-4 * abs(pole)
    by_pole = (model(time, edges, shapes, pole + small)[0] - light) / small
    columns = [*(plateau * slopes), plateau * by_pole, light, np.ones_like(time)]
    expected = vector[6] + plateau * light
    if vector.size == 8:
        since = time - time[0]
        decay = np.exp(-pole * since)
        columns[4] = columns[4] - vector[7] * since * decay
        columns.append(decay)
        expected = expected + vector[7] * decay
    return (binned.mean - expected) * weight, (np.stack(columns) * weight).T


def _fitted(vector: Floats, jacobian: Floats, shapes: Shapes, chi: float, bins: int) -> Fitted:
    normal = jacobian.T @ jacobian
    scale = _scale(normal)
    covariance = np.linalg.pinv(normal / np.outer(scale, scale), hermitian=True) / np.outer(scale, scale)
    return Fitted(
        edges=Edges(
            first_s=float(vector[0]),
            opening_s=float(vector[1]),
            last_s=float(vector[2]),
            closing_s=float(vector[3]),
        ),
        shapes=shapes,
        pole_per_s=float(vector[4]),
        plateau=float(vector[5]),
        base=float(vector[6]),
        tail=float(vector[7]) if vector.size == 8 else 0.0,
        chi_square=chi,
        free=bins - vector.size,
        covariance=covariance[:4, :4],
    )
