"""The cheapest order of steps by dynamic programming over down-sets: the sets of steps that may have been done so far.

A state is such a set with the step done last; the cheapest way to it is kept, layer by layer, one step more each. A
bound with what each change-over costs beyond it drops every state that leads to nothing better than the best known.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from asfound.teardown.bounding import Bound

_Floats = NDArray[np.float64]
_Words = NDArray[np.uint64]


@dataclass(frozen=True, slots=True)
class _Layer:
    """States: the steps done as bits, the last one, cost so far, cost beyond the bound so far, and whence."""

    done: _Words
    last: NDArray[np.intp]
    cost: _Floats
    beyond: _Floats
    origin: NDArray[np.intp]

    def take(self, which: NDArray[np.intp]) -> "_Layer":
        return _Layer(self.done[which], self.last[which], self.cost[which], self.beyond[which], self.origin[which])


@dataclass(frozen=True, slots=True)
class Swept:
    """What came of it: the cheapest order found, if any, and a bound on every order.

    `complete`: no state was left out for want of room, so that nothing costs less than what was found or than the best
    known before, whichever is less.
    """

    sequence: tuple[int, ...] | None
    lower_bound: float
    complete: bool


def over_down_sets(
    costs: _Floats, earlier: NDArray[np.bool_], bound: Bound, *, upper: float, grain: float, widest: int
) -> Swept:
    """Look for an order that costs less than `upper`.

    Parameters
    ----------
    costs : array, shape (n, n)
        Of j straight after i.
    earlier : array, shape (n, n)
        Whether i comes before j, closed over chains.
    bound : Bound
        On the cost of every order that costs less than `upper`.
    grain : float
        Costs of two orders differ by at least so much if they differ (0 if nothing is known).
    widest : int
        The most states kept in a layer; of more, those with the least cost beyond the bound.
    """
    n = len(costs)
    close = 1e-9 * max(1.0, upper)
    room = upper - bound.value - (grain - close if grain else close)
    bits, needed = _as_bits(np.eye(n, dtype=bool)), _as_bits(earlier.T)
    starts = np.flatnonzero(~earlier.any(axis=0) & (bound.beyond[n, :n] <= room))
    nothing = np.zeros(len(starts))
    layer = _Layer(bits[starts], starts, nothing, bound.beyond[n, starts], np.zeros(len(starts), dtype=np.intp))
    layers, complete, lower = [layer], True, bound.value
    for _ in range(n - 1):
        layer = _following(layer, costs, bound.beyond, bits, needed, room)
        if len(layer.last) == 0:
            return Swept(None, upper if complete else lower, complete)
        if complete:
            lower = max(lower, bound.value + float(layer.beyond.min()))
        if len(layer.last) > widest:
            layer, complete = layer.take(np.argpartition(layer.beyond, widest)[:widest]), False
        layers.append(layer)
    best = float(layer.cost.min())
    return Swept(_walk_back(layers), min(best, upper) if complete else min(lower, best), complete)


def _as_bits(rows: NDArray[np.bool_]) -> _Words:
    """Return rows of flags as rows of words, 64 flags to each."""
    wide = np.pad(rows, ((0, 0), (0, -rows.shape[1] % 64)))
    return np.ascontiguousarray(np.packbits(wide, axis=1, bitorder="little")).view(np.uint64)


def _following(layer: _Layer, costs: _Floats, beyond: _Floats, bits: _Words, needed: _Words, room: float) -> _Layer:
    """Return the states with one step more, the cheapest way to each, without those that lead to nothing better."""
    parts = []
    for j in range(len(costs)):
        may = ((layer.done & bits[j]) == 0).all(axis=1) & ((layer.done & needed[j]) == needed[j]).all(axis=1)
        may &= layer.beyond + beyond[layer.last, j] <= room
        origin = np.flatnonzero(may)
        if len(origin):
            last = layer.last[origin]
            cost, more = layer.cost[origin] + costs[last, j], layer.beyond[origin] + beyond[last, j]
            state = _Layer(layer.done[origin] | bits[j], np.full(len(origin), j), cost, more, origin)
            parts.append(state.take(_cheapest(state)))
    if not parts:
        return layer.take(np.zeros(0, dtype=np.intp))
    return _Layer(*(np.concatenate([getattr(p, name) for p in parts]) for name in _Layer.__slots__))


def _cheapest(state: _Layer) -> NDArray[np.intp]:
    """Return where the cheapest way to each set of steps stands."""
    order: NDArray[np.intp] = np.lexsort((state.cost, *state.done.T))
    done = state.done[order]
    fresh = np.concatenate([[True], (done[1:] != done[:-1]).any(axis=1)])
    return np.asarray(order[fresh], dtype=np.intp)


def _walk_back(layers: list[_Layer]) -> tuple[int, ...]:
    at = int(layers[-1].cost.argmin())
    sequence = []
    for layer in reversed(layers):
        sequence.append(int(layer.last[at]))
        at = int(layer.origin[at])
    return tuple(reversed(sequence))
