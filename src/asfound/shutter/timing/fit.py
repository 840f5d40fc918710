"""Fit a whole firing: dark level, full level, coupling, and start and length of both edges."""

import math
from dataclasses import dataclass
from itertools import product
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from asfound.shutter.timing.coupling import (
    DARK_SHARE,
    HALF_SHARE,
    Curve,
    Floats,
    falling_edge,
    pole_slopes,
    power_responses,
    rising_edge,
)

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
    step_s : float
        From one sample to the next.
    """

    time_s: Floats
    mean: Floats
    count: Floats
    step_s: float

    def without(self, start_s: float, stop_s: float) -> "Binned":
        """Return the bins outside a stretch of time."""
        keep = (self.time_s < start_s) | (self.time_s > stop_s)
        return Binned(self.time_s[keep], self.mean[keep], self.count[keep], self.step_s)


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
    pole_per_s, second_per_s : float
        Of the high pass; near zero when none is seen, and zero for the second unless it was asked for.
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
    second_per_s: float
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
        return edge_weights(self.shapes)


def edge_weights(shapes: Shapes) -> Floats:
    """Return how the effective time depends on first light, opening, last light and closing."""
    opening, closing = shapes
    return np.array([-1.0, -DARK_SHARE[opening], 1.0, -DARK_SHARE[closing]])


def _vector(edges: Edges) -> Floats:
    return np.array([edges.first_s, edges.opening_s, edges.last_s, edges.closing_s])


def bin_around(samples: NDArray[np.floating], *, sample_rate_hz: float, edges: Edges, spread: float = 0.05) -> Binned:
    """Average samples over bins that widen with the distance from the nearer edge.

    A bin is at most `spread` of its distance from the edges wide, so that an exponential that starts
    there is straight within it; within an edge it is at most a sixty-fourth of the edge.
    """
    bounds = _bin_bounds(samples.size, sample_rate_hz, edges, spread)
    sums = np.add.reduceat(samples.astype(np.float64, copy=False), bounds[:-1])
    count = np.diff(bounds).astype(np.float64)
    time = (bounds[:-1] + (count - 1) / 2) / sample_rate_hz
    return Binned(time, sums / count, count, 1 / sample_rate_hz)


def _bin_bounds(size: int, sample_rate_hz: float, edges: Edges, spread: float) -> NDArray[np.intp]:
    opening, closing = edges.opening_s, edges.closing_s
    zones = (
        (edges.first_s - opening / 2, edges.first_s + 1.5 * opening, opening),
        (edges.last_s - 1.5 * closing, edges.last_s + closing / 2, closing),
    )
    inner = [[int(min(max(at * sample_rate_hz, 0), size)) for at in zone[:2]] for zone in zones]
    steps = [max(1, int(length * sample_rate_hz / 64)) for *_, length in zones]
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


def model(
    time_s: Floats, edges: Edges, shapes: Shapes, pole_per_s: float, second_per_s: float = 0.0
) -> tuple[Floats, Floats]:
    """Return the light after the coupling, and its derivatives by the four edge times and the poles.

    Returns
    -------
    light : ndarray, shape (m,)
    slopes : ndarray, shape (5, m), or (6, m) with a second pole
    """
    opening = rising_edge(start_s=edges.first_s, duration_s=edges.opening_s, shape=shapes[0])
    closing = falling_edge(end_s=edges.last_s, duration_s=edges.closing_s, shape=shapes[1])
    poles = (pole_per_s, second_per_s) if second_per_s else (pole_per_s,)
    starts, ends = _responses(time_s, opening, poles), _responses(time_s, closing, poles)
    light = starts.light + ends.light
    by_poles = [starts.by_pole + ends.by_pole]
    if second_per_s:
        both = opening + closing
        by_poles = [_by_pole(time_s, both, light, poles, which) for which in (0, 1)]
    return light, np.stack(
        [
            *_opening_slopes(starts, edges.opening_s, shapes[0]),
            *_closing_slopes(ends, edges.closing_s, shapes[1]),
            *by_poles,
        ]
    )


def _by_pole(time: Floats, curve: Curve, light: Floats, poles: tuple[float, ...], which: int) -> Floats:
    small = 1e-4 * max(poles)
    moved = [pole + small * (i == which) for i, pole in enumerate(poles)]
    return (curve.through(time, coupling_hz=[pole / (2 * math.pi) for pole in moved]) - light) / small


@dataclass(frozen=True, slots=True, eq=False)
class _EdgeResponse:
    """An edge after the coupling, its derivative by the pole, and the responses at its two knots."""

    light: Floats
    by_pole: Floats
    step: tuple[Floats, Floats]
    ramp: tuple[Floats, Floats]


def _responses(time: Floats, edge: Curve, poles: tuple[float, ...]) -> _EdgeResponse:
    light, by_pole = np.zeros_like(time), np.zeros_like(time)
    steps, ramps = [], []
    for knot, slope, square in zip(edge.knots_s, edge.slopes, edge.squares, strict=True):
        # Before its knot a response is zero: spend no exponentials there.
        at = int(np.searchsorted(time, knot, side="right"))
        since = time[at:] - knot
        step, ramp = np.zeros_like(time), np.zeros_like(time)
        step[at:], ramp[at:], power = power_responses(since, poles)
        light[at:] += slope * ramp[at:] + square * power
        if len(poles) == 1:
            by_ramp, by_power = pole_slopes(since, poles[0], step[at:], ramp[at:], power)
            by_pole[at:] += slope * by_ramp + square * by_power
        steps.append(step)
        ramps.append(ramp)
    return _EdgeResponse(light, by_pole, (steps[0], steps[1]), (ramps[0], ramps[1]))


def _opening_slopes(edge: _EdgeResponse, length: float, shape: str) -> tuple[Floats, Floats]:
    """Return the derivatives of an opening by its start and by its length."""
    step, ramp = edge.step, edge.ramp
    if shape == "area":
        return (step[1] - step[0]) / length, (step[1] - edge.light) / length
    by_first = 2 * (ramp[1] + length * step[1] - ramp[0]) / length**2
    return by_first, 2 * (step[1] - edge.light) / length


def _closing_slopes(edge: _EdgeResponse, length: float, shape: str) -> tuple[Floats, Floats]:
    """Return the derivatives of a closing by its end and by its length."""
    step, ramp = edge.step, edge.ramp
    if shape == "area":
        return (step[0] - step[1]) / length, -(step[0] + edge.light) / length
    by_last = 2 * (ramp[1] - ramp[0]) / length**2 + 2 * step[0] / length
    return by_last, -2 * (step[0] + edge.light) / length


MAX_POLE_PER_S = 2 * np.pi * 80
_STEPS = 40
DONE = 1e-3  # fall of chi-square still to be had: a thirtieth of a standard uncertainty


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """Where a fit begins."""

    edges: Edges
    pole_per_s: float
    plateau: float
    base: float
    tail: float = 0.0
    second_per_s: float = 0.0


def fit_shapes(
    binned: Binned,
    *,
    noise_rms: float,
    start: Start,
    shapes: Shapes,
    tail: bool = False,
    second: bool = False,
    done: float = DONE,
    hopeless: float = math.inf,
) -> Fitted:
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
    second : bool
        Let the high pass have a second pole.
    done : float
        Stop when a step gains less than this in chi-square.
    hopeless : float
        Stop, too, when chi-square is above this and not falling fast: other shapes fit far better.
    """
    weight = np.sqrt(binned.count) / noise_rms
    levels = [start.pole_per_s, start.plateau, start.base, start.tail, start.second_per_s]
    vector = np.array([*_vector(start.edges), *levels])
    loose = np.array([True] * 7 + [tail, second])
    residual, jacobian = linearise(binned, weight, vector, shapes, loose)
    chi, damping = float(residual @ residual), 1e-3
    for _ in range(_STEPS):
        normal, slope = jacobian.T @ jacobian, jacobian.T @ residual
        step = np.zeros(vector.size)
        step[loose] = _damped(normal, slope, damping)
        trial = _limited(vector, step, binned)
        new_residual, new_jacobian = linearise(binned, weight, trial, shapes, loose)
        new_chi = float(new_residual @ new_residual)
        if new_chi <= chi:
            gained, chi = chi - new_chi, new_chi
            vector, residual, jacobian = trial, new_residual, new_jacobian
            damping = max(damping / 8, 1e-9)
            if gained < done or gained < 0.05 * (chi - hopeless):
                break
        else:
            damping *= 6
            if damping > 30:
                break
    return _fitted(vector, jacobian, shapes, chi)


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
    if moved[8]:
        moved[8] = min(max(moved[8], 1e-3 / duration), MAX_POLE_PER_S)
    return moved


def linearise(
    binned: Binned, weight: Floats, vector: Floats, shapes: Shapes, loose: NDArray[np.bool_]
) -> tuple[Floats, Floats]:
    """Return the weighted residuals, and the weighted derivatives by what is loose in the vector.

    The vector holds first light, opening, last light, closing, pole, plateau, dark level, tail, second pole.
    """
    time, pole, plateau = binned.time_s, float(vector[4]), float(vector[5])
    edges = Edges(first_s=vector[0], opening_s=vector[1], last_s=vector[2], closing_s=vector[3])
    light, slopes = model(time, edges, shapes, pole, float(vector[8]))
    since = time - time[0]
    decay = np.exp(-pole * since)
    columns = np.empty((9, time.size))
    columns[:5] = plateau * slopes[:5]
    columns[4] -= vector[7] * since * decay
    columns[5], columns[6], columns[7] = light, 1.0, decay
    columns[8] = plateau * slopes[-1]
    expected = vector[6] + plateau * light + vector[7] * decay
    return (binned.mean - expected) * weight, (columns[loose] * weight).T


def _fitted(vector: Floats, jacobian: Floats, shapes: Shapes, chi: float) -> Fitted:
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
        second_per_s=float(vector[8]),
        plateau=float(vector[5]),
        base=float(vector[6]),
        tail=float(vector[7]),
        chi_square=chi,
        free=jacobian.shape[0] - jacobian.shape[1],
        covariance=covariance[:4, :4],
    )
