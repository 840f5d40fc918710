"""A run of samples, and what listens to it."""

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from asfound.shutter.timing.firing import Firing

Samples = NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """Consecutive samples of one channel.

    Attributes
    ----------
    samples : ndarray of float32, shape (n,)
        Full scale is 1.
    sample_rate_hz : float
    start_index : int
        Number of the first sample, counted from the beginning of the recording.
    channel : int
        Which channel of the recording, from 0.
    """

    samples: Samples
    sample_rate_hz: float
    start_index: int
    channel: int = 0

    def __post_init__(self) -> None:
        if self.samples.ndim != 1 or self.samples.dtype != np.float32:
            raise TypeError("a block holds a one-dimensional float32 array")


class Listener(Protocol):
    """Hears blocks one after another and gives each firing once it is finished."""

    def feed(self, block: Block) -> tuple[Firing, ...]:
        """Take the next block; return the firings that it finished."""
        ...

    def close(self) -> tuple[Firing, ...]:
        """Say that nothing follows; return the firings that were still open."""
        ...
