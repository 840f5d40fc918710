"""Light leaks: the spots of a photograph of the bellows with a lamp inside, or of a film strip."""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from asfound.problems import bad_input
from asfound.shape.leaks_ground import LEAST_SIDE, MARGIN, Grey, Level, halved, level_of, pyramid
from asfound.shape.leaks_spot import Found, Spot, measure, seeds_of

Light = NDArray[np.float32]

# Expected number of spots in a photograph that shows none.
FALSE_SPOTS = 0.001
# A photograph is brought to no more pixels than this before spots are looked for.
MOST_PIXELS = 4_000_000
# Narrower than this, a spot cannot be told from a single pixel of the sensor that is always bright.
LEAST_FWHM_PX = 2.0
# JPEG makes ripples around a bright spot within its block of 8 pixels and the one beside it.
_RIPPLE_PX, _RIPPLE = 16, 0.12
_MOST_SPOTS = 200
# In pixels of its own level.
_LONGEST = 16
_CUT = 16
# Wider than this in the pixels it was measured in, a spot is measured again in larger ones.
_WIDE = 6
# So many times its threshold, a spot stands out enough to be measured one level finer than it was found at.
_SURE = 3.0
_LIMIT_EVERY = 4
_CODED = 0.0031308


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaks:
    """The spots of one photograph, the brightest first.

    Attributes
    ----------
    spots : tuple of Spot
    points : tuple of Spot
        Too narrow to be told from a bright pixel of the sensor itself; they count for nothing until a second
        photograph, taken with the camera moved, shows whether they moved with the bellows.
    columns, rows : int
        Size of the photograph.
    least_contrast : float
        What a spot as sharp as the photograph must stand above its background to be found, in the middle of all
        places; on the photograph's own scale, black 0 and white 1.
    mm_per_px : float or None
    reduced : int
        How many pixels, each way, were taken together before spots were looked for.
    false_spots : float
        The false-alarm rate: expected number of spots in a photograph that shows none.
    too_many : bool
        There were more than 200; the brightest are given.
    limits : tuple of arrays
        For `limit_at`: by level, at every fourth pixel each way.
    """

    spots: tuple[Spot, ...]
    points: tuple[Spot, ...]
    columns: int
    rows: int
    least_contrast: float
    mm_per_px: float | None
    reduced: int
    false_spots: float
    too_many: bool = False
    limits: tuple[Grey, ...] = field(default=(), repr=False, compare=False)

    def limit_at(self, x_px: float, y_px: float, level: int) -> float | None:
        """Return what a spot must stand above its background to be found there; None where nothing is looked for."""
        if not 0 <= level < len(self.limits):
            return None
        limits = self.limits[level]
        size = (1 << level) * self.reduced * _LIMIT_EVERY
        row, column = (int((place + 0.5) // size) for place in (y_px, x_px))
        if not (0 <= row < limits.shape[0] and 0 <= column < limits.shape[1]):
            return None
        limit = float(limits[row, column])
        return limit if math.isfinite(limit) else None


def find_leaks(
    light: Light,
    *,
    dark_spots: bool = False,
    mm_per_px: float | None = None,
    false_spots: float = FALSE_SPOTS,
    progress: Callable[[float], None] = lambda _share: None,
) -> Leaks:
    """Find the spots that stand above (or below) the background of a photograph.

    Parameters
    ----------
    light : (rows, columns) array
        Proportional to light, black 0 and white 1.
    dark_spots : bool
        Look for spots darker than their background: light that leaked onto a film is dark on the negative.
    mm_per_px : float, optional
        Scale, where known.
    false_spots : float
        Expected number of false spots in a photograph that shows none, above 0 and below 1.
    progress : callable
        Called with the share done; what it raises ends the work.

    Raises
    ------
    BadInputError
        If the photograph is smaller than 96 pixels either way, or holds no light or nothing but light.

    Notes
    -----
    At each level of a pyramid, the background is the brightest of twelve directional medians, so that gradients,
    folds and edges belong to it; noise is the middle 68 % of each tile; the threshold follows from `false_spots` by
    a normal tail or the picture's own tails, whichever wants more (common practice, no source). Widths from 2
    pixels to about a tenth of the shorter side. Streaks that run right across are taken for background.
    """
    _check(light, mm_per_px, false_spots)
    sense = _negative if dark_spots else _positive
    reduced = math.ceil(math.sqrt(light.size / MOST_PIXELS))
    base = sense(together(light, reduced))
    grey = coded(base)
    levels: list[Level] = []
    found: list[Found] = []
    sides = list(pyramid(grey))
    done, whole = 0, sum(side.size for side in sides)
    for n, side in enumerate(sides):
        part = _part_of(progress, done / whole, side.size / whole)
        seen = _seen(found, side.shape, n)
        levels.append(level_of(side, n, share=false_spots / len(sides), seen=seen, progress=part))
        found += seeds_of(levels[-1])
        done += side.size
    kept = _chosen(found)
    measured = (_measured(light, base, sense, one, reduced) for one in kept)
    spots = _shared(_distinct(spot for spot in measured if spot is not None and _compact(spot, reduced)))
    wide = tuple(spot for spot in spots if spot.fwhm_px >= LEAST_FWHM_PX)
    return Leaks(
        spots=wide[:_MOST_SPOTS],
        points=tuple(spot for spot in spots if spot.fwhm_px < LEAST_FWHM_PX)[:_MOST_SPOTS],
        columns=light.shape[1],
        rows=light.shape[0],
        least_contrast=levels[0].threshold * float(np.median(levels[0].noise)),
        mm_per_px=mm_per_px,
        reduced=reduced,
        false_spots=false_spots,
        too_many=len(wide) > _MOST_SPOTS,
        limits=tuple(_limits(level) for level in levels),
    )


def _part_of(progress: Callable[[float], None], start: float, length: float) -> Callable[[float], None]:
    """Return the progress of one part of the work."""
    return lambda share: progress(start + length * share)


def _limits(level: Level) -> Grey:
    limits = level.threshold * level.noise
    for axis in (0, 1):
        ends = np.moveaxis(limits, axis, 0)
        ends[:MARGIN] = ends[-MARGIN:] = np.inf
    return limits[::_LIMIT_EVERY, ::_LIMIT_EVERY].copy()


def _check(light: Light, mm_per_px: float | None, false_spots: float) -> None:
    if light.ndim != 2 or min(light.shape) < LEAST_SIDE:
        size = " by ".join(str(side) for side in light.shape[::-1])
        raise bad_input("photograph", f"{size} pixels are too few", f"give {LEAST_SIDE} or more each way")
    if float(light.max()) == float(light.min()):
        raise bad_input("photograph", "it is the same everywhere", "expose it so that the bellows just shows")
    if mm_per_px is not None and not 1e-5 < mm_per_px < 100:
        raise bad_input("scale", f"{mm_per_px:g} mm to a pixel is out of all proportion", "measure it again")
    if not 0 < false_spots < 1:
        raise bad_input("false spots", f"{false_spots:g} is no rate", "give it above 0 and below 1")


def _positive(light: Light) -> Light:
    return light


def _negative(light: Light) -> Light:
    """Turn a negative round on its own scale, which has as many steps in the dark as in the light."""
    return linear(1 - coded(light))


def coded(light: Light) -> Grey:
    """Return light on the photograph's own grey scale (sRGB, IEC 61966-2-1, from memory)."""
    low = np.clip(light, 0, 1)
    return np.asarray(
        np.where(low <= _CODED, low * np.float32(12.92), 1.055 * np.power(low, 1 / 2.4) - 0.055), dtype=np.float32
    )


def linear(grey: Grey) -> Light:
    """Return what `coded` was given."""
    high = np.power((grey + 0.055) / 1.055, 2.4)
    return np.asarray(np.where(grey <= _CODED * 12.92, grey / np.float32(12.92), high), dtype=np.float32)


def together(light: Light, count: int) -> Light:
    """Return the mean of each `count` by `count` pixels; what is left over at the right and below is left out."""
    if count == 1:
        return light
    rows, columns = (side // count for side in light.shape)
    small = np.empty((rows, columns), dtype=np.float32)
    for row in range(rows):
        strip = light[row * count : (row + 1) * count, : columns * count]
        small[row] = strip.reshape(count, columns, count).mean(axis=(0, 2))
    return small


def _seen(found: Sequence[Found], shape: tuple[int, ...], level: int) -> NDArray[np.bool_] | None:
    """Return where finer levels have found a spot, with its surroundings."""
    if not found:
        return None
    mask = np.zeros(shape, dtype=bool)
    for one in found:
        x, y = ((place + 0.5) / 2**level - 0.5 for place in one.at)
        reach = math.ceil(4 * one.level.size_px / 2**level) + 1
        rows, columns = (slice(max(round(place) - reach, 0), round(place) + reach + 1) for place in (y, x))
        mask[rows, columns] = True
    return mask


def _chosen(found: Sequence[Found]) -> list[Found]:
    """Return each spot once, at the level where it stands out best, without the ripples around it."""
    found = [one for one in found if not _several(one, found)]
    kept: list[Found] = []
    for one in sorted(found, key=lambda each: -each.surety):
        if not any(_same(one, other) or _ripple_of(one, other) for other in kept):
            kept.append(one)
    return kept


def _apart(one: Found, other: Found) -> float:
    (x1, y1), (x2, y2) = one.at, other.at
    return math.hypot(x1 - x2, y1 - y2)


def _several(one: Found, found: Sequence[Found]) -> bool:
    """Tell whether a finer level shows two or more spots where this one is, and darkness between them."""
    within = [
        other for other in found if other.level.level < one.level.level and _apart(one, other) < 4 * one.level.size_px
    ]
    ground = float(one.level.background[one.row, one.column])
    return any(
        first.level.level == second.level.level and _parted(first, second, ground)
        for n, first in enumerate(within)
        for second in within[:n]
    )


def _parted(first: Found, second: Found, ground: float) -> bool:
    """Tell whether the picture dips between two spots of a level, by a fifth of the lesser one's height."""
    smooth = first.level.smooth - ground
    rows, columns = (np.linspace(*ends, 40) for ends in ((first.row, second.row), (first.column, second.column)))
    along = smooth[np.rint(rows).astype(int), np.rint(columns).astype(int)]
    return bool(along.min() < 0.8 * min(along[0], along[-1]))


def _same(one: Found, other: Found) -> bool:
    """Tell whether two are one spot, seen at two levels; at one level they are apart already."""
    if one.level.level == other.level.level:
        return False
    return _apart(one, other) < 4 * max(one.level.size_px, other.level.size_px)


def _ripple_of(one: Found, other: Found) -> bool:
    near = _RIPPLE_PX + 4 * other.level.size_px
    return one.contrast < _RIPPLE * other.contrast and _apart(one, other) < near


def _measured(light: Light, base: Light, sense: Callable[[Light], Light], found: Found, reduced: int) -> Spot | None:
    """Measure a spot where its pixels are finest: small ones in the photograph as it came, wide ones from afar."""
    if found.level.level == 0 and reduced > 1:
        spot = _in_whole(light, sense, found, reduced)
        if spot is None or spot.fwhm_px < _WIDE:
            return spot
    finer = found.level.level > 0 and found.surety > _SURE
    for times in range(-1 if finer else 0, 3):
        spot = _at_level(base, found, reduced, times)
        if spot is None or spot.fwhm_px < _WIDE * found.level.size_px * reduced * 2**times:
            break
    return spot


def _at_level(base: Light, found: Found, reduced: int, times: int) -> Spot | None:
    """Measure a spot at its own level, or with its pixels halved so many times again; -1 for twice as fine."""
    size, coarser, finer = found.level.size_px, max(times, 0), max(-times, 0)
    first, rows, columns = _near(found.row, found.column, found.level.smooth.shape, _CUT << coarser, 1 << coarser)
    part = base[rows.start * size : rows.stop * size, columns.start * size : columns.stop * size]
    part = together(part, size >> finer)
    background = linear(found.level.background[rows, columns])
    for _ in range(coarser):
        part, background = halved(part), halved(background)
    if finer:
        background = background.repeat(2, axis=0).repeat(2, axis=1)
    row, column = (((found.row - first[0]) << finer) >> coarser, ((found.column - first[1]) << finer) >> coarser)
    spot = measure(part, background, replace(found, row=row, column=column), size_px=(size << coarser) >> finer)
    return None if spot is None else _moved(spot, first[1] * size, first[0] * size, reduced)


def _in_whole(light: Light, sense: Callable[[Light], Light], found: Found, reduced: int) -> Spot | None:
    first, rows, columns = _near(found.row, found.column, found.level.smooth.shape)
    whole = (slice(one.start * reduced, one.stop * reduced) for one in (rows, columns))
    part = sense(light[tuple(whole)])
    coarse = linear(found.level.background[rows, columns])
    background = np.asarray(ndimage.zoom(coarse, reduced, order=1, grid_mode=True, mode="nearest"))
    middle = reduced // 2
    local = replace(
        found, row=(found.row - first[0]) * reduced + middle, column=(found.column - first[1]) * reduced + middle
    )
    spot = measure(part, background, local, size_px=1)
    return None if spot is None else _moved(spot, first[1] * reduced, first[0] * reduced, 1)


def _near(
    row: int, column: int, shape: tuple[int, ...], reach: int = _CUT, step: int = 1
) -> tuple[tuple[int, int], slice, slice]:
    """Return the first row and column of what is cut out around a spot, both multiples of `step`, and the ranges."""
    top, left = (max(place - reach, 0) // step * step for place in (row, column))
    return (top, left), slice(top, min(row + reach + 1, shape[0])), slice(left, min(column + reach + 1, shape[1]))


def _compact(spot: Spot, reduced: int) -> bool:
    """Tell whether a spot is no longer than a probe can take for one: where scratches cross, it would be."""
    return spot.long_px <= _LONGEST * (1 << spot.level) * reduced


def _distinct(spots: Iterable[Spot]) -> tuple[Spot, ...]:
    """Return spots that are not the same light measured twice, from two tops along it; the surest first."""
    kept: list[Spot] = []
    for spot in spots:
        if not any(math.hypot(spot.x_px - one.x_px, spot.y_px - one.y_px) < one.wide_px / 3 + 1 for one in kept):
            kept.append(spot)
    return tuple(kept)


def _moved(spot: Spot, left: int, top: int, reduced: int) -> Spot:
    """Return a spot that was measured in a part of a picture that stands at (left, top), in the photograph."""
    return replace(
        spot,
        x_px=(spot.x_px + left + 0.5) * reduced - 0.5,
        y_px=(spot.y_px + top + 0.5) * reduced - 0.5,
        u_px=spot.u_px * reduced,
        fwhm_px=spot.fwhm_px * reduced,
        long_px=spot.long_px * reduced,
        wide_px=spot.wide_px * reduced,
        light=spot.light * reduced**2,
    )


def _shared(spots: tuple[Spot, ...]) -> tuple[Spot, ...]:
    """Return spots with their share of all the light, the brightest first."""
    whole = sum(spot.light for spot in spots) or 1.0
    shared = (replace(spot, light_share=spot.light / whole) for spot in spots)
    return tuple(sorted(shared, key=lambda spot: (-spot.light, spot.y_px, spot.x_px)))
