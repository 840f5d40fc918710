"""Branch and bound over the centre of a circle: the least spread of distances, with proof.

Every lower bound comes from a straight-line program over a few points (its dual weights make the bound hold
whatever the solver's tolerance); every upper bound from all points. A cell of centres is closed when its
lower bound reaches the best value found. Points join the few as they turn out to matter.
"""

import heapq
import itertools
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import scipy  # its rooms load when used
from numpy.typing import NDArray

from asfound.shape.charts import FAR, NEAR, NEAR_EDGE, Chart, Floats, Tangents

Indices = NDArray[np.intp]

TOLERANCE = 1e-11  # of the extent of the points: a few hundred times what rounding does
_BLOCKS = 64
ALL = 4 * _BLOCKS  # points that are all taken at once
_ROWS = 24
_MOST_PROGRAMS = 1600  # solved before giving up the proof: some four seconds
_REST = 3


@dataclass(frozen=True, slots=True)
class Cell:
    """A rectangle of centres in one chart, and what no centre in it can be better than.

    `rest` counts the halvings to wait before its sides are drawn in again, after that was tried in vain.
    """

    chart: Chart
    place: Floats
    half: Floats
    bound: float
    rest: int = 0


@dataclass(frozen=True, slots=True)
class Found:
    """The best centre, its value, what no centre can be better than, and the cells that it took."""

    chart: Chart
    place: Floats
    value: float
    lower_bound: float
    cells: int


class Search:
    """The state of one search: all points, the few that matter so far, the best centre so far.

    Parameters
    ----------
    points : (n, 2) array
        In the unit disc, ordered round their middle.
    outer : bool
        Whether the largest distance counts (minimum zone); if not, minus the smallest alone is minimised
        (maximum inscribed circle).
    """

    def __init__(self, points: Floats, *, outer: bool = True, start: Floats) -> None:
        self.points = points
        self.outer = outer
        self.few = np.zeros(len(points), dtype=bool)
        self.best = np.inf
        self.programs = 0
        self.where: tuple[Chart, Floats] = (NEAR, np.zeros(2))
        self.x, self.y = np.ascontiguousarray(points[:, 0]), np.ascontiguousarray(points[:, 1])
        if len(points) <= ALL:
            self.few[:] = True
        self.try_place(NEAR, start, many=_BLOCKS)

    def try_place(self, chart: Chart, place: Floats, *, many: int = 4) -> tuple[float, bool]:
        """Take every point's distance from one place: the value there, and whether points joined the few."""
        if chart is NEAR:
            square = (self.x - place[0]) ** 2 + (self.y - place[1]) ** 2
            most, least = float(np.sqrt(square.max())), float(np.sqrt(square.min()))
        else:
            square = chart.distances(self.points, place[None])[0]
            most, least = float(square.max()), float(square.min())
        value = most - least if self.outer else -least
        if value < self.best and self.allowed(place):
            self.best, self.where = value, (chart, place)
        before = int(self.few.sum())
        if before < len(self.points):
            self.few[_extremes(-square, many)] = True
            if self.outer:
                self.few[_extremes(square, many)] = True
        return value, int(self.few.sum()) > before

    def allowed(self, place: Floats) -> bool:
        """Say whether a centre at this place may be the answer; a subclass may forbid some."""
        return True

    def sides(self, place: Floats, reach: float) -> tuple[Floats, Floats]:
        """Return the straight sides within reach that allowed centres lie behind: rows @ step <= limit."""
        return np.empty((0, 2)), np.empty(0)

    def reaches(self, chart: Chart, places: Floats, half: Floats) -> NDArray[np.bool_]:
        """Say which cells have any allowed centre in them."""
        return np.ones(len(places), dtype=bool)

    def run(self, charts: tuple[Chart, ...], *, most_programs: int = _MOST_PROGRAMS) -> Found:
        """Close every cell of the charts, best bound first, until `most_programs` are solved."""
        tie = itertools.count()
        heap = [(c.bound, next(tie), c) for chart in charts for c in self.coarse(chart)]
        heapq.heapify(heap)
        taken = 0
        while heap and heap[0][0] < self.best - TOLERANCE and self.programs < most_programs:
            taken += 1
            for cell in self.narrow(heapq.heappop(heap)[2]):
                heapq.heappush(heap, (cell.bound, next(tie), cell))
        lower = min([self.best - TOLERANCE, *(entry[0] for entry in heap[:1])])
        return Found(*self.where, self.best, lower, taken)

    def coarse(self, chart: Chart) -> list[Cell]:
        """Split a whole chart into quarters, dropping those that a plain bound closes."""
        places, half = _root(chart)
        few = self.points[self.few]
        bound = np.full(len(places), -np.inf)
        for _ in range(7):
            if not 0 < len(places) <= 400:
                break
            half = half / 2
            places = (places[:, None] + half * _QUARTERS).reshape(-1, 2)
            distance = chart.distances(few, places)
            most = distance.max(axis=1) if self.outer else 0.0
            moves = (2.0 if self.outer else 1.0) * chart.lipschitz(places, half)
            bound = most - distance.min(axis=1) - moves
            keep = (bound < self.best - TOLERANCE) & self.reaches(chart, places, half)
            places, bound = places[keep], bound[keep]
        cells = [Cell(chart, place, half, float(b)) for place, b in zip(places, bound, strict=True)]
        return self.merged(cells)

    def merged(self, cells: list[Cell]) -> list[Cell]:
        """Put cells that lie close together into one, where straight lines still serve over it."""
        if len(cells) < 2 or cells[0].chart is FAR:
            return cells
        places = np.array([cell.place for cell in cells])
        low, high = places.min(axis=0) - cells[0].half, places.max(axis=0) + cells[0].half
        place, half = (low + high) / 2, (high - low) / 2
        if NEAR.tangents(self.points[self.few], place, half, share=False).above.max() > 0.3:
            return cells
        return [Cell(NEAR, place, half, min(cell.bound for cell in cells))]

    def narrow(self, cell: Cell) -> Iterator[Cell]:
        """Bound one cell; yield what is left of it, nothing once it is closed."""
        program, lowest = None, None
        for _ in range(20):
            self.programs += 1
            program = _program(self, cell)
            if program is None:
                cell = self.plain(cell)
                break
            lowest = program.lowest()
            cell = replace(cell, bound=max(cell.bound, lowest.bound))
            if cell.bound >= self.best - TOLERANCE:
                return
            if not self.try_place(cell.chart, cell.place + lowest.step)[1]:
                break
        for part in self.parts(cell, program, lowest):
            if part.bound < self.best - TOLERANCE and self.reaches(part.chart, part.place[None], part.half)[0]:
                yield part

    def plain(self, cell: Cell) -> Cell:
        """Bound a cell that comes too near a point for tangents: by how far a distance can change over it."""
        value, _ = self.try_place(cell.chart, cell.place, many=16)
        moves = (2 if self.outer else 1) * float(cell.chart.lipschitz(cell.place[None], cell.half)[0])
        return replace(cell, bound=max(cell.bound, value - moves))

    def parts(self, cell: Cell, program: "_Program | None", lowest: "_Lowest | None") -> Iterator[Cell]:
        """Yield the rectangle that can still hold a better centre, in halves where it shrinks too little."""
        place, half, rest = cell.place, cell.half, max(0, cell.rest - 1)
        if program and lowest and not cell.rest and self.best - lowest.bound < 0.5 * program.reach:
            self.programs += 4
            shift, half = program.box(self.best - TOLERANCE)
            place = place + shift
            rest = 0 if half.prod() <= 0.3 * cell.half.prod() else _REST
        if half.prod() <= 0.3 * cell.half.prod():
            yield replace(cell, place=place, half=half, rest=rest)
            return
        axis = int(np.argmax(half))
        shift = np.where(np.arange(2) == axis, half / 2, 0.0)
        for sign in (-1, 1):
            yield replace(cell, place=place + sign * shift, half=half - shift, rest=rest)


_QUARTERS = np.array([[-1, -1], [-1, 1], [1, -1], [1, 1]], dtype=float)


@dataclass(frozen=True, slots=True)
class _Lowest:
    """What the spread of the tangents cannot be below over the cell, and the step to where it is least."""

    bound: float
    step: Floats


class _Program:
    """The straight-line program of one cell: the least spread of the tangents over it.

    Distances are taken less a base and over the cell's reach, so that the solver's tolerance is as small as
    the cell.
    """

    def __init__(
        self, tangents: Tangents, high: Indices, low: Indices, half: Floats, sides: tuple[Floats, Floats]
    ) -> None:
        self.half = half
        self.reach = float(np.hypot(*half))
        self.high = len(high)
        outer = tangents.value[high] - tangents.below[high]
        inner = tangents.value[low] + tangents.above[low]
        self.span = (float(outer.max()) if self.high else 0.0) - float(inner.min())
        slope = np.concatenate([tangents.gradient[high], -tangents.gradient[low]]) * half / self.reach
        side = np.repeat([[-1.0, 0.0], [0.0, 1.0], [0.0, 0.0]], [len(high), len(low), len(sides[0])], axis=0)
        self.matrix = np.hstack([np.vstack([slope, sides[0] * half / self.reach]), side])
        below_top = float(outer.max()) - outer if self.high else outer
        self.limit = np.concatenate([below_top, inner - inner.min(), sides[1]]) / self.reach
        self.low = len(low)
        self.bounds = [(-1, 1), (-1, 1), (None, None) if self.high else (0, 0), (None, None)]

    def lowest(self) -> _Lowest:
        """Return the least spread as its dual weights prove it."""
        result = scipy.optimize.linprog(_SPREAD, A_ub=self.matrix, b_ub=self.limit, bounds=self.bounds, method="highs")
        if result.x is None:
            return _Lowest(-np.inf, np.zeros(2))
        weight = np.maximum(-result.ineqlin.marginals, 0)
        for side in (slice(0, self.high), slice(self.high, self.high + self.low)):
            weight[side] /= weight[side].sum() or 1.0
        spread = -(weight @ self.limit) - np.abs(weight @ self.matrix[:, :2]).sum()
        return _Lowest(self.span + self.reach * float(spread), result.x[:2] * self.half)

    def box(self, value: float) -> tuple[Floats, Floats]:
        """Return shift and half-sides of the rectangle where the spread of the tangents is below `value`."""
        matrix = np.vstack([self.matrix, _SPREAD])
        limit = np.append(self.limit, (value - self.span) / self.reach)
        ends = []
        for aim in np.vstack([np.eye(2, 4), -np.eye(2, 4)]):
            result = scipy.optimize.linprog(aim, A_ub=matrix, b_ub=limit, bounds=self.bounds, method="highs")
            if result.x is None:
                return np.zeros(2), self.half
            ends.append(result.fun)
        low, high = np.array(ends[:2]) - 1e-6, -np.array(ends[2:]) + 1e-6
        low, high = np.maximum(low, -1) * self.half, np.minimum(high, 1) * self.half
        return (low + high) / 2, (high - low) / 2


_SPREAD = np.array([0.0, 0.0, 1.0, -1.0])


def _program(search: Search, cell: Cell) -> _Program | None:
    """Take the tangents of the points that can matter in a cell; None where they are of no use."""
    few = search.points[search.few]
    tangents = cell.chart.tangents(few, cell.place, cell.half, share=search.outer)
    reach = float(cell.chart.lipschitz(cell.place[None], cell.half)[0])
    high = _highest(tangents.distance, reach) if search.outer else np.empty(0, dtype=np.intp)
    low = _highest(-tangents.distance, reach)
    if not np.isfinite(tangents.above[low]).all():
        return None
    return _Program(tangents, high, low, cell.half, search.sides(cell.place, reach))


def _highest(value: Floats, reach: float) -> Indices:
    """Return the places of the values that could be the highest, when each may move by `reach`."""
    could = np.flatnonzero(value >= value.max() - 2 * reach)
    if len(could) <= _ROWS:
        return could
    return could[np.argpartition(-value[could], _ROWS)[:_ROWS]]


def _extremes(value: Floats, many: int) -> Indices:
    """Return the places of the highest value in each of the `many` blocks that have the highest."""
    length = -(-len(value) // _BLOCKS)
    padded = np.full(length * _BLOCKS, -np.inf)
    padded[: len(value)] = value
    blocks = padded.reshape(_BLOCKS, length)
    place = blocks.argmax(axis=1)
    highest = blocks[np.arange(_BLOCKS), place]
    chosen = np.argsort(-highest)[:many]
    chosen = chosen[np.isfinite(highest[chosen])]
    return np.asarray(chosen * length + place[chosen])


def _root(chart: Chart) -> tuple[Floats, Floats]:
    if chart is NEAR:
        return np.zeros((1, 2)), np.full(2, NEAR_EDGE)
    sectors = (np.arange(16) + 0.5) * np.pi / 8
    half_k = 0.5 / NEAR_EDGE
    return np.column_stack([sectors, np.full(16, half_k)]), np.array([np.pi / 16, half_k])
