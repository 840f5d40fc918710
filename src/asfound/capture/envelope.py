"""The outline of a stretch of a sound file: least and greatest sample of each column of a drawing."""

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from asfound.capture.sound import inspect_sound, read_blocks
from asfound.problems import bad_input

Floats = NDArray[np.float64]


def trace_envelope(
    path: Path | str, start_s: float, stop_s: float, columns: int, *, channel: int = 0
) -> tuple[Floats, Floats, Floats]:
    """Return the outline of a stretch, read in bounded memory.

    Parameters
    ----------
    path : path
        WAV or FLAC.
    start_s, stop_s : float
        The stretch; what lies outside the recording is left out.
    columns : int
        How many columns the drawing has; fewer come back where there are fewer samples.
    channel : int
        From 0.

    Returns
    -------
    time_s, least, greatest : ndarray, shape (m,)
        Middle of each column and the extremes of its samples, full scale 1; m is at most `columns`.

    Raises
    ------
    BadInputError
        If the file cannot be read, or the stretch is empty.
    """
    sound = inspect_sound(path)
    first = max(0, int(np.floor(start_s * sound.sample_rate_hz)))
    stop = min(sound.frames, int(np.ceil(stop_s * sound.sample_rate_hz)))
    if stop <= first or columns < 1 or not 0 <= channel < sound.channels:
        what = f"nothing lies between {start_s:g} s and {stop_s:g} s"
        raise bad_input(sound.path.name, what, f"choose a stretch within 0 to {sound.duration_s:g} s")
    bounds = first + (np.arange(columns + 1, dtype=np.int64) * (stop - first)) // columns
    bounds = np.unique(bounds)
    least = np.full(bounds.size - 1, np.inf)
    greatest = -least
    for block in read_blocks(sound, channel=channel, start=first, stop=stop):
        _gather(block.samples, block.start_index, bounds, least, greatest)
    return (bounds[:-1] + bounds[1:] - 1) / 2 / sound.sample_rate_hz, least, greatest


def _gather(
    samples: NDArray[np.float32], start: int, bounds: NDArray[np.int64], least: Floats, greatest: Floats
) -> None:
    """Lay a block's extremes into the columns that it touches."""
    low = int(np.searchsorted(bounds, start, side="right")) - 1
    high = int(np.searchsorted(bounds, start + samples.size, side="left"))
    cuts = np.maximum(bounds[low:high] - start, 0)
    least[low:high] = np.minimum(least[low:high], np.minimum.reduceat(samples, cuts))
    greatest[low:high] = np.maximum(greatest[low:high], np.maximum.reduceat(samples, cuts))
