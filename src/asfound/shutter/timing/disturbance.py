"""What comes on top of the blades: mains hum, a flickering lamp, a rebound."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from asfound.shutter.timing.coupling import Floats
from asfound.shutter.timing.fit import Fitted, model

CELL_S = 5e-4
MAINS_HZ = (50.0, 60.0)
SEEN = 6.0  # standard deviations at which an amplitude is not noise
LEAST_HUM = 0.002  # share of the plateau below which hum is let be
LEAST_FLICKER = 0.005
SHORTEST_FOR_FLICKER_S = 0.018
SLOWEST_MODULATION_HZ = 130.0
LONGEST_LOOK = 16_384  # samples of a plateau in which a modulation is looked for
EDGE_MARGIN_S = 1e-3


@dataclass(frozen=True, slots=True, eq=False)
class Leftover:
    """What a fit leaves over, averaged over cells of half a millisecond.

    Attributes
    ----------
    time_s, residual : ndarray, shape (m,)
    dark, bright : ndarray of bool, shape (m,)
        Cells well before or after the light, and cells well within the plateau.
    sigma : float
        Noise of one cell.
    """

    time_s: Floats
    residual: Floats
    dark: NDArray[np.bool_]
    bright: NDArray[np.bool_]
    sigma: float


def leftover(light: Floats, fitted: Fitted, *, noise_rms: float, sample_rate_hz: float) -> Leftover:
    """Return what the fit leaves over."""
    cell = max(1, round(CELL_S * sample_rate_hz))
    whole = light.size // cell * cell
    mean = light[:whole].reshape(-1, cell).mean(axis=1)
    time = (np.arange(mean.size) * cell + (cell - 1) / 2) / sample_rate_hz
    edges = fitted.edges
    opened, closes = edges.first_s + edges.opening_s, edges.last_s - edges.closing_s
    return Leftover(
        time,
        mean - expected(time, fitted),
        (time < edges.first_s - EDGE_MARGIN_S) | (time > edges.last_s + EDGE_MARGIN_S),
        (time > opened + EDGE_MARGIN_S) & (time < closes - EDGE_MARGIN_S),
        noise_rms / math.sqrt(cell),
    )


def expected(time_s: Floats, fitted: Fitted) -> Floats:
    """Return the fitted signal."""
    light, _ = model(time_s, fitted.edges, fitted.shapes, fitted.pole_per_s, fitted.second_per_s)
    decay = fitted.tail * np.exp(-fitted.pole_per_s * time_s)
    return np.asarray(fitted.base + fitted.plateau * light + decay)


@dataclass(frozen=True, slots=True, eq=False)
class Wave:
    """Sine waves on top of one another.

    Attributes
    ----------
    frequencies_hz : tuple of float
    sines, cosines : ndarray
        Amplitudes at each frequency.
    """

    frequencies_hz: tuple[float, ...]
    sines: Floats
    cosines: Floats

    @property
    def amplitude(self) -> float:
        """Root of the summed squares of the amplitudes."""
        return float(np.sqrt((self.sines**2 + self.cosines**2).sum()))

    def at(self, time_s: Floats) -> Floats:
        """Return the wave at some times."""
        total = np.zeros_like(time_s)
        for f, sine, cosine in zip(self.frequencies_hz, self.sines, self.cosines, strict=True):
            phase = 2 * math.pi * f * time_s
            total += sine * np.sin(phase) + cosine * np.cos(phase)
        return total


def find_hum(left: Leftover, *, plateau: float) -> Wave | None:
    """Return the mains hum in the dark parts: a mains frequency with its second and third harmonic."""
    time, residual = left.time_s[left.dark], left.residual[left.dark]
    least = max(SEEN * left.sigma * math.sqrt(2 / max(1, time.size)), LEAST_HUM * plateau)
    found = [
        _best(time, residual, [mains + shift for shift in np.arange(-0.5, 0.51, 0.05)], (1, 2, 3)) for mains in MAINS_HZ
    ]
    wave, explained = max(found, key=lambda pair: pair[1])
    before = float(residual @ residual)
    return wave if wave.amplitude > least and explained > 0.2 * before else None


def find_flicker(left: Leftover, *, plateau: float, light: Floats) -> Wave | None:
    """Return the lamp's flicker at twice the mains frequency, relative to the light; None if not seen.

    Parameters
    ----------
    left : Leftover
    plateau : float
        Signal of the full light.
    light : ndarray, shape (m,)
        Brightness at the cells, 0 to 1, before any coupling.
    """
    time = left.time_s[left.bright]
    if time.size * CELL_S < SHORTEST_FOR_FLICKER_S:
        return None
    residual = left.residual[left.bright] / (plateau * light[left.bright])
    least = max(SEEN * left.sigma / plateau * math.sqrt(2 / time.size), LEAST_FLICKER)
    grid = [mains * 2 + shift for mains in MAINS_HZ for shift in np.arange(-1, 1.01, 0.1)]
    wave, explained = _best(time, residual, grid, (1,))
    spread = residual - residual.mean()
    return wave if wave.amplitude > least and explained > 0.3 * float(spread @ spread) else None


def find_modulation(light: Floats, fitted: Fitted, *, noise_rms: float, sample_rate_hz: float) -> Wave | None:
    """Return a modulation of the lamp faster than the mains', as of a dimmed LED; None if none is seen.

    Relative to the light, with its second and third harmonic. Several of its periods must fit into the full
    opening.
    """
    edges = fitted.edges
    first = max(0, int((edges.first_s + edges.opening_s + EDGE_MARGIN_S / 2) * sample_rate_hz) + 1)
    stop = min(light.size, int((edges.last_s - edges.closing_s - EDGE_MARGIN_S / 2) * sample_rate_hz))
    size = min(stop - first, LONGEST_LOOK)
    if size < 64:
        return None
    time = (first + np.arange(size)) / sample_rate_hz
    residual = (light[first : first + size] - expected(time, fitted)) / fitted.plateau
    power = np.abs(np.fft.rfft((residual - residual.mean()) * np.hanning(size))) ** 2
    lowest = max(5, int(SLOWEST_MODULATION_HZ * size / sample_rate_hz))
    if power.size // 2 <= lowest:
        return None
    at = lowest + int(power[lowest : power.size // 2].argmax())
    step = sample_rate_hz / size
    grid = [step * (at + shift) for shift in np.arange(-0.75, 0.76, 0.05)]
    harmonics = tuple(h for h in (1, 2, 3) if h * grid[-1] < 0.45 * sample_rate_hz)
    wave, explained = _best(time, residual, grid, harmonics)
    least = max(SEEN * noise_rms / fitted.plateau * math.sqrt(2 / size), LEAST_FLICKER)
    spread = residual - residual.mean()
    return wave if wave.amplitude > least and explained > 0.3 * float(spread @ spread) else None


def _best(time: Floats, residual: Floats, grid: list[float], harmonics: tuple[int, ...]) -> tuple[Wave, float]:
    """Return the wave of the frequency on the grid that explains most, and how much that is."""
    best: tuple[Wave, float] | None = None
    for base in grid:
        frequencies = tuple(base * h for h in harmonics)
        phase = 2 * math.pi * np.outer(time, frequencies)
        columns = np.hstack([np.sin(phase), np.cos(phase), np.ones((time.size, 1)), time[:, None]])
        weights, *_ = np.linalg.lstsq(columns, residual, rcond=None)
        waves = columns[:, :-2] @ weights[:-2]
        explained = float(waves @ waves)
        if best is None or explained > best[1]:
            half = len(frequencies)
            best = Wave(frequencies, weights[:half], weights[half : 2 * half]), explained
    assert best is not None
    return best


@dataclass(frozen=True, slots=True, kw_only=True)
class Rebound:
    """Light after the closing.

    Attributes
    ----------
    start_s, stop_s : float
    light_s : float
        Its integral over the plateau.
    reach : float
        Its greatest brightness, share of the plateau.
    """

    start_s: float
    stop_s: float
    light_s: float
    reach: float


def find_rebound(
    light: Floats, fitted: Fitted, *, noise_rms: float, sample_rate_hz: float, least: float = 0.03
) -> Rebound | None:
    """Return the re-opening after the closing, if there is one above the noise."""
    width = max(1, round(2.5e-4 * sample_rate_hz))
    first = int((fitted.edges.last_s + 0.3 * fitted.edges.closing_s) * sample_rate_hz)
    after = light[first:]
    if after.size < 8 * width:
        return None
    time = (first + np.arange(after.size)) / sample_rate_hz
    residual = (after - expected(time, fitted)) / fitted.plateau
    smooth = np.convolve(residual, np.full(width, 1 / width), mode="same")
    level = max(SEEN * noise_rms / fitted.plateau / math.sqrt(width), least)
    high = np.flatnonzero(smooth > level)
    if high.size < width:
        return None
    margin = 2 * width
    start, stop = max(0, int(high[0]) - margin), min(after.size, int(high[-1]) + margin)
    return Rebound(
        start_s=float(time[start]),
        stop_s=float(time[stop - 1]),
        light_s=float(residual[start:stop].sum()) / sample_rate_hz,
        reach=float(smooth.max()),
    )
