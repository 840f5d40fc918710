"""Made-up sound of a shutter: two clicks, the whirr of the retard train between them, a noisy room."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from asfound.shutter.timing.coupling import Floats

CLICK_S = 5e-3


def simulate_clicks(
    intervals_s: Sequence[float],
    *,
    sample_rate_hz: float,
    level: float = 0.3,
    noise_db: float = 20.0,
    whirr: float = 0.15,
    lead_s: float = 0.5,
    gap_s: float = 2.5,
    seed: int = 0,
) -> tuple[NDArray[np.float32], tuple[float, ...]]:
    """Return the samples of several firings heard, and where each opening click begins.

    Parameters
    ----------
    intervals_s : sequence of float
        Between the onsets of the two clicks of each firing.
    sample_rate_hz : float
    level : float
        Peak of a click, full scale 1.
    noise_db : float
        Rms of a click's five milliseconds over the rms of the room.
    whirr : float
        Peak of the retard train's ticks, share of a click's.
    lead_s, gap_s : float
        Before the first firing, and between two.
    seed : int
    """
    random = np.random.default_rng(seed)
    opening, closing = (_click(random, sample_rate_hz) for _ in range(2))
    length = lead_s + sum(intervals_s) + gap_s * len(intervals_s)
    signal = np.zeros(round(length * sample_rate_hz))
    starts, now = [], lead_s
    for interval in intervals_s:
        starts.append(now)
        _lay(signal, opening * level, now * sample_rate_hz)
        _lay(signal, closing * level, (now + interval) * sample_rate_hz)
        tick = now + 0.012
        while whirr and tick < now + interval - 0.008:
            _lay(signal, _click(random, sample_rate_hz) * level * whirr, tick * sample_rate_hz)
            tick += random.uniform(0.005, 0.007)
        now += interval + gap_s
    rms = level * float(np.sqrt(np.mean(opening[: round(CLICK_S * sample_rate_hz)] ** 2)))
    signal += random.normal(0, rms * 10 ** (-noise_db / 20), signal.size)
    return signal.astype(np.float32), tuple(starts)


def _click(random: np.random.Generator, rate: float) -> Floats:
    """Return a few damped modes of a metal case, struck at once; the peak is 1."""
    time = np.arange(round(4 * CLICK_S * rate)) / rate
    total = np.zeros_like(time)
    for frequency in random.uniform(1500, 7500, 6):
        damping = random.uniform(400, 1500)
        total += random.uniform(0.5, 1) * np.exp(-damping * time) * np.sin(2 * np.pi * frequency * time)
    return np.asarray(total / np.abs(total).max())


def _lay(signal: Floats, piece: Floats, at: float) -> None:
    """Add a piece at a place between samples, by linear interpolation."""
    first = int(np.ceil(at))
    late = first - at
    moved = np.interp(np.arange(piece.size - 1) + late, np.arange(piece.size), piece)
    stop = min(signal.size, first + moved.size)
    signal[first:stop] += moved[: stop - first]
