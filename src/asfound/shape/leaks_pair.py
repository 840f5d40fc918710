"""Two leak photographs compared: laid over one another, and each spot closed, still there or new."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from asfound.problems import Problem, bad_input
from asfound.shape.leaks import Leaks, Light, coded, together
from asfound.shape.leaks_spot import Spot

Point = tuple[float, float]
State = Literal["still there", "closed", "new", "cannot tell"]

_WORKED_PIXELS = 600_000
_LEAST_ALIKE = 0.3
_SMALLEST_PATCH = 64
_SLID = 16
_NEAREST_PX = 3.0
# Of points named by eye, where there are none too many to show it.
_U_POINT_PX = 3.0
# How far above the limit of the second photograph a spot of the first must have stood to be called closed.
_CLEARLY = 1.5
_CANNOT = Problem(
    "second photograph",
    "the two cannot be laid over one another by what they show",
    "name three points seen in both, or leave the camera where it stands and say so",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """How places of one photograph are found in another: `matrix` is 2 by 3, for (x, y, 1).

    Attributes
    ----------
    how : str
        In words.
    u_px : float
        Standard uncertainty of a place so found, each way.
    alike : float or None
        Correlation of the two where they were laid by what they show.
    """

    matrix: tuple[tuple[float, float, float], tuple[float, float, float]]
    how: str
    u_px: float
    alike: float | None = None

    def at(self, x_px: float, y_px: float) -> Point:
        """Return where a place of the first photograph is in the second."""
        (a, b, c), (d, e, f) = self.matrix
        return a * x_px + b * y_px + c, d * x_px + e * y_px + f

    def enlarged(self, count: int) -> "Laid":
        """Return the same for photographs of which `count` pixels each way were taken together before."""
        (a, b, c), (d, e, f) = self.matrix
        edge = (count - 1) / 2
        along, down = count * c + edge * (1 - a - b), count * f + edge * (1 - d - e)
        return replace(self, matrix=((a, b, along), (d, e, down)), u_px=self.u_px * count)


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """One spot in two photographs.

    Attributes
    ----------
    at_px : (x, y)
        In the second photograph.
    light_ratio : float or None
        Light of the second by that of the first, where both were exposed alike and neither is white.
    why : str
        For a spot of which nothing can be told.
    """

    state: State
    before: Spot | None
    after: Spot | None
    at_px: Point
    light_ratio: float | None = None
    why: str = ""


NOT_MOVED = Laid(matrix=((1.0, 0.0, 0.0), (0.0, 1.0, 0.0)), how="the camera stood still", u_px=0.5)


def laid_by_marks(before: Sequence[Point], after: Sequence[Point]) -> Laid:
    """Return how two photographs lie, from points seen in both.

    One pair gives a shift, two a shift, turn and scale, three or more an affine map by least squares (what two
    views of one flat side from far away differ by; common practice, no source).

    Raises
    ------
    BadInputError
        If there are none, not as many in both, or they lie in one place or on one line.
    """
    if len(before) != len(after) or not before:
        what = f"{len(before)} points in the first, {len(after)} in the second"
        raise bad_input("points", what, "give the same points in both, one or more")
    first, second = np.array(before, dtype=float), np.array(after, dtype=float)
    design, right = _equations(first, second)
    solved, _, rank, _ = np.linalg.lstsq(design, right, rcond=None)
    if rank < design.shape[1]:
        raise bad_input("points", "they lie on one line or in one place", "choose points far apart, as of a triangle")
    (a, b, c), (d, e, f) = _matrix(solved)
    left = right - design @ solved
    spare = len(right) - len(solved)
    u_px = max(float(np.sqrt(left @ left / spare)), 1.0) if spare else _U_POINT_PX
    words = {1: "by one point", 2: "by two points"}.get(len(before), f"by {len(before)} points")
    return Laid(matrix=((a, b, c), (d, e, f)), how=words, u_px=u_px)


def _equations(first: NDArray[np.float64], second: NDArray[np.float64]) -> tuple[NDArray[np.float64], ...]:
    """Return the equations for a shift, a shift with turn and scale, or an affine map."""
    x, y = first.T
    one, none = np.ones_like(x), np.zeros_like(x)
    if len(first) == 1:
        along, down = np.stack([one, none], 1), np.stack([none, one], 1)
        return np.concatenate([along, down]), np.concatenate([second[:, 0] - x, second[:, 1] - y])
    if len(first) == 2:
        along, down = np.stack([x, -y, one, none], 1), np.stack([y, x, none, one], 1)
    else:
        along = np.stack([x, y, one, none, none, none], 1)
        down = np.stack([none, none, none, x, y, one], 1)
    return np.concatenate([along, down]), np.concatenate([second[:, 0], second[:, 1]])


def _matrix(solved: NDArray[Any]) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    s = [float(value) for value in solved]
    if len(s) == 2:
        return (1.0, 0.0, s[0]), (0.0, 1.0, s[1])
    if len(s) == 4:
        return (s[0], -s[1], s[2]), (s[1], s[0], s[3])
    return (s[0], s[1], s[2]), (s[3], s[4], s[5])


def laid_by_sight(before: Light, after: Light) -> Laid:
    """Return how two photographs lie, by what both show.

    Phase correlation of the whole, then of nine patches: where these agree, an affine map through them, so that a
    small turn or change of distance is followed (skimage.registration.phase_cross_correlation).

    Raises
    ------
    BadInputError
        If they are not of one size, or too little in them is alike.
    """
    if before.shape != after.shape:
        sizes = " and ".join(f"{one.shape[1]} x {one.shape[0]}" for one in (before, after))
        raise bad_input("second photograph", f"the two are {sizes} pixels", "name three points seen in both")
    count = math.ceil(math.sqrt(before.size / _WORKED_PIXELS))
    first, second = (_structure(together(one, count)) for one in (before, after))
    down, along = _shift(first, second)
    alike = _alike(first, second, (down, along))
    if alike > _LEAST_ALIKE and _slides(first, second, (down, along), alike):
        raise bad_input(_CANNOT.where, "both show only lines that run one way, so they fit anywhere", _CANNOT.remedy)
    patches = _patches(first, second, (round(down), round(along)))
    if len(patches) >= 5:
        points, seen = (np.array([patch[n] for patch in patches]) for n in (0, 1))
        kept = _agreeing(points, seen)
        if kept.sum() >= 5:
            laid = laid_by_marks(*(_whole(one[kept], count) for one in (points, seen)))
            how = f"by what both show, in {int(kept.sum())} of 9 parts"
            return Laid(matrix=laid.matrix, how=how, u_px=max(laid.u_px, 0.3 * count), alike=alike)
    if alike < _LEAST_ALIKE:
        raise bad_input(_CANNOT.where, _CANNOT.what, _CANNOT.remedy)
    shift = ((1.0, 0.0, along * count), (0.0, 1.0, down * count))
    return Laid(matrix=shift, how="by what both show, shifted only", u_px=2.0 * count, alike=alike)


def _structure(light: Light) -> NDArray[np.float64]:
    """Return what is fine in a photograph, its brightest spots cut down so that they do not decide alone."""
    grey = coded(light).astype(np.float64)
    fine = ndimage.gaussian_filter(grey, 1.0) - ndimage.gaussian_filter(grey, 12.0)
    most = 3 * 1.4826 * float(np.median(np.abs(fine))) + 1e-6
    return np.clip(fine, -most, most)


def _shift(first: NDArray[np.float64], second: NDArray[np.float64]) -> Point:
    """Return by how much the second lies further down and to the right."""
    from skimage.registration import phase_cross_correlation  # slow to import

    window = np.outer(*(np.hanning(side + 2)[1:-1] for side in first.shape))
    if not (first * window).any() or not (second * window).any():
        return 0.0, 0.0
    # By phase alone it is finer; by the whole, what is faint and wide counts too.
    for by in ("phase", None):
        shift, *_ = phase_cross_correlation(second * window, first * window, upsample_factor=10, normalization=by)
        found = float(shift[0]), float(shift[1])
        if _alike(first, second, found) > _LEAST_ALIKE:
            break
    return found


def _alike(first: NDArray[np.float64], second: NDArray[np.float64], shift: Point) -> float:
    """Return the correlation of two pictures where they overlap once shifted."""
    down, along = round(shift[0]), round(shift[1])
    rows, columns = first.shape
    if abs(down) > rows // 2 or abs(along) > columns // 2:
        return 0.0
    one = first[max(-down, 0) : rows - max(down, 0), max(-along, 0) : columns - max(along, 0)]
    other = second[max(down, 0) : rows - max(-down, 0), max(along, 0) : columns - max(-along, 0)]
    size = float(np.sqrt((one**2).sum() * (other**2).sum()))
    return float((one * other).sum()) / size if size > 0 else 0.0


def _whole(points: NDArray[np.float64], count: int) -> list[Point]:
    """Return places of a picture whose pixels are `count` of the photograph's wide, in the photograph."""
    return [(float(x), float(y)) for x, y in (points + 0.5) * count - 0.5]


def _slides(first: NDArray[np.float64], second: NDArray[np.float64], shift: Point, alike: float) -> bool:
    """Tell whether two pictures fit as well when one slides along, as straight folds do."""
    turns = (math.pi * n / 12 for n in range(12))
    ways = ((round(_SLID * math.sin(turn)), round(_SLID * math.cos(turn))) for turn in turns)
    return any(_alike(first, second, (shift[0] + down, shift[1] + along)) > 0.93 * alike for down, along in ways)


def _patches(
    first: NDArray[np.float64], second: NDArray[np.float64], shift: tuple[int, int]
) -> list[tuple[Point, Point]]:
    """Return the middles of nine parts, in the first and where the second shows them, as (x, y)."""
    found = []
    high, wide = (side // 3 for side in first.shape)
    if min(high, wide) < _SMALLEST_PATCH or abs(shift[0]) > high or abs(shift[1]) > wide:
        return []
    for part in range(9):
        top = _within(part // 3 * high, high, first.shape[0], shift[0])
        left = _within(part % 3 * wide, wide, first.shape[1], shift[1])
        one = first[top : top + high, left : left + wide]
        other = second[top + shift[0] :, left + shift[1] :][:high, :wide]
        more = _shift(one, other)
        if max(map(abs, more)) < 0.15 * min(high, wide) and _alike(one, other, more) > _LEAST_ALIKE:
            middle = left + wide / 2, top + high / 2
            found.append((middle, (middle[0] + shift[1] + more[1], middle[1] + shift[0] + more[0])))
    return found


def _within(start: int, length: int, whole: int, shift: int) -> int:
    """Return a start such that neither the part nor what it is shifted to lies over the border."""
    return min(max(start, -shift), whole - length - max(shift, 0))


def _agreeing(points: NDArray[np.float64], seen: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Return which pairs one affine map brings together; those furthest off are left out one by one."""
    kept = np.ones(len(points), dtype=bool)
    while kept.sum() >= 5:
        design, right = _equations(points[kept], seen[kept])
        solved, _, rank, _ = np.linalg.lstsq(design, right, rcond=None)
        if rank < design.shape[1]:
            return np.zeros_like(kept)
        off = np.hypot(*(right - design @ solved).reshape(2, -1))
        if off.max() < 1.5:
            return kept
        kept[np.flatnonzero(kept)[int(off.argmax())]] = False
    return np.zeros_like(kept)


def compare(before: Leaks, after: Leaks, laid: Laid, *, same_exposure: bool) -> tuple[Compared, ...]:
    """Return each spot of two photographs: still there, closed, new, or of which nothing can be told.

    Parameters
    ----------
    before, after : Leaks
    laid : Laid
        How places of the first are found in the second.
    same_exposure : bool
        Lamp, aperture, time and sensitivity were the same. If not, a spot that is gone may only be too faint now,
        and no spot is called closed.
    """
    from scipy.optimize import linear_sum_assignment

    places = [laid.at(spot.x_px, spot.y_px) for spot in before.spots]
    cost = np.full((len(before.spots), len(after.spots)), 1e6)
    for n, (spot, place) in enumerate(zip(before.spots, places, strict=True)):
        for m, other in enumerate(after.spots):
            apart = math.hypot(place[0] - other.x_px, place[1] - other.y_px)
            if apart <= _reach(spot, other, laid):
                cost[n, m] = apart
    pairs = {int(n): int(m) for n, m in zip(*linear_sum_assignment(cost), strict=True) if cost[n, m] < 1e6}
    told = [
        _still(spot, after.spots[pairs[n]], same_exposure) if n in pairs
        else _gone(spot, place, after, same_exposure=same_exposure)
        for n, (spot, place) in enumerate(zip(before.spots, places, strict=True))
    ]  # fmt: skip
    fresh = (spot for m, spot in enumerate(after.spots) if m not in pairs.values())
    told += [Compared(state="new", before=None, after=spot, at_px=(spot.x_px, spot.y_px)) for spot in fresh]
    return tuple(told)


def _reach(spot: Spot, other: Spot, laid: Laid) -> float:
    sure = 3 * math.sqrt(spot.u_px**2 + other.u_px**2 + 2 * laid.u_px**2)
    return max(_NEAREST_PX, (spot.fwhm_px + other.fwhm_px) / 2, sure)


def _still(spot: Spot, other: Spot, same_exposure: bool) -> Compared:
    ratio = other.light / spot.light if same_exposure and spot.light > 0 and not (spot.full or other.full) else None
    at = (other.x_px, other.y_px)
    return Compared(state="still there", before=spot, after=other, at_px=at, light_ratio=ratio)


def _gone(spot: Spot, place: Point, after: Leaks, *, same_exposure: bool) -> Compared:
    limit = after.limit_at(*place, spot.level)
    if limit is None:
        why = "it lies outside the second photograph, or too near its border"
    elif not same_exposure:
        why = "the second photograph was not exposed as the first"
    elif spot.contrast < _CLEARLY * limit:
        why = "it was fainter than what the second photograph is sure to show"
    else:
        return Compared(state="closed", before=spot, after=None, at_px=place)
    return Compared(state="cannot tell", before=spot, after=None, at_px=place, why=why)
