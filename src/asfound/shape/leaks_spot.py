"""One spot of light: its place, its size and its light, from the pixels around it."""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from asfound.shape.leaks_ground import MARGIN, SMOOTHED, Level

Floats = NDArray[np.float64]

_FWHM = 2 * math.sqrt(2 * math.log(2))
# Variance of the even light of one pixel.
_PIXEL = 1 / 12
_FINER = 4
_WINDOW = 14
_FULL = 0.98


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A spot that stands above its background.

    Attributes
    ----------
    x_px, y_px : float
        Middle of its light, from the middle of the photograph's first pixel, to the right and down.
    u_px : float
        Standard uncertainty of either, from the noise.
    fwhm_px : float
        Diameter of the circle that has the area in which it is brighter than half its height. The blur of the lens,
        the focus and the file is in it: a hole may be much smaller.
    long_px, wide_px : float
        Length and width at half height, of the ellipse with the same moments.
    contrast : float
        Height above the background on the photograph's own scale, black 0 and white 1.
    surety : float
        How many times its threshold it stands above the background: 1 is just enough.
    light : float
        All its light above the background, proportional to light; in pixels of full white.
    light_share : float
        Of the light of all the spots.
    full : bool
        It is white in the photograph, so that its light is a least value and its size a most.
    level : int
        Of the pyramid, where it stood out best.
    """

    x_px: float
    y_px: float
    u_px: float
    fwhm_px: float
    long_px: float
    wide_px: float
    contrast: float
    surety: float
    light: float
    light_share: float
    full: bool
    level: int


@dataclass(frozen=True, slots=True)
class Found:
    """Where a level shows a spot, before it is measured: row, column and what it is worth."""

    level: Level
    row: int
    column: int
    surety: float
    contrast: float

    @property
    def at(self) -> tuple[float, float]:
        """Column and row in pixels of the photograph that the pyramid was made of."""
        return on_ground(self.column, self.level.level), on_ground(self.row, self.level.level)


def on_ground(place: float, level: int) -> float:
    """Return the place of a pixel of a level on the level below all others."""
    size: int = 2**level
    return (place + 0.5) * size - 0.5


def seeds_of(level: Level) -> list[Found]:
    """Return the spots of one level, two that touch told apart by a dip of a fifth between them."""
    over = np.zeros(level.height.shape, dtype=bool)
    inside = (slice(MARGIN, -MARGIN),) * 2
    over[inside] = (level.height > level.threshold * level.noise)[inside]
    labels, count = ndimage.label(over, structure=np.ones((3, 3)))
    found = []
    for label, box in enumerate(ndimage.find_objects(labels, max_label=count), start=1):
        for row, column in _tops(np.where(labels[box] == label, level.height[box], 0.0)):
            row, column = row + box[0].start, column + box[1].start
            height = float(level.height[row, column])
            surety = height / float(level.noise[row, column]) / level.threshold
            found.append(Found(level, row, column, surety, height))
    return found


def _tops(height: NDArray[Any]) -> list[tuple[int, int]]:
    """Return the tops in a patch that a dip of a fifth of the lesser parts from any higher one."""
    if height.size <= 9:
        return [_top(height)]
    from skimage.morphology import reconstruction  # slow to import

    padded = np.pad(height, 1)
    with np.errstate(divide="ignore"):
        scaled = np.log(np.maximum(padded, 1e-9))
    drop = scaled + math.log(0.8)
    raised = scaled - reconstruction(drop, scaled)
    labels, count = ndimage.label((raised > -math.log(0.8) - 1e-6) & (padded > 0), structure=np.ones((3, 3)))
    tops: Any = ndimage.maximum_position(padded, labels, range(1, count + 1)) if count else []
    return [(int(top[0]) - 1, int(top[1]) - 1) for top in tops]


def _top(height: NDArray[Any]) -> tuple[int, int]:
    row, column = divmod(int(height.argmax()), height.shape[1])
    return row, column


def measure(light: NDArray[np.float32], background: NDArray[np.float32], found: Found, *, size_px: int) -> Spot | None:
    """Return a spot as measured; None where nothing of it is left above its background.

    Parameters
    ----------
    light : (rows, columns) array
        The photograph, proportional to light, as large as it is or at the spot's own level.
    background : (rows, columns) array
        What the light would be without the spot, as far as the level knows; used where folds are rough around it.
    found : Found
        Its row and column as in `light`.
    size_px : int
        Pixels of the photograph that one of `light` is wide.

    Notes
    -----
    The patch is smoothed by a Gaussian of one pixel, whose width, and that of the pixel, is taken off again; so a
    single bright pixel comes out as no wider than nothing.
    """
    x, y = found.column, found.row
    patch, left, top = _around(light, x, y, _WINDOW)
    rise, noise = _above(patch, _around(background, x, y, _WINDOW)[0], x - left, y - top)
    smooth = ndimage.gaussian_filter(rise, SMOOTHED, mode="nearest")
    fine = ndimage.zoom(smooth, _FINER, order=1, grid_mode=True, mode="nearest")
    half = _half(fine, (y - top + 0.5) * _FINER - 0.5, (x - left + 0.5) * _FINER - 0.5)
    if half is None:
        return None
    rows, columns = ((np.nonzero(half)[axis] + 0.5) / _FINER - 0.5 for axis in (0, 1))
    # Weighed by what stands above the half, so that the rim does not pull.
    height = float(fine[half].max())
    weights = fine[half] - height / 2 + 1e-12
    middle = np.average(rows, weights=weights), np.average(columns, weights=weights)
    width = 2 * math.sqrt(half.sum() / math.pi) / _FINER
    long, wide = _axes(rows, columns)
    centre_x, centre_y = left + float(middle[1]), top + float(middle[0])
    total = float(rise[_foot(smooth, half, height)].sum()) * size_px**2
    return Spot(
        x_px=on_photograph(centre_x, size_px),
        y_px=on_photograph(centre_y, size_px),
        u_px=float(np.hypot(width / _FWHM * noise / max(height, 1e-9), 0.05)) * size_px,
        fwhm_px=_own(width) * size_px,
        long_px=_own(long) * size_px,
        wide_px=_own(wide) * size_px,
        contrast=found.contrast,
        surety=found.surety,
        light=max(total, 0.0),
        light_share=0.0,
        full=bool(patch[_foot(smooth, half, height)].max(initial=0) >= _FULL),
        level=found.level.level,
    )


def on_photograph(place: float, size_px: int) -> float:
    """Return a place in pixels of the photograph."""
    return (place + 0.5) * size_px - 0.5


def _own(width: float) -> float:
    """Take off what the smoothing and the pixel itself add to a width."""
    added = _FWHM**2 * (SMOOTHED**2 + _PIXEL)
    return math.sqrt(max(width**2 - added, 0.0))


def _around(light: NDArray[np.float32], x: int, y: int, reach: int) -> tuple[Floats, int, int]:
    left, top = max(x - reach, 0), max(y - reach, 0)
    patch = light[top : y + reach + 1, left : x + reach + 1]
    return patch.astype(np.float64), left, top


def _above(patch: Floats, background: Floats, x: float, y: float) -> tuple[Floats, float]:
    """Return a patch above a plane through its surroundings; above the folds of its level, where these are rough."""
    plain, noise = _above_plane(patch, x, y)
    folded, left_noise = _above_plane(patch - background, x, y)
    return (folded, left_noise) if 2 * left_noise < noise else (plain, noise)


def _above_plane(patch: Floats, x: float, y: float) -> tuple[Floats, float]:
    """Return a patch above a plane through its surroundings, and the noise of these."""
    places: Floats = np.indices(patch.shape, dtype=np.float64)
    rows, columns = places[0], places[1]
    far = np.hypot(rows - y, columns - x) > _WINDOW * 0.55
    keep = far
    for _ in range(3):
        design = np.column_stack([np.ones(int(keep.sum())), rows[keep], columns[keep]])
        plane, *_ = np.linalg.lstsq(design, patch[keep], rcond=None)
        left = patch - (plane[0] + plane[1] * rows + plane[2] * columns)
        scale = 1.4826 * float(np.median(np.abs(left[keep]))) + 1e-6
        keep = far & (np.abs(left) < 3 * scale)
        if keep.sum() < 12:
            break
    return left, scale


def _half(fine: Floats, row: float, column: float) -> NDArray[np.bool_] | None:
    """Return where a spot is brighter than half its height, in one piece around its top."""
    first = max(int(row) - 2 * _FINER, 0), max(int(column) - 2 * _FINER, 0)
    near = fine[first[0] : int(row) + 2 * _FINER + 1, first[1] : int(column) + 2 * _FINER + 1]
    if near.size == 0 or near.max() <= 0:
        return None
    top, left = _top(near)
    at = first[0] + top, first[1] + left
    labels: Any = ndimage.label(fine >= fine[at] / 2)[0]
    return np.asarray(labels == labels[at])


def _foot(smooth: Floats, half: NDArray[np.bool_], height: float) -> NDArray[np.bool_]:
    """Return where a spot is brighter than a tenth of its height, in one piece with its half."""
    core = half[_FINER // 2 :: _FINER, _FINER // 2 :: _FINER][: smooth.shape[0], : smooth.shape[1]]
    return np.asarray(ndimage.binary_propagation(core, mask=(smooth > height / 10) | core))


def _axes(rows: Floats, columns: Floats) -> tuple[float, float]:
    """Return length and width of the ellipse with the second moments of a set of places."""
    if len(rows) < 3:
        return 1 / _FINER, 1 / _FINER
    spread = np.linalg.eigvalsh(np.cov(np.stack([rows, columns])))
    wide, long = 4 * np.sqrt(np.maximum(spread, 0))
    return float(long), float(wide)
