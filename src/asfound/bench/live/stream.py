"""Blocks as they were received, put together to one stream of samples; what is missing is counted, not hidden."""

import numpy as np

from asfound.book.spool import SpooledBlock
from asfound.capture.live_file import Gap
from asfound.shutter.timing.block import Samples

# A gap longer than this is not filled to its whole length: nothing is measured across it anyway.
FILLED_MOST_S = 0.2


class Stream:
    """Gives the samples that each block adds.

    A block that is sent again adds nothing; one that begins later than expected leaves a gap, which is filled with
    the last sample (so that no edge is seen at it) and told.
    """

    def __init__(self, *, sample_rate_hz: float) -> None:
        self._most = round(FILLED_MOST_S * sample_rate_hz)
        self._last = np.float32(0)
        self.epoch: int | None = None
        self.next_frame = 0
        self.length = 0
        self.gaps: list[Gap] = []

    def add(self, block: SpooledBlock) -> Samples:
        """Return what a block adds to the stream, with what fills the gap before it."""
        if block.epoch != self.epoch:
            if self.epoch is not None:
                self.gaps.append(Gap(self.length, 0, None))
            self.epoch, self.next_frame = block.epoch, block.frame
        samples = block.samples[max(0, self.next_frame - block.frame) :]
        if not samples.size:
            return samples
        missing = max(0, block.frame - self.next_frame)
        filled = min(missing, self._most)
        if self.length and (missing or block.doubtful):
            self.gaps.append(Gap(self.length, filled, missing or None))
        added = np.concatenate([np.full(filled, self._last, np.float32), samples]) if filled else samples
        self.next_frame = block.frame + block.samples.size
        self.length += added.size
        self._last = added[-1]
        return added

    def knows(self, block: SpooledBlock) -> bool:
        """Tell whether a block holds nothing that has not come already."""
        return block.epoch == self.epoch and block.frame + block.samples.size <= self.next_frame
