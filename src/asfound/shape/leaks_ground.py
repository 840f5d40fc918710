"""The background of a leak photograph, its noise, and how far above it a spot must stand.

Everything here works on the photograph's own grey scale (IEC 61966-2-1), where the steps of eight bits and the noise
of JPEG are alike in the dark and in the light.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage, special

Grey = NDArray[np.float32]

# The probe: nine places on a line, three apart, in twelve directions; at every level of the pyramid the same.
DIRECTIONS = 12
_STEP, _ARM = 3, 4
REACH = _STEP * _ARM
SMOOTHED = 1.0
# Uncertainty of the background, as a share of what the directions differ by beyond what noise alone makes of it.
_UNSURE, _PLAIN = 0.05, 5.0
# Nearer to the border of a level than this nothing is looked for: half of each probe lies outside.
MARGIN = 8
_ROWS = 144
_EVERY = 3
_TILE = 48
# Half of one step of eight bits: a picture without noise of its own is no surer than that.
LEAST_NOISE = 0.5 / 255
# Between the tail of a normal distribution (2) and of an exponential one (1).
_TAIL = 1.5
# A level smaller than this would take the swell of the lamp's own light for a spot.
LEAST_SIDE = 96


@dataclass(frozen=True, slots=True)
class Level:
    """One level of the pyramid: each pixel is 2 to the power of `level` pixels of the photograph's wide.

    Attributes
    ----------
    smooth : array
        The photograph at this level, smoothed by a Gaussian of one pixel.
    height : array
        How far it stands above the brightest of the lines through each pixel.
    noise : array
        Standard deviation, place by place.
    threshold : float
        In units of the noise.
    """

    level: int
    smooth: Grey
    height: Grey
    noise: Grey
    threshold: float

    @property
    def background(self) -> Grey:
        """The brightest of the lines through each pixel."""
        return self.smooth - self.height

    @property
    def size_px(self) -> int:
        """How many pixels of the photograph one pixel of this level is wide."""
        return 1 << self.level


def pyramid(grey: Grey) -> Iterator[Grey]:
    """Return the photograph, then each time half as large, down to a hundred pixels."""
    while min(grey.shape) >= LEAST_SIDE:
        yield grey
        grey = halved(grey)


def halved(grey: Grey) -> Grey:
    """Return the mean of each two by two pixels; an odd last row or column is left out."""
    rows, columns = (side // 2 * 2 for side in grey.shape)
    even = grey[:rows, :columns]
    return np.asarray((even[::2, ::2] + even[1::2, ::2] + even[::2, 1::2] + even[1::2, 1::2]) / 4, dtype=np.float32)


def level_of(
    grey: Grey,
    level: int,
    *,
    share: float,
    seen: NDArray[np.bool_] | None = None,
    progress: Callable[[float], None] = lambda _share: None,
) -> Level:
    """Return what stands above the background at one level.

    Parameters
    ----------
    share : float
        Expected number of false spots at this level in a photograph that shows none.
    seen : array of bool, optional
        Where finer levels have found a spot: left out of the statistics.
    progress : callable
        Called with the share done; what it raises ends the work.
    """
    smooth = np.asarray(ndimage.gaussian_filter(grey, SMOOTHED, mode="nearest"))
    low, high, left = lines(smooth, progress=progress)
    noise = _noise(left, smooth.shape)
    # Where the directions differ, on a fold or where two scratches cross, the background itself is less sure.
    noise = np.hypot(noise, _UNSURE * np.maximum(high - low - _PLAIN * noise, 0))
    height = smooth - high
    inside = (slice(MARGIN, -MARGIN),) * 2
    above, below = (height / noise)[inside], ((low - smooth) / noise)[inside]
    threshold = threshold_of(above, below, share=share, seen=None if seen is None else seen[inside])
    return Level(level, smooth, height, noise, threshold)


def lines(smooth: Grey, *, progress: Callable[[float], None] = lambda _share: None) -> tuple[Grey, Grey, Grey]:
    """Return the least and the greatest median along a line through each pixel, and what is left in each direction.

    A compact spot no wider than half the line is in none of the medians; a fold, an edge or a scratch longer than
    half the line is in the one that runs along it (directional medians; common practice, no source). A line that
    runs between two directions is met by looking one pixel to each side. What is left is given at every third pixel
    each way, for the noise.
    """
    padded = np.pad(smooth, REACH, mode="reflect")
    under, over = (np.asarray(one(padded, size=3)) for one in (ndimage.minimum_filter, ndimage.maximum_filter))
    low, high = np.full_like(smooth, np.inf), np.full_like(smooth, -np.inf)
    left = np.empty((DIRECTIONS, *smooth[::_EVERY, ::_EVERY].shape), dtype=np.float32)
    for n in range(DIRECTIONS):
        taps = _taps(n)
        left[n] = smooth[::_EVERY, ::_EVERY] - _medians(padded, padded, taps, smooth.shape, _EVERY)
        for first in range(0, len(smooth), _ROWS):
            here = slice(first, first + _ROWS)
            strip = slice(first, first + _ROWS + 2 * REACH)
            np.minimum(low[here], _medians(padded[strip], under[strip], taps, low[here].shape), out=low[here])
            np.maximum(high[here], _medians(padded[strip], over[strip], taps, low[here].shape), out=high[here])
        progress((n + 1) / DIRECTIONS)
    return low, high, left


def _taps(direction: int) -> list[tuple[int, int]]:
    """Return the places of one probe, row and column in a padded picture; the middle one stands first."""
    sine, cosine = math.sin(math.pi * direction / DIRECTIONS), math.cos(math.pi * direction / DIRECTIONS)
    arms = [0, *(k for k in range(-_ARM, _ARM + 1) if k)]
    return [(REACH + round(_STEP * k * sine), REACH + round(_STEP * k * cosine)) for k in arms]


def _medians(itself: Grey, around: Grey, taps: list[tuple[int, int]], shape: tuple[int, ...], every: int = 1) -> Grey:
    """Return the median of a pixel itself and the places around it."""
    rows, columns = shape
    sides = (itself, *(around,) * (len(taps) - 1))
    return _median_of_nine(
        [side[y : y + rows : every, x : x + columns : every].copy() for side, (y, x) in zip(sides, taps, strict=True)]
    )


# Exchanges that bring the median of nine to the fifth place (well known; from memory, held to numpy's in the tests).
_EXCHANGES = (
    (1, 2), (4, 5), (7, 8), (0, 1), (3, 4), (6, 7), (1, 2), (4, 5), (7, 8), (0, 3), (5, 8), (4, 7), (3, 6), (1, 4),
    (2, 5), (4, 7), (4, 2), (6, 4), (4, 2),
)  # fmt: skip


def _median_of_nine(values: list[Grey]) -> Grey:
    """Return the median of nine arrays, which are overwritten."""
    spare = np.empty_like(values[0])
    for a, b in _EXCHANGES:
        np.minimum(values[a], values[b], out=spare)
        np.maximum(values[a], values[b], out=values[b])
        values[a], spare = spare, values[a]
    return values[4]


def _noise(left: Grey, shape: tuple[int, ...]) -> Grey:
    """Return the noise place by place: half the middle 68 % of what is left in a tile, or its wider side.

    Of the twelve directions the one along which least is left: the folds of the tile run that way.
    """
    rows, columns = (max(1, side // _TILE) for side in shape)
    tiles = np.empty((rows, columns), dtype=np.float32)
    for row, down in enumerate(np.array_split(np.arange(left.shape[1]), rows)):
        for column, along in enumerate(np.array_split(np.arange(left.shape[2]), columns)):
            tile = left[:, down[0] : down[-1] + 1, along[0] : along[-1] + 1].reshape(DIRECTIONS, -1)
            low, middle, high = np.percentile(tile, (15.9, 50, 84.1), axis=1)
            tiles[row, column] = max(float(np.maximum(high - middle, middle - low).min()), LEAST_NOISE)
    wide = ndimage.percentile_filter(tiles, 75, size=3, mode="nearest")
    return _spread(wide, shape)


def _spread(tiles: Grey, shape: tuple[int, ...]) -> Grey:
    """Return tile values over the whole picture, straight between the middles of the tiles."""
    down, along = ((np.arange(full) + 0.5) * (few / full) - 0.5 for full, few in zip(shape, tiles.shape, strict=True))
    by_row = np.stack([np.interp(along, np.arange(tiles.shape[1]), row) for row in tiles])
    low = np.clip(np.floor(down).astype(int), 0, len(tiles) - 1)
    high = np.minimum(low + 1, len(tiles) - 1)
    share = np.clip(down - low, 0, 1)[:, None]
    return np.asarray(by_row[low] * (1 - share) + by_row[high] * share, dtype=np.float32)


def threshold_of(above: Grey, below: Grey, *, share: float, seen: NDArray[np.bool_] | None = None) -> float:
    """Return how many times the noise a spot must stand above its background.

    No less than normal noise would want for `share` false spots over all the pixels, and no less than what two tails
    of the same picture want: the dark excursions, among which no leak can be, and the body of the bright ones.
    """
    chance = share / above.size
    normal = float(-special.ndtri(chance))
    free = slice(None) if seen is None else ~seen
    dark = _beyond(below[free], inner=_least_share(below.size, 200), outer=_least_share(below.size, 20), chance=chance)
    first = max(normal, dark)
    # The bright ones without what is a spot already: its foot as well as its top.
    feet = ndimage.binary_propagation(above > first, mask=above > 2.0)
    body = above[~feet if seen is None else ~(feet | seen)]
    if body.size < 400:
        return first
    return max(first, _beyond(body, inner=0.1, outer=0.01, chance=chance))


def _least_share(count: int, wanted: int) -> float:
    """Return the outermost share that still holds so many pixels, from one in a hundred to one in a thousand."""
    return min(max(wanted / count, 1e-3 * wanted / 20), 0.1)


def _beyond(values: Grey, *, inner: float, outer: float, chance: float) -> float:
    """Return where a tail drawn through two of its quantiles falls to a chance."""
    if values.size < 400:
        return 0.0
    near, far = np.maximum(np.quantile(values, (1 - inner, 1 - outer)), 0.1) ** _TAIL
    slope = max(far - near, 0.0) / math.log(inner / outer)
    return float((far + slope * math.log(outer / chance)) ** (1 / _TAIL))
