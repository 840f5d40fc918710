"""The exact search behind a choice: a grid of designs, worked out in blocks and pruned by a bound.

A block is one wire on one mean diameter with all turns and preloads. Its best margin cannot exceed the geometric
mean of its torque and stress margins, which depend on the block alone; blocks are taken in falling order of that
bound and the search ends where the bound is below the worst design kept. The answer is that of looking at all.
"""

import heapq
import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from asfound.springs.torsion import TorsionConstant, inner_stress_factor

Floats = npt.NDArray[np.float64]

# Cells kept for use with the next wire: 5 numbers of 8 bytes each, 80 MB.
_MOST_SHARED = 2_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class WireChoice:
    """A wire that may be used: its limit is the stress allowed in a new design."""

    label: str
    material: str
    diameter_mm: float
    modulus_mpa: float
    limit_mpa: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """The designs to choose from: every combination.

    Attributes
    ----------
    whole_turns : tuple of int
        Turns of the body erected, before the part of a turn that the legs' place asks for.
    preloads_deg : tuple of float
        Angle wound from free when erected, all above zero.
    erected_leg_angle_deg : float
        Between the legs when erected, as the camera asks; free, body turns are
        whole turns + (this - preload)/360.
    """

    wires: tuple[WireChoice, ...]
    mean_diameters_mm: tuple[float, ...]
    whole_turns: tuple[int, ...]
    preloads_deg: tuple[float, ...]
    erected_leg_angle_deg: float = 0.0
    leg_lengths_mm: tuple[float, ...] = ()

    @property
    def size(self) -> int:
        """How many designs there are."""
        return len(self.wires) * len(self.mean_diameters_mm) * len(self.whole_turns) * len(self.preloads_deg)


@dataclass(frozen=True, slots=True, kw_only=True)
class Demands:
    """What a spring must give, and the room it has.

    Attributes
    ----------
    erected_n_mm, folded_n_mm : float
        Torque needed at the two positions; folded may be 0.
    clearance_mm : float
        To keep between pin and bore folded, on the diameter.
    most_erected_n_mm, most_folded_n_mm : float
        Torque not to be exceeded.
    least_body_turns, most_body_turns : float
        Turns there are, where the coil is one from the drawer.
    least_margin : float
        Designs below it are not shown.
    """

    erected_n_mm: float
    folded_n_mm: float = 0.0
    travel_deg: float
    pin_mm: float
    outside_mm: float
    cheeks_mm: float
    constant: TorsionConstant
    clearance_mm: float = 0.1
    least_index: float = 4.0
    most_index: float = 20.0
    most_erected_n_mm: float = math.inf
    most_folded_n_mm: float = math.inf
    least_body_turns: float = 0.0
    most_body_turns: float = math.inf
    least_margin: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """One design of the grid; `place` is its index in it, `wire` that of its wire."""

    place: int
    wire: int
    mean_diameter_mm: float
    body_turns: float
    preload_deg: float
    erected_n_mm: float
    folded_n_mm: float
    margin: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SearchResult:
    """Designs by falling margin (then by place), the size of the grid, and how many were worked out.

    A wire on a diameter that is no coil there (index, outside, pin) is passed over and not counted as worked out.
    """

    found: tuple[Found, ...]
    space: int
    evaluated: int


@dataclass(frozen=True, slots=True)
class _Blocks:
    """For every wire (rows) and mean diameter (columns): what its designs have in common."""

    torque: Floats  # N mm per turn wound, for one active turn
    stress: Floats  # MPa per N mm; one column
    limit: Floats  # MPa; one column
    most_wound: Floats  # turns wound per active turn, folded, at which the bore reaches the pin
    most_length: Floats  # body turns and rotation that the cheeks leave room for; one column
    fits: npt.NDArray[np.bool_]
    bound: Floats


@dataclass(frozen=True, slots=True)
class _Cells:
    """For every number of turns (rows) and preload (columns), flattened: the same in all blocks."""

    body: Floats
    erected: Floats
    folded: Floats
    possible: npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class _Column:
    """What the cells have in common on one mean diameter: all per N mm a turn of one active turn."""

    given: Floats  # the lesser of torque given over needed at the two positions
    wound: Floats  # turns wound per active turn, folded
    slack: Floats  # its inverse
    length: Floats  # body turns, folded
    most: Floats  # the greater of torque given over allowed


def search(grid: Grid, demands: Demands, *, keep: int, each_wire: bool = False, prune: bool = True) -> SearchResult:
    """Return the `keep` designs of largest margin that fit, of the whole grid or of each wire.

    The margin is the least of: torque erected over needed, torque folded over needed, limit over the stress
    folded (inner fibre). Equal margins go by place in the grid. Without `prune` every coil that fits is worked out.
    """
    blocks, cells = _blocks(grid, demands), _cells(grid, demands)
    order = np.argsort(-blocks.bound, axis=None, kind="stable") if prune else np.arange(blocks.bound.size)
    columns = len(grid.mean_diameters_mm)
    heaps: dict[int, list[tuple[float, int]]] = {}
    evaluated, shared = 0, dict[int, _Column]()
    room = max(1, _MOST_SHARED // cells.body.size)
    for block in order.tolist():
        row, column = divmod(block, columns)
        heap = heaps.setdefault(row if each_wire else -1, [])
        bar = heap[0][0] if len(heap) == keep else demands.least_margin
        # The slack covers rounding: a block is only left out where it is surely below.
        below = prune and blocks.bound[row, column] * (1 + 1e-9) < bar
        if below and not each_wire:
            break
        if below or not blocks.fits[row, column]:
            continue
        if column not in shared:
            shared = shared if len(shared) < room else {}
            shared[column] = _column(grid, demands, cells, grid.mean_diameters_mm[column])
        evaluated += cells.body.size
        margins = _margins(demands, blocks, shared[column], (row, column))
        _keep_best(heap, margins, block * cells.body.size, keep, bar)
    places = sorted((entry for heap in heaps.values() for entry in heap), key=lambda e: (-e[0], -e[1]))
    found = tuple(_found(grid, demands, blocks, cells, -place, margin) for margin, place in places)
    return SearchResult(found=found, space=grid.size, evaluated=evaluated)


def _blocks(grid: Grid, demands: Demands) -> _Blocks:
    d = np.array([wire.diameter_mm for wire in grid.wires])[:, None]
    e = np.array([wire.modulus_mpa for wire in grid.wires])[:, None]
    limit = np.array([wire.limit_mpa for wire in grid.wires])[:, None]
    mean = np.array(grid.mean_diameters_mm)[None, :]
    index = mean / d
    # An index at or below 1 is no coil; it is out by `fits`, so any factor will do.
    factor = np.vectorize(lambda c: inner_stress_factor(index=c))(np.maximum(index, 1.5))
    stress = factor * 32 / (math.pi * d**3)
    torque = 360 * e * d**4 / (demands.constant.value * mean)
    bore = demands.pin_mm + demands.clearance_mm
    fits = (
        (index >= demands.least_index)
        & (index <= demands.most_index)
        & (mean + d <= demands.outside_mm)
        & (mean - d >= bore)
    )
    most = max(grid.preloads_deg)
    share = most / (most + demands.travel_deg)
    return _Blocks(
        torque=torque,
        stress=stress,
        limit=limit,
        most_wound=mean / (bore + d) - 1,
        most_length=demands.cheeks_mm / d - 1,
        fits=fits,
        bound=np.sqrt(share * limit / (stress * demands.erected_n_mm)),
    )


def _cells(grid: Grid, demands: Demands) -> _Cells:
    preload = np.array(grid.preloads_deg)[None, :] / 360
    whole = np.array(grid.whole_turns, dtype=float)[:, None]
    body = whole + grid.erected_leg_angle_deg / 360 - preload
    folded = np.broadcast_to(preload + demands.travel_deg / 360, body.shape)
    possible = (body > 0) & (body >= demands.least_body_turns) & (body <= demands.most_body_turns)
    # A body of no turns is masked out; one turn in its place keeps the arithmetic quiet.
    return _Cells(
        body=np.where(body > 0, body, 1.0).ravel(),
        erected=np.broadcast_to(preload, body.shape).ravel(),
        folded=folded.ravel(),
        possible=possible.ravel(),
    )


def _column(grid: Grid, demands: Demands, cells: _Cells, mean: float) -> _Column:
    """Return what the cells have in common on one mean diameter, whatever the wire."""
    per_turn = 1 / (cells.body + sum(grid.leg_lengths_mm) / (3 * math.pi * mean))
    wound = cells.folded * per_turn
    erected = cells.erected * per_turn
    given = erected / demands.erected_n_mm
    if demands.folded_n_mm > 0:
        np.minimum(given, wound / demands.folded_n_mm, out=given)
    # What cannot be has a margin below zero.
    given[~cells.possible] = -1.0
    most = np.maximum(erected / demands.most_erected_n_mm, wound / demands.most_folded_n_mm)
    return _Column(given=given, wound=wound, slack=1 / wound, length=cells.body * (1 + wound), most=most)


def _margins(demands: Demands, blocks: _Blocks, column: _Column, place: tuple[int, int]) -> Floats:
    """Return the margin of every cell of a block, below zero where it does not fit."""
    row = place[0]
    torque, stress = float(blocks.torque[place]), float(blocks.stress[place])
    margin: Floats = column.given * torque
    np.minimum(margin, column.slack * (float(blocks.limit[row, 0]) / (stress * torque)), out=margin)
    bad = column.wound > blocks.most_wound[place]
    bad |= column.length > blocks.most_length[row, 0]
    if min(demands.most_erected_n_mm, demands.most_folded_n_mm) < math.inf:
        bad |= column.most * torque > 1
    np.copyto(margin, -1.0, where=bad)
    return margin


def _keep_best(heap: list[tuple[float, int]], margins: Floats, first: int, keep: int, bar: float) -> None:
    """Put the block's designs that reach the bar into the heap; it holds (margin, -place), worst on top."""
    good = np.flatnonzero(margins >= bar)
    if good.size > keep:
        # The keep-th largest margin of the block, with all that equal it: ties are settled by the heap.
        worst = np.partition(margins[good], good.size - keep)[good.size - keep]
        good = good[margins[good] >= worst]
    for i in good.tolist():
        entry = (float(margins[i]), -(first + i))
        if len(heap) < keep:
            heapq.heappush(heap, entry)
        elif entry > heap[0]:
            heapq.heapreplace(heap, entry)


def _found(grid: Grid, demands: Demands, blocks: _Blocks, cells: _Cells, place: int, margin: float) -> Found:
    block, cell = divmod(place, cells.body.size)
    row, column = divmod(block, len(grid.mean_diameters_mm))
    mean = grid.mean_diameters_mm[column]
    active = float(cells.body[cell]) + sum(grid.leg_lengths_mm) / (3 * math.pi * mean)
    rate = float(blocks.torque[row, column]) / active
    return Found(
        place=place,
        wire=row,
        mean_diameter_mm=mean,
        body_turns=float(cells.body[cell]),
        preload_deg=360 * float(cells.erected[cell]),
        erected_n_mm=rate * float(cells.erected[cell]),
        folded_n_mm=rate * float(cells.folded[cell]),
        margin=margin,
    )
