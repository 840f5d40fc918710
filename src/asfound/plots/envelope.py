"""Many samples as few: the lowest and highest in each column of a picture."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Envelope:
    """Lowest and highest sample of each column, and the time of the column's middle.

    Attributes
    ----------
    times_s, lowest, highest : array of float, shape (columns,)
    """

    times_s: NDArray[np.float64]
    lowest: NDArray[np.float64]
    highest: NDArray[np.float64]


def envelope(
    samples: NDArray[np.floating], *, sample_rate_hz: float, start_s: float = 0.0, columns: int = 900
) -> Envelope:
    """Return the envelope of samples; where there are no more samples than columns, the samples themselves.

    No sample is lost: every one lies between the lowest and the highest of its column.

    Parameters
    ----------
    samples : array of float, shape (n,)
        At least one.
    start_s : float
        Time of the first sample.
    columns : int
        At most so many columns, one or more.
    """
    values = np.asarray(samples, dtype=np.float64)
    count = len(values)
    starts = np.unique(np.linspace(0, count, min(columns, count), endpoint=False).astype(np.intp))
    stops = np.append(starts[1:], count)
    middles = (starts + stops - 1) / 2
    return Envelope(
        start_s + middles / sample_rate_hz,
        np.minimum.reduceat(values, starts),
        np.maximum.reduceat(values, starts),
    )
