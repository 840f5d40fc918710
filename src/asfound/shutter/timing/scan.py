"""Find where in a stream of samples the light changes sharply: one span of samples to a firing.

Samples are averaged over cells of half a millisecond. A cell that leaves the dark level begins a span;
a drop as tall as the rise, within milliseconds, is the closing. A high pass that lets a plateau die away
over tens of milliseconds makes no such drop, so a span waits for its closing through the silence between.
"""

import copy
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from asfound.shutter.timing.block import Samples

CELL_S = 5e-4
CELLS_PER_HOP = 128
FALL_CELLS = 6  # 3 ms: two poles of 20 Hz let a plateau fall by 0.57 in that time, a closing falls by nearly all
EARLY_CELLS = 48
HELD_CELLS = 8
SHARP = 0.7  # share of the peak that counts as an edge
SETTLE_CELLS = 120  # 60 ms of quiet after a closing, so that a rebound belongs to its firing
LEAD_HOPS = 3
FIRST_CELLS = 40  # 20 ms of dark, a whole period of the mains, are enough to begin with
THRESHOLD_SIGMAS = 6.0

Cells = NDArray[np.float32]
Ending = Literal["closed", "open", "cut"]


@dataclass(frozen=True, slots=True, eq=False)
class Span:
    """The samples around one firing, before any measurement.

    Attributes
    ----------
    samples : ndarray of float32
        From well before the first light to well after the last.
    start_index : int
        Number of the first sample in the recording.
    onset, closing : int
        Places in `samples` near the first light and near the middle of the closing (the end if none).
    polarity : {1, -1}
    ending : {"closed", "open", "cut"}
        Closed, never seen to close, or the recording ended.
    again : int or None
        Where the light came back in full after the closing.
    """

    samples: Samples
    start_index: int
    onset: int
    closing: int
    polarity: int
    ending: Ending
    again: int | None = None


class LightScan:
    """Cuts a stream into spans; the result does not depend on how the stream is cut into blocks."""

    def __init__(self, *, sample_rate_hz: float, floor: float = 1e-3, longest_s: float = 30.0) -> None:
        self._cell = max(4, round(sample_rate_hz * CELL_S))
        self._floor = floor
        self._longest_cells = round(longest_s / CELL_S)
        self._rest: Samples = np.empty(0, np.float32)
        self._hops: list[Samples] = []
        self._next = 0  # number of the first sample after the kept hops
        self._level: float | None = None
        self._before = 0.0
        self._noise = 0.0
        self._swing = 0.0
        self._cells: list[Cells] = []  # of the open span, from its first kept hop
        self._onset = -1  # cell of the onset within them; -1 when no span is open
        self._polarity = 1

    def feed(self, samples: Samples) -> list[Span]:
        """Take more samples; return the spans that they finished."""
        hop = self._cell * CELLS_PER_HOP
        data = np.concatenate([self._rest, samples]) if self._rest.size else samples
        whole = data.size // hop * hop
        self._rest = data[whole:].copy()
        spans = []
        for at in range(0, whole, hop):
            spans += self._hop(data[at : at + hop])
        return spans

    def close(self) -> list[Span]:
        """Return what is still open at the end of the stream."""
        whole = self._rest.size // self._cell * self._cell
        spans = self._hop(self._rest[:whole]) if whole else []
        self._rest = self._rest[whole:]
        if self._onset >= 0:
            spans += self._finish(final=True)
        return spans

    def so_far(self) -> list[Span]:
        """Return what `close` would return now, and go on listening."""
        other = copy.copy(self)
        other._hops, other._cells = list(self._hops), list(self._cells)
        return other.close()

    def _hop(self, samples: Samples) -> list[Span]:
        cells = samples.reshape(-1, self._cell).mean(axis=1)
        self._hops.append(samples)
        self._next += samples.size
        if self._onset >= 0:
            self._cells.append(cells)
            return self._finish(final=False)
        if self._level is None:
            self._learn(cells[:FIRST_CELLS])
        out = np.abs(cells - self._level) > self._threshold()
        if out.any():
            self._open_span(cells, int(out.argmax()))
            return self._finish(final=False)
        self._learn(cells)
        del self._hops[:-LEAD_HOPS]
        return []

    def _threshold(self) -> float:
        drift = abs((self._level or 0.0) - self._before)
        return max(self._floor, THRESHOLD_SIGMAS * self._noise, 1.6 * self._swing) + 2.0 * drift

    def _learn(self, cells: Cells) -> None:
        """Follow the dark level, its noise, and its swing (hum swings wide without being noise)."""
        level = float(np.median(cells))
        noise = 1.05 * float(np.median(np.abs(np.diff(cells)))) if cells.size > 1 else 0.0
        swing = float(np.abs(cells - level).max())
        first = self._level is None
        self._before = level if first or self._level is None else self._level
        self._level = level
        self._noise = noise if first else 0.8 * self._noise + 0.2 * noise
        self._swing = swing if first else max(swing, 0.8 * self._swing + 0.2 * swing)

    def _open_span(self, cells: Cells, at: int) -> None:
        assert self._level is not None
        self._polarity = 1 if cells[at] > self._level else -1
        kept = [hop.reshape(-1, self._cell).mean(axis=1) for hop in self._hops[:-1]]
        self._cells = [*kept, cells]
        self._onset = sum(part.size for part in kept) + at

    def _finish(self, *, final: bool) -> list[Span]:
        """Return the open span if it is over."""
        cells = self._polarity * (np.concatenate(self._cells) - (self._level or 0.0))
        light = cells[self._onset :]
        peak = _peak(light)
        peak -= min(self._swing, peak / 2)  # hum may stand on top of it, and against the closing
        if light.size >= SETTLE_CELLS and self._is_blip(light, peak):
            self._reset()
            return []
        reach = _reach(light)
        falls = _sharp_changes(-light, reach, peak)
        if not falls.size:
            falls, reach = _slow_falls(light, peak, reach)
        if falls.size:
            again = self._next_rise(light, int(falls[0]), reach, peak)
            first = falls if again is None else falls[falls < again]
            middle = int(first[-1]) + reach // 2
            return self._closed(light, middle, int(falls[-1]) + reach, peak, again=again, final=final)
        over = light.size > self._longest_cells or self._rises_again(light, reach, peak)
        if not over and not final:
            return []
        # Blades that close far more slowly than they open: look once more, over a longer time.
        slow = min(4 * reach, SETTLE_CELLS)
        falls = _sharp_changes(-light, slow, peak)
        if falls.size:
            again = self._next_rise(light, int(falls[0]), slow, peak)
            return [self._take("closed", int(falls[0]) + slow // 2, again)]
        if over:
            return [self._take("open", light.size)]
        return [] if self._is_blip(light, peak) else [self._take("cut", light.size)]

    def _next_rise(self, light: Cells, first_fall: int, reach: int, peak: float) -> int | None:
        """Return where the light comes back in full after the first closing, if it does."""
        rises = _sharp_changes(light, reach, peak)
        # After a coupled closing the signal only creeps back to the dark level: ask for light, not for change.
        back = rises[
            (rises > first_fall + reach // 2) & (light[np.minimum(rises + reach, light.size - 1)] > 0.5 * peak)
        ]
        return int(back[0]) if back.size else None

    def _closed(
        self, light: Cells, middle: int, last_dark: int, peak: float, *, again: int | None, final: bool
    ) -> list[Span]:
        after = light.size - last_dark
        settled = after >= SETTLE_CELLS and _is_level(light[-80:], max(self._threshold(), 0.05 * peak))
        overdue = after > self._longest_cells
        return [self._take("closed", middle, again)] if final or settled or overdue else []

    def _is_blip(self, light: Cells, peak: float) -> bool:
        """Say whether nothing but a spike of noise began the span."""
        return peak < 1.3 * self._threshold() and bool(np.all(np.abs(light[-SETTLE_CELLS:]) < self._threshold()))

    def _rises_again(self, light: Cells, reach: int, peak: float) -> bool:
        rises = _sharp_changes(light, reach, peak)
        first_peak = int(np.argmax(light >= 0.9 * peak))
        return bool(rises.size) and int(rises[-1]) > first_peak + SETTLE_CELLS

    def _take(self, ending: Ending, closing_cell: int, again: int | None = None) -> Span:
        samples = np.concatenate(self._hops)
        closing = min((self._onset + closing_cell) * self._cell, samples.size)
        span = Span(
            samples=samples,
            start_index=self._next - samples.size,
            onset=self._onset * self._cell,
            closing=closing,
            polarity=self._polarity,
            ending=ending,
            again=None if again is None else (self._onset + again) * self._cell,
        )
        self._reset()
        return span

    def _reset(self) -> None:
        """Go on listening from the level at the end of the span."""
        tail = self._cells[-1]
        half = tail.size // 2
        self._level = float(np.median(tail[half:]))
        if half:  # as if a whole hop lay between, so that a tail's slope is known at once
            self._before = 2 * float(np.median(tail[:half])) - self._level
        else:
            self._before = self._level
        self._onset = -1
        self._cells = []
        del self._hops[:-LEAD_HOPS]


def _peak(light: Cells) -> float:
    """Return the second highest cell, so that one spike is not the peak."""
    return float(np.partition(light, -2)[-2]) if light.size > 1 else float(light.max(initial=0.0))


def _reach(light: Cells) -> int:
    """Return over how many cells to look for a change: at least 3 ms, more after a slow opening."""
    early = light[:EARLY_CELLS]
    rise = int(np.argmax(early >= 0.9 * early.max(initial=0.0)))
    return max(FALL_CELLS, min(int(1.5 * rise), 40))


def _sharp_changes(light: Cells, reach: int, peak: float) -> NDArray[np.intp]:
    """Return the cells from which `light` rises by a good part of the peak within `reach` cells."""
    if light.size <= reach:
        light = np.pad(light, (0, reach + 1 - light.size), mode="edge")
    return np.flatnonzero(light[reach:] - light[:-reach] >= SHARP * peak)


def _slow_falls(light: Cells, peak: float, reach: int) -> tuple[NDArray[np.intp], int]:
    """Return the cells from which the light falls within twice the reach, and that reach.

    Only after a full opening that held for a while: a fall from the very peak is the coupling's droop.
    """
    falls = _sharp_changes(-light, 2 * reach, peak)
    held = int(np.argmax(light >= 0.9 * peak)) + HELD_CELLS
    return (falls if falls.size and falls[0] > held else np.empty(0, np.intp)), 2 * reach


def _is_level(cells: Cells, allowance: float) -> bool:
    half = cells.size // 2
    return abs(float(cells[:half].mean()) - float(cells[half:].mean())) < allowance
