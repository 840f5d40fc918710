"""What every order of steps costs at least, and what each change-over adds to that.

An order is a way from a start through every step to an end: each step is left once and entered once. That much is the
assignment problem. Where i comes before j there is, besides, a way from i to j past none of the steps before i and
none of those after j: so at least one change-over leads out of any set that holds i and not j, those steps aside
(Balas, Fischetti, Pulleyblank 1995, from memory). The sets at which a fractional answer falls short are found as
minimum cuts, and the linear program is solved again.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

_MOST_CUTS = 60  # taken in at a time
_SHORT = 0.03  # by how much a cut must be short to be worth it
_SCALE = 1_000_000  # flows are counted in whole numbers
_Floats = NDArray[np.float64]
_Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Bound:
    """A bound, and what each change-over costs beyond it.

    Attributes
    ----------
    value : float
        No order costs less.
    beyond : array, shape (n + 1, n + 1)
        An order costs at least `value` and these along it, which are zero or more; row n is the start, column n the
        end; infinite where a change-over cannot be in an order cheaper than the best known.
    """

    value: float
    beyond: _Floats


def change_overs(costs: _Floats, earlier: _Flags) -> _Floats:
    """Return the costs with a start (row n) and an end (column n); infinite where j cannot come straight after i.

    Parameters
    ----------
    costs : array, shape (n, n)
        Of j straight after i.
    earlier : array, shape (n, n)
        Whether i comes before j, closed over chains.
    """
    n = len(costs)
    square = np.full((n + 1, n + 1), np.inf)
    between = earlier.astype(np.float32) @ earlier.astype(np.float32) > 0
    cannot = earlier.T | between | np.eye(n, dtype=bool)
    square[:n, :n] = np.where(cannot, np.inf, costs)
    square[:n, n] = np.where(earlier.any(axis=1), np.inf, 0.0)
    square[n, :n] = np.where(earlier.any(axis=0), np.inf, 0.0)
    return square


def by_assignment(square: _Floats) -> Bound:
    """Return the bound of the assignment problem."""
    from scipy.optimize import linear_sum_assignment  # only here: it takes a while to load

    big = float(square[np.isfinite(square)].max()) * len(square) + 1.0
    filled = np.where(np.isfinite(square), square, big)
    rows, columns = linear_sum_assignment(filled)
    u, v = _prices(filled, rows, columns)
    return Bound(float(u.sum() + v.sum()), square - u[:, None] - v[None, :])


def _prices(square: _Floats, rows: NDArray[np.intp], columns: NDArray[np.intp]) -> tuple[_Floats, _Floats]:
    """Return dual prices of an optimal assignment, by shortest paths over its exchange graph (Bellman-Ford)."""
    matched = np.empty(len(square), dtype=np.intp)
    matched[rows] = columns
    # v[j] <= square[i, j] - u[i] with equality on the assignment: distances of the exchange graph.
    swap = square - square[np.arange(len(square)), matched][:, None]
    v = np.zeros(len(square))
    for _ in range(len(square)):
        better = np.minimum(v, (swap + v[matched][:, None]).min(axis=0))
        if np.allclose(better, v, rtol=0, atol=1e-12):
            break
        v = better
    return (square - v[None, :]).min(axis=1), v


def by_cuts(square: _Floats, earlier: _Flags, *, upper: float, rounds: int) -> Bound:
    """Return the bound of the linear program with the cuts found in so many rounds.

    Parameters
    ----------
    square : array, shape (n + 1, n + 1)
        From `change_overs`.
    earlier : array, shape (n, n)
        Whether i comes before j, closed over chains.
    upper : float
        Only orders cheaper than this matter: what cannot be in one is left out, and the bound is never above it.
    rounds : int
        How often cuts are looked for.
    """
    n = len(earlier)
    before = np.pad(earlier, (0, 2))
    before[n, :n] = before[:n, n + 1] = True  # the start before every step, the end after
    pairs = np.argwhere(before)
    best = by_assignment(square)
    cuts: list[tuple[_Flags, _Flags]] = []
    for turn in range(rounds + 1):
        best = Bound(best.value, np.where(best.beyond > upper - best.value, np.inf, best.beyond))
        arcs = np.argwhere(np.isfinite(best.beyond))
        solved = _solve(square, arcs, cuts)
        if solved is None:
            return Bound(upper, best.beyond)
        share, prices, bound = solved
        best = max(best, bound, key=lambda b: b.value)
        if turn == rounds or best.value >= upper or not len(share):
            break
        cuts = [cut for cut, price in zip(cuts, prices, strict=True) if price > 0]
        fresh = _short(arcs, share, before, np.roll(pairs, -turn * len(pairs) // 7, axis=0))
        if not fresh:
            break
        cuts += fresh
    return Bound(min(best.value, upper), best.beyond)


def _solve(
    square: _Floats, arcs: NDArray[np.intp], cuts: Sequence[tuple[_Flags, _Flags]]
) -> tuple[_Floats, _Floats, Bound] | None:
    """Return each change-over's share in the linear program's answer, the cuts' prices, and the bound.

    None if there is no answer; no shares if the solver gave up.
    """
    from scipy.optimize import linprog
    from scipy.sparse import coo_array, csr_array, vstack

    n, m = len(square) - 1, len(arcs)
    i, j = arcs.T
    ones, column = np.ones(m), np.arange(m)
    each: Any = vstack([coo_array((ones, (side, column)), shape=(n + 1, m)) for side in (i, j)]).tocsr()
    crossing: Any = csr_array(np.array([_crosses(arcs, cut, n) for cut in cuts], dtype=float).reshape(len(cuts), m))
    costs = square[i, j]
    solved = linprog(
        costs, A_ub=-crossing, b_ub=-np.ones(len(cuts)), A_eq=each, b_eq=np.ones(2 * n + 2), method="highs-ds"
    )
    if solved.status != 0:
        nothing = np.zeros(0)
        return None if solved.status == 2 else (nothing, nothing, Bound(-np.inf, np.full_like(square, np.inf)))
    # The bound is made from the prices, so that it holds whatever the solver's tolerances.
    prices = np.maximum(-solved.ineqlin.marginals, 0.0)
    beyond = np.full_like(square, np.inf)
    beyond[i, j] = costs - each.T @ solved.eqlin.marginals - crossing.T @ prices
    lowest = beyond.min(axis=1)
    value = float(solved.eqlin.marginals.sum() + prices.sum() + lowest.sum())
    return np.asarray(solved.x), prices, Bound(value, beyond - lowest[:, None])


def _crosses(arcs: NDArray[np.intp], cut: tuple[_Flags, _Flags], n: int) -> _Flags:
    """Return which change-overs lead from the first set of a cut into the second; column n is the end."""
    i, j = arcs.T
    leaves, enters = cut
    both: _Flags = leaves[i] & enters[np.where(j == n, n + 1, j)]
    return both


def _short(
    arcs: NDArray[np.intp], share: _Floats, before: _Flags, pairs: NDArray[np.intp]
) -> list[tuple[_Flags, _Flags]]:
    """Return the cuts, the shortest first, over which less than one whole change-over leads."""
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import breadth_first_order, maximum_flow

    n = len(before) - 2
    used = arcs[share > 1e-6]
    flow = np.rint(share[share > 1e-6] * _SCALE).astype(np.int32)
    tail, head = used[:, 0], np.where(used[:, 1] == n, n + 1, used[:, 1])
    found: dict[bytes, tuple[float, tuple[_Flags, _Flags]]] = {}
    for i, j in pairs:
        aside = before[:, i] | before[j]
        open_ = ~(aside[tail] | aside[head])
        graph = csr_array((flow[open_], (tail[open_], head[open_])), shape=before.shape)
        most = maximum_flow(graph, i, j)
        if most.flow_value > (1 - _SHORT) * _SCALE:
            continue
        rest = graph - most.flow
        rest.eliminate_zeros()
        near = np.zeros(n + 2, dtype=bool)
        near[breadth_first_order(rest, i, return_predecessors=False)] = True
        cut = _widened(near, i, j, before)
        over = float(share[_crosses(arcs, cut, n)].sum())
        found[cut[0].tobytes() + cut[1].tobytes()] = over, cut
        if len(found) == 2 * _MOST_CUTS:
            break
    return [cut for _, cut in sorted(found.values(), key=lambda row: row[0])[:_MOST_CUTS]]


def _widened(near: _Flags, i: int, j: int, before: _Flags) -> tuple[_Flags, _Flags]:
    """Return the two sides of a cut that holds i and not j, with all aside that may be.

    What holds for i and j holds for a set of steps on this side of which each comes before each of a set on the other:
    from the last of the one set to the first of the other leads a way past all steps before one of the first set, or
    after one of the second.
    """
    firsts = near & before[:, j]
    lasts = ~near & before[firsts].all(axis=0)
    aside = before[:, firsts].any(axis=1) | before[lasts].any(axis=0)
    return near & ~aside, ~near & ~aside
