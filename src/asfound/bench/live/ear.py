"""Listens to the stream while it comes: a first number as soon as a firing ends, the final one a moment later."""

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from asfound.bench.measured import USUAL_U_CLICK_OFFSET_S, How
from asfound.capture.live_file import Gap, without_gaps
from asfound.plots.envelope import Envelope, envelope
from asfound.shutter import Block, Firing, LightListener, refine
from asfound.shutter.timing.block import Samples
from asfound.shutter.timing.clicks import SoundListener

# Dark for so long after the light went, it is taken for the end of a firing, to begin with.
SETTLE_S = 0.018
# A first number that no final one came for within this time was no firing.
GIVEN_UP_S = 3.0
SAME_S = 0.01
KEPT_S = 40.0
COLUMNS = 240


@dataclass(frozen=True, slots=True)
class Heard:
    """A firing as far as it is known now; `gone` where it turned out to be none."""

    firing: Firing
    sort: Literal["provisional", "final", "gone"]


class Ear:
    """Hears samples in the order of the stream, from the first on.

    Parameters
    ----------
    sample_rate_hz : float
    how : How
        Whether light or clicks are listened to, and how.
    resolution : float
        Smallest step of the samples.
    """

    def __init__(self, *, sample_rate_hz: float, how: How, resolution: float) -> None:
        self._rate = sample_rate_hz
        self._arrangement = how.arrangement
        self._light = LightListener(sample_rate_hz=sample_rate_hz, resolution=resolution)
        self._clicks = _click_listener(sample_rate_hz, how) if how.kind == "sound" else None
        self._kept: deque[tuple[int, Samples]] = deque()
        self._heard = 0
        self._pending: Firing | None = None
        self._last_s = -1.0

    @property
    def heard_s(self) -> float:
        """How much of the stream was heard."""
        return self._heard / self._rate

    def hear(self, samples: Samples, gaps: Sequence[Gap]) -> tuple[Heard, ...]:
        """Take more samples of the stream; return what they say of firings."""
        block = Block(samples, self._rate, self._heard)
        self._keep(samples)
        listener = self._clicks or self._light
        news = [self._final(one, gaps) for one in listener.feed(block)]
        return (*news, *self._so_far(gaps), *self._given_up())

    def close(self, gaps: Sequence[Gap]) -> tuple[Heard, ...]:
        """Say that nothing follows."""
        listener = self._clicks or self._light
        return tuple(self._final(one, gaps) for one in listener.close())

    def trace(self, firing: Firing) -> Envelope | None:
        """Return the outline of a firing with a little before and after it, if it was heard lately."""
        open_s = firing.total_open_s or firing.open_s or 0.1
        around = max(0.005, 0.35 * open_s)
        first = max(0, round((firing.start_s - around) * self._rate))
        stop = min(self._heard, round((firing.start_s + open_s + around) * self._rate))
        if not self._kept or first < self._kept[0][0] or stop - first < 2:
            return None
        samples = np.concatenate([piece for _, piece in self._kept])
        begin = self._kept[0][0]
        return envelope(
            samples[first - begin : stop - begin],
            sample_rate_hz=self._rate,
            start_s=first / self._rate,
            columns=COLUMNS,
        )

    def _keep(self, samples: Samples) -> None:
        self._kept.append((self._heard, samples))
        self._heard += samples.size
        while self._heard - self._kept[0][0] > KEPT_S * self._rate and len(self._kept) > 1:
            self._kept.popleft()

    def _final(self, firing: Firing, gaps: Sequence[Gap]) -> Heard:
        self._pending = None
        self._last_s = max(self._last_s, firing.start_s)
        return Heard(self._told(firing, gaps), "final")

    def _so_far(self, gaps: Sequence[Gap]) -> list[Heard]:
        """Return the first number of a firing that has just ended, once; clicks may change it."""
        if self._clicks is not None:
            found = self._clicks.provisional()
        else:
            after = -1 if self._pending is None else self._pending.start_s
            after_s = max(after, self._last_s) + SAME_S
            found = self._light.provisional(settle_s=SETTLE_S, after_index=round(after_s * self._rate))
        if found is None or found.start_s <= self._last_s + SAME_S:
            return []
        known, self._pending = self._pending, found
        if known is not None and is_same(known, found) and known.open_s == found.open_s:
            return []
        return [Heard(self._told(found, gaps), "provisional")]

    def _given_up(self) -> list[Heard]:
        pending = self._pending
        if pending is None:
            return []
        end_s = pending.start_s + (pending.total_open_s or pending.open_s or 0.0)
        if self.heard_s - end_s < GIVEN_UP_S:
            return []
        self._pending, self._last_s = None, pending.start_s
        return [Heard(pending, "gone")]

    def _told(self, firing: Firing, gaps: Sequence[Gap]) -> Firing:
        refined = refine((firing,), self._arrangement)
        return without_gaps(refined, gaps)[0]


def is_same(one: Firing, other: Firing) -> bool:
    """Tell whether two firings of one stream are the same, by when they began."""
    return abs(one.start_s - other.start_s) <= SAME_S


def _click_listener(sample_rate_hz: float, how: How) -> SoundListener:
    known = how.click_offset_s is not None
    usual = USUAL_U_CLICK_OFFSET_S if how.u_click_offset_s is None else how.u_click_offset_s
    return SoundListener(
        sample_rate_hz=sample_rate_hz, offset_s=how.click_offset_s, u_offset_s=usual if known else None
    )
