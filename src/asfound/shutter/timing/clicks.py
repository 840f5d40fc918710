"""Firings from sound: the interval between the click of the blades opening and that of their closing."""

import copy
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from asfound.shutter.timing.block import Block, Samples
from asfound.shutter.timing.coupling import Floats
from asfound.shutter.timing.firing import Firing, Flag

CELL_S = 1e-3
HOP_CELLS = 64
LOUD = 5.0  # power over the quiet at which a cell belongs to a click
STRONG = 0.3  # amplitude over the loudest of its group at which a click is a blade's and not the train's
LONGEST_OPEN_S = 1.6
BEFORE_S, AFTER_S = 8e-3, 6e-3
# The click is not the light: 1 to 3 ms between them is open without a comparison (common practice, no source).
OFFSET_LIMIT_S = 3e-3


@dataclass(frozen=True, slots=True, eq=False)
class Click:
    """One click: where it begins, and its samples from `BEFORE_S` before that.

    Attributes
    ----------
    onset : float
        Sample of its onset, counted from the beginning of the recording.
    start : int
        Number of the first of `samples`.
    samples : ndarray of float32
    """

    onset: float
    start: int
    samples: Samples


class SoundListener:
    """The `Listener` for sound; firings must lie further apart than the longest time that is expected.

    Parameters
    ----------
    sample_rate_hz : float
    offset_s, u_offset_s : float, optional
        What must be added to the interval between the clicks to give the exposure of this shutter, measured
        once against light, and its standard uncertainty.
    longest_open_s : float
        Clicks further apart than this belong to different firings.
    """

    def __init__(
        self,
        *,
        sample_rate_hz: float,
        offset_s: float | None = None,
        u_offset_s: float | None = None,
        longest_open_s: float = LONGEST_OPEN_S,
    ) -> None:
        self._rate = sample_rate_hz
        self._offset = offset_s
        self._u_offset = u_offset_s
        self._cell = max(8, round(CELL_S * sample_rate_hz))
        self._patience = round(longest_open_s / CELL_S)
        self._rest: Samples = np.empty(0, np.float32)
        self._last = 0.0
        self._hops: list[Samples] = []
        self._powers: list[Floats] = []
        self._next = 0
        self._quiet: float | None = None
        self._heard: int | None = None  # cells since the last loud one; None when nothing was heard
        self._pairs: list[tuple[Click, Click]] = []

    def feed(self, block: Block) -> tuple[Firing, ...]:
        """Take the next block; return the firings that it finished."""
        hop = self._cell * HOP_CELLS
        data = np.concatenate([self._rest, block.samples])
        whole = data.size // hop * hop
        self._rest = data[whole:]
        found: list[Firing] = []
        for at in range(0, whole, hop):
            found += self._hop(data[at : at + hop])
        return tuple(found)

    def provisional(self, *, settle_s: float = 0.03) -> Firing | None:
        """Return the firing that the clicks so far would make, once it has been quiet for `settle_s`.

        A later click of the same firing changes it.
        """
        other = copy.copy(self)
        other._hops, other._powers, other._pairs = list(self._hops), list(self._powers), []
        whole = self._rest.size // self._cell * self._cell
        if whole:
            other._hop(self._rest[:whole])
        if other._heard is None or other._heard < settle_s / CELL_S:
            return None
        found = other._finish()
        return found[0] if found else None

    def close(self) -> tuple[Firing, ...]:
        """Say that nothing follows; return the firing that was still open."""
        whole = self._rest.size // self._cell * self._cell
        found = self._hop(self._rest[:whole]) if whole else []
        if self._heard is not None:
            found += self._finish()
        return tuple(found)

    def matched(self) -> tuple[Firing, ...]:
        """Return all firings again, with the clicks of repeated firings matched to one another."""
        openings = match_clicks([opening for opening, _ in self._pairs])
        closings = match_clicks([closing for _, closing in self._pairs])
        return tuple(
            self._firing(replace(a, onset=x), replace(b, onset=y), matched=len(self._pairs) > 2)
            for (a, b), x, y in zip(self._pairs, openings, closings, strict=True)
        )

    def _hop(self, samples: Samples) -> list[Firing]:
        # Differences between neighbours: clicks are sharp, hum and rumble are not.
        sharp = np.diff(samples, prepend=np.float32(self._last))
        self._last = float(samples[-1])
        power = np.mean(sharp.reshape(-1, self._cell).astype(np.float64) ** 2, axis=1)
        self._hops.append(samples)
        self._powers.append(power)
        self._next += samples.size
        floor = float(np.median(power))
        if self._quiet is None:
            self._quiet = floor
        loud = np.flatnonzero(power > LOUD * self._quiet + 1e-10)
        if loud.size:
            self._heard = power.size - 1 - int(loud[-1])
        elif self._heard is not None:
            self._heard += power.size
        if self._heard is None:
            self._quiet += 0.2 * (floor - self._quiet)
            del self._hops[:-2], self._powers[:-2]
            return []
        return self._finish() if self._heard > self._patience else []

    def _finish(self) -> list[Firing]:
        samples, power = np.concatenate(self._hops), np.concatenate(self._powers)
        first = self._next - samples.size
        del self._hops[:-2], self._powers[:-2]
        self._heard = None
        amplitude = np.sqrt(power)
        strong = np.flatnonzero((amplitude > STRONG * amplitude.max()) & (power > LOUD * (self._quiet or 0.0)))
        groups = _groups(strong, gap=max(8, round(8e-3 / CELL_S)))
        if len(groups) < 2:
            return []
        opening, closing = (
            self._click(samples, first, int(group[0]) * self._cell) for group in (groups[0], groups[-1])
        )
        self._pairs.append((opening, closing))
        return [self._firing(opening, closing, matched=False)]

    def _click(self, samples: Samples, first: int, at: int) -> Click:
        start = max(0, at - round(BEFORE_S * self._rate))
        piece = samples[start : at + round(AFTER_S * self._rate)].copy()
        return Click(first + start + pick_onset(np.diff(piece)) + 1, first + start, piece)

    def _firing(self, opening: Click, closing: Click, *, matched: bool) -> Firing:
        pick = (5e-5 if matched else 1.5e-4) * math.sqrt(2)
        interval = (closing.onset - opening.onset) / self._rate
        known = self._offset is not None
        offset = self._u_offset or 0.0 if known else OFFSET_LIMIT_S / math.sqrt(3)
        return Firing(
            start_s=opening.onset / self._rate,
            open_s=interval + (self._offset or 0.0),
            u_open_s=math.hypot(pick, offset, interval * 1e-4 / math.sqrt(3)),
            flags=() if known else (Flag.CLICKS_ARE_NOT_LIGHT,),
            start_index=opening.start,
            stop_index=closing.start + closing.samples.size,
        )


def _groups(cells: NDArray[np.intp], *, gap: int) -> list[NDArray[np.intp]]:
    return np.split(cells, np.flatnonzero(np.diff(cells) > gap) + 1) if cells.size else []


def pick_onset(samples: NDArray[np.floating]) -> int:
    """Return the sample at which the variance changes: the onset of a click in noise.

    Notes
    -----
    The split that is most likely when both sides are Gaussian, each of its own variance: the least of
    k log var(x[:k]) + (n - k - 1) log var(x[k:]) (Maeda 1985, Akaike's criterion for the onset of an
    earthquake, from memory).
    """
    x = samples.astype(np.float64)
    x = x[: int(np.abs(x).argmax()) + 1] if x.size else x
    n = x.size
    if n < 16:
        return 0
    total, square = np.cumsum(x), np.cumsum(x * x)
    k = np.arange(4, n - 4)
    before = square[k - 1] / k - (total[k - 1] / k) ** 2
    after = (square[-1] - square[k - 1]) / (n - k) - ((total[-1] - total[k - 1]) / (n - k)) ** 2
    tiny = 1e-12 * square[-1] / n + 1e-300
    criterion = k * np.log(before + tiny) + (n - k - 1) * np.log(after + tiny)
    return int(k[criterion.argmin()])


def match_clicks(clicks: Sequence[Click]) -> list[float]:
    """Return onsets that agree with one another, from the likeness of the clicks' waveforms.

    Each click is laid over the mean of all; how far it has to be moved corrects its onset. Clicks that are
    not alike keep their own.
    """
    if len(clicks) < 3:
        return [click.onset for click in clicks]
    length = min(click.samples.size for click in clicks)
    reach = min(length // 4, 96)
    pieces = np.stack([np.diff(click.samples[:length].astype(np.float64)) for click in clicks])
    places = np.array([click.onset - click.start for click in clicks])
    # Lay the onsets over one another, then let each find its place against the mean of all.
    aligned = np.stack(
        [np.roll(piece, -round(place - places.mean())) for piece, place in zip(pieces, places, strict=True)]
    )
    for _ in range(3):
        mean = aligned.mean(axis=0)
        shifts = [_lag(piece, mean, reach) for piece in aligned]
        if not any(shift for shift, _ in shifts):
            break
        aligned = np.stack([np.roll(p, -shift) for p, (shift, _) in zip(aligned, shifts, strict=True)])
    lags = [_lag(piece, aligned.mean(axis=0), length // 4) for piece in pieces]
    moved = np.array([lag for lag, _ in lags], dtype=np.float64)
    alike = np.array([likeness > 0.6 for _, likeness in lags])
    if alike.sum() < 3:
        return [click.onset for click in clicks]
    common = float(np.median((places - moved)[alike]))
    return [
        click.start + common + lag if same else click.onset
        for click, lag, same in zip(clicks, moved, alike, strict=True)
    ]


def _lag(piece: Floats, mean: Floats, reach: int) -> tuple[int, float]:
    """Return by how many samples `piece` lies behind `mean`, and their correlation there."""
    product = np.correlate(piece, mean, mode="full")
    middle = mean.size - 1
    window = product[middle - reach : middle + reach + 1]
    at = int(window.argmax())
    norm = float(np.sqrt((piece @ piece) * (mean @ mean))) or 1.0
    return at - reach, float(window[at]) / norm
