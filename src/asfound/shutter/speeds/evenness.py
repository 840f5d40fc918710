"""How even the steps of a dial are: each speed against its neighbour."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """From one marked speed to the next shorter one.

    Attributes
    ----------
    slower, faster : str
        The two marks.
    marked_stops, measured_stops : float
        How far apart they should be, and are.
    error_stops, u_error_stops : float
        Measured less marked, positive where the step is too large; its standard uncertainty.
    """

    slower: str
    faster: str
    marked_stops: float
    measured_stops: float
    error_stops: float
    u_error_stops: float


def evenness(rows: Sequence[tuple[str, float, float | None, float | None]]) -> tuple[Step, ...]:
    """Return the steps between neighbours, from the longest time to the shortest.

    Parameters
    ----------
    rows : sequence of (str, float, float or None, float or None)
        Mark, marked time in seconds, error in stops and its standard uncertainty; rows without a time
        are passed over.
    """
    timed = sorted((row for row in rows if row[2] is not None), key=lambda row: -row[1])
    return tuple(_step(a, b) for a, b in pairwise(timed) if a[1] > b[1])


def _step(
    slower: tuple[str, float, float | None, float | None], faster: tuple[str, float, float | None, float | None]
) -> Step:
    asked = math.log2(slower[1] / faster[1])
    error = (slower[2] or 0.0) - (faster[2] or 0.0)
    return Step(
        slower=slower[0],
        faster=faster[0],
        marked_stops=asked,
        measured_stops=asked + error,
        error_stops=error,
        u_error_stops=math.hypot(slower[3] or 0.0, faster[3] or 0.0),
    )
