"""The clock of a sound input against a known tick: how fast it runs, from a recording of the tick."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from asfound.problems import bad_input
from asfound.quantity import Reading

CELL_S = 1e-3
BEFORE_S, AFTER_S = 4e-3, 16e-3
LEAST_TICKS = 10
_OUT = 6.0  # a tick so many robust deviations off the line is no tick of the source


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockRate:
    """What a tick says of the clock.

    Attributes
    ----------
    rate : Reading
        By how much the clock is fast, in ppm: every time measured with it is longer by as much than it was.
    ticks, missed, left_out : int
        Heard and used; not heard between them; heard and not fitting.
    scatter_s : float
        Standard deviation of single ticks about the line.
    """

    rate: Reading
    ticks: int
    missed: int
    left_out: int
    scatter_s: float


def clock_rate(
    samples: NDArray[np.floating], *, sample_rate_hz: float, period_s: float, u_period_ppm: float = 0.0
) -> ClockRate:
    """Return how fast a sound input's clock runs, from a recording of a tick of known period.

    Parameters
    ----------
    samples : ndarray, shape (n,)
        One channel; ticks, pulses or the pips of a time signal, a period or whole periods apart.
    sample_rate_hz : float
        As the file says it.
    period_s : float
    u_period_ppm : float
        Standard uncertainty of the source's own period.

    Raises
    ------
    BadInputError
        If fewer than ten ticks are heard.

    Notes
    -----
    Each tick is laid on the others by correlation, a straight line by least squares goes through their times by
    number, and its slope over the period is the rate; its standard uncertainty is that of the slope (any textbook of
    regression, from memory), with the source's own beside it.
    """
    signal = np.asarray(samples)
    onsets = _onsets(signal, sample_rate_hz, period_s)
    times = _aligned(signal, onsets, sample_rate_hz)
    if times.size < LEAST_TICKS:
        what = f"{times.size} ticks are heard, {LEAST_TICKS} are needed"
        raise bad_input("recording", what, "record a minute or more of the tick, louder, and say its period")
    numbers = np.concatenate([[0.0], np.cumsum(np.round(np.diff(times) / period_s))])
    keep = _fitting(numbers, times)
    slope, u_slope, scatter = _line(numbers[keep], times[keep])
    used = int(keep.sum())
    u = math.hypot(u_slope / period_s * 1e6, u_period_ppm)
    how = f"{used} ticks of {period_s:g} s over {times[-1] - times[0]:.0f} s"
    rate = Reading(
        value=(slope / period_s - 1) * 1e6, unit="ppm", standard_uncertainty=u, degrees_of_freedom=used - 2, how=how
    )
    missed = int(numbers[-1]) + 1 - times.size
    return ClockRate(rate=rate, ticks=used, missed=missed, left_out=times.size - used, scatter_s=scatter)


def _onsets(signal: NDArray[np.floating], rate_hz: float, period_s: float) -> list[int]:
    """Return the sample at which each tick begins, to a millisecond: loud after half a period or more of quiet."""
    cell = max(1, round(CELL_S * rate_hz))
    cells = np.abs(signal[: signal.size // cell * cell].reshape(-1, cell)).max(axis=1)
    if not cells.size or not cells.max():
        return []
    quiet, loud = float(np.median(cells)), float(np.quantile(cells, 1 - 0.5 * CELL_S / period_s))
    level = math.sqrt(max(quiet, 1e-4 * loud) * loud)
    rest = round(0.5 * period_s / CELL_S)
    found: list[int] = []
    for at in np.flatnonzero(cells > level):
        if not found or at - found[-1] >= rest:
            found.append(int(at))
    return [at * cell for at in found]


def _aligned(signal: NDArray[np.floating], onsets: list[int], rate_hz: float) -> NDArray[np.float64]:
    """Return the time of each tick in s, laid on a tick of middling strength by correlation, to a part of a sample."""
    before, after = round(BEFORE_S * rate_hz), round(AFTER_S * rate_hz)
    whole = [at for at in onsets if at >= 2 * before and at + after + before <= signal.size]
    if not whole:
        return np.zeros(0)
    by_strength = sorted(
        whole, key=lambda at: float(np.square(signal[at - before : at + after], dtype=np.float64).sum())
    )
    model_at = by_strength[len(by_strength) // 2]
    model = signal[model_at - before : model_at + after].astype(np.float64)
    times = []
    for at in whole:
        match = np.correlate(signal[at - 2 * before : at + after + before], model, mode="valid")
        times.append((at + _peak(match) - before) / rate_hz)
    return np.array(times)


def _peak(curve: NDArray[np.float64]) -> float:
    """Return where a curve is highest, by the parabola through its highest point and the two beside it."""
    top = int(np.argmax(curve))
    if not 0 < top < curve.size - 1:
        return float(top)
    left, mid, right = curve[top - 1 : top + 2]
    bend = left - 2 * mid + right
    return top if bend == 0 else float(top + 0.5 * (left - right) / bend)


def _fitting(numbers: NDArray[np.float64], times: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Return which ticks lie on the line that most lie on."""
    slope = float(np.median(np.diff(times) / np.maximum(np.diff(numbers), 1.0)))
    off = times - slope * numbers
    off -= np.polyval(np.polyfit(numbers, off, 1), numbers)
    spread = max(1.4826 * float(np.median(np.abs(off - np.median(off)))), 1e-7)
    return np.asarray(np.abs(off - np.median(off)) <= _OUT * spread)


def _line(x: NDArray[np.float64], y: NDArray[np.float64]) -> tuple[float, float, float]:
    """Return slope, its standard uncertainty, and the scatter about a least-squares line."""
    from_mean = x - x.mean()
    sxx = float(np.square(from_mean).sum())
    slope = float((from_mean * y).sum()) / sxx
    rest = y - y.mean() - slope * from_mean
    scatter = math.sqrt(float(np.square(rest).sum()) / (x.size - 2))
    return slope, scatter / math.sqrt(sxx), scatter
