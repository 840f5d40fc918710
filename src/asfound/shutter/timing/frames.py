"""Firings from a video: the brightness of a region, frame by frame."""

import math

import numpy as np
from numpy.typing import NDArray

from asfound.shutter.timing.coupling import Floats
from asfound.shutter.timing.firing import Firing, Flag

SEEN_SHARE = 0.15  # of the greatest brightness: a frame with more belongs to a firing
SEEN_SIGMAS = 6.0
WORST_SHARE = 0.3  # uncertainty over time above which the frames settle nothing


def firings_from_frames(time_s: Floats, brightness: Floats, *, slow_motion: float = 1.0) -> tuple[Firing, ...]:
    """Return the firings that a row of frames shows.

    Parameters
    ----------
    time_s : ndarray, shape (n,)
        When each frame is shown, in the file's own time; intervals may vary.
    brightness : ndarray, shape (n,)
        Light in the region, in any unit that grows evenly with light.
    slow_motion : float
        How many times slower the file plays than it was taken.

    Notes
    -----
    Effective time: sum of the brightness over its plateau, times the frame interval. When within a frame
    the camera's own shutter is open is not known, so each end of the exposure is open by a frame interval
    (rectangular): u = interval sqrt(2/12) (worked here).
    """
    if time_s.size < 4:
        return ()
    time = time_s / slow_motion
    dark = float(np.median(brightness))
    noise = 1.4826 * float(np.median(np.abs(brightness - dark)))
    level = max(SEEN_SIGMAS * noise, SEEN_SHARE * (float(brightness.max()) - dark))
    if level <= 0:
        return ()
    lit = brightness - dark > level
    step = np.diff(time, append=2 * time[-1] - time[-2])
    return tuple(_firing(time, brightness - dark, step, noise, first, stop) for first, stop in _runs(lit))


def _runs(lit: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Return first and one-past-last frame of each run of lit frames."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], lit, [False]]).astype(np.int8)))
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def _firing(time: Floats, light: Floats, step: Floats, noise: float, first: int, stop: int) -> Firing:
    inner = light[first + 1 : stop - 1]
    plateau = float(np.median(inner)) if inner.size else float(light.max())
    around = slice(max(0, first - 1), min(light.size, stop + 1))
    effective = float((np.clip(light[around], 0, None) * step[around]).sum()) / plateau
    interval = float(np.median(step[around]))
    random = noise / plateau * interval * math.sqrt(stop - first)
    u = math.hypot(random, interval * math.sqrt(2 / 12))
    flags = []
    if first == 0 or stop == light.size:
        flags.append(Flag.TRUNCATED)
    if u > WORST_SHARE * effective:
        flags.append(Flag.TOO_FAST_FOR_FRAMES)
    return Firing(
        start_s=float(time[first]),
        effective_s=None if flags else effective,
        u_random_s=None if flags else random,
        u_effective_s=None if flags else u,
        flags=tuple(flags),
        start_index=first,
        stop_index=stop,
        base=0.0,
        plateau=plateau,
    )
