"""A first look over a recording: which channel swings most, and whether it is light or sound."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from asfound.capture.sound import SoundFile, read_channels
from asfound.shutter.timing.block import Samples

CELL_S = 5e-4
# Share of the swing that is left after averaging over half a millisecond: light keeps it, clicks lose it.
LIGHT_KEEPS = 0.3


@dataclass(frozen=True, slots=True)
class Survey:
    """What a first look tells.

    Attributes
    ----------
    swing : tuple of float
        Greatest less least sample of each channel.
    smooth : tuple of float
        Share of the power that is left after averaging over half a millisecond, in each channel's liveliest
        block.
    """

    swing: tuple[float, ...]
    smooth: tuple[float, ...]

    @property
    def channel(self) -> int:
        """The channel that swings most; the first where none is clearly larger."""
        return 0 if self.swing[0] >= 0.9 * max(self.swing) else int(np.argmax(self.swing))

    def kind(self, channel: int) -> Literal["light", "sound"]:
        """Say whether a channel holds light or sound."""
        return "light" if self.smooth[channel] > LIGHT_KEEPS else "sound"


def survey(sound: SoundFile) -> Survey:
    """Look over a whole recording in bounded memory."""
    cell = max(4, round(CELL_S * sound.sample_rate_hz))
    low, high = np.full(sound.channels, np.inf), np.full(sound.channels, -np.inf)
    widest, smooth = np.full(sound.channels, -1.0), np.ones(sound.channels)
    for data in read_channels(sound):
        least, most = data.min(axis=1), data.max(axis=1)
        low, high = np.minimum(low, least), np.maximum(high, most)
        for channel in np.flatnonzero(most - least > widest):
            widest[channel] = most[channel] - least[channel]
            smooth[channel] = _smooth_share(data[channel], cell)
    return Survey(tuple((high - low).tolist()), tuple(smooth.tolist()))


def _smooth_share(samples: Samples, cell: int) -> float:
    """Return how much of the power of the liveliest tenth of the cells is left in their means."""
    cells = samples[: samples.size // cell * cell].reshape(-1, cell).astype(np.float64)
    if cells.shape[0] < 2:
        return 1.0
    cells -= np.median(samples)
    power = (cells**2).mean(axis=1)
    lively = np.argsort(power)[-max(1, power.size // 50) :]
    total = float(power[lively].sum())
    return float((cells[lively].mean(axis=1) ** 2).sum()) / total if total > 0 else 1.0
