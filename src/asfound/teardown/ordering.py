"""The cheapest order of steps, each pair with its own change-over cost, some steps before others.

It is the sequential ordering problem (Escudero 1988, from memory). Exact by dynamic programming over down-sets
with a bound that drops what leads nowhere; where they grow too many, the best order found, and a lower bound that says
how far off it can be.
"""

import random
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from asfound.problems import BadInputError, Problem
from asfound.teardown.bounding import by_assignment, by_cuts, change_overs
from asfound.teardown.downsets import over_down_sets

Costs = list[list[float]]
_MOST_STATES = 60_000
_FEW_STATES = 2_000
_TRIES = 60
_ROUNDS = 8


@dataclass(frozen=True, slots=True)
class Order:
    """An order found.

    Attributes
    ----------
    sequence : tuple of int
        The steps, each once.
    cost : float
        Sum of the change-overs along it.
    lower_bound : float
        No order costs less.
    proved : bool
        Whether the cost is the least there is.
    """

    sequence: tuple[int, ...]
    cost: float
    lower_bound: float
    proved: bool

    @property
    def gap(self) -> float:
        """How much dearer than the bound it may be, as a share of the bound; 0 if proved."""
        if self.proved:
            return 0.0
        return (self.cost - self.lower_bound) / self.lower_bound if self.lower_bound > 0 else float("inf")


def shortest_order(
    setup_cost: ArrayLike,
    before: Iterable[tuple[int, int]],
    *,
    most_states: int = _MOST_STATES,
    tries: int = _TRIES,
    rounds: int = _ROUNDS,
    seed: int = 0,
) -> Order:
    """Return the cheapest order of n steps.

    Parameters
    ----------
    setup_cost : array_like, shape (n, n)
        ``setup_cost[i][j]`` is the cost of j straight after i, zero or more; the diagonal does not count.
    before : iterable of (int, int)
        Pairs (i, j): i comes somewhere before j.
    most_states : int
        How many sets of steps done, with a last one, may be kept of each size before the search settles for a bound.
    tries : int
        How many fresh starts the search by exchange gets.
    rounds : int
        How often the bound is raised, at most, where the sets are too many. More states and rounds prove more and take
        longer: by default a few seconds at 60 steps.
    seed : int
        Of the search's random numbers: the same seed gives the same order.

    Raises
    ------
    BadInputError
        If costs are not a square of finite numbers from zero up, a pair names no step, or steps wait for each
        other in a circle (which is named).
    """
    costs = _checked_costs(setup_cost)
    n = len(costs)
    first = _predecessors(n, before)
    if n <= 1:
        return Order(tuple(range(n)), 0.0, 0.0, True)
    found = _search(costs, first, tries=tries, seed=seed)
    best = _length(costs, found)
    if best == 0.0:
        return Order(found, 0.0, 0.0, True)
    return _settle(costs, first, found, most_states=most_states, rounds=rounds)


def _settle(
    costs: NDArray[np.float64], first: list[int], found: tuple[int, ...], *, most_states: int, rounds: int
) -> Order:
    """Return the cheapest order, or the best found from `found` on.

    Few states are tried first, then few with a higher bound, then many.
    """
    earlier = np.array([[bool(needed >> i & 1) for needed in first] for i in range(len(first))])
    square = change_overs(costs, earlier)
    grain = 1.0 if (costs == np.rint(costs)).all() else 0.0
    best, lower = _length(costs, found), 0.0
    bound = by_assignment(square)
    for attempt, widest in enumerate((_FEW_STATES, _FEW_STATES, most_states)):
        if attempt == 1:
            bound = by_cuts(square, earlier, upper=best, rounds=rounds)
        swept = over_down_sets(costs, earlier, bound, upper=best, grain=grain, widest=min(widest, most_states))
        if swept.sequence is not None:
            better = _exchange(costs.tolist(), list(swept.sequence), first)
            found = min(found, tuple(better), key=lambda order: _length(costs, order))
            best = _length(costs, found)
        close = 1e-9 * max(1.0, best)
        lower = max(lower, np.ceil(swept.lower_bound - close) if grain else swept.lower_bound - close)
        if swept.complete or lower >= best:
            return Order(found, best, best, True)
    return Order(found, best, float(lower), False)


def _checked_costs(setup_cost: ArrayLike) -> NDArray[np.float64]:
    costs = np.array(setup_cost, dtype=np.float64)
    if costs.ndim != 2 or costs.shape[0] != costs.shape[1]:
        raise BadInputError(Problem("setup_cost", f"its shape is {costs.shape}", "give n rows of n costs"))
    np.fill_diagonal(costs, 0.0)
    if not np.isfinite(costs).all() or (costs < 0).any():
        raise BadInputError(Problem("setup_cost", "a cost is negative or not finite", "give costs from zero up"))
    return costs


def _predecessors(n: int, before: Iterable[tuple[int, int]]) -> list[int]:
    """Return, for each step, the set of all steps before it as bits; closed over chains."""
    direct = [0] * n
    for i, j in before:
        if not (0 <= i < n and 0 <= j < n):
            raise BadInputError(Problem("before", f"({i}, {j}) names no step", f"use 0 to {n - 1}"))
        direct[j] |= 1 << i
    closed: list[int | None] = [None] * n
    trail: list[int] = []

    def close(j: int) -> int:
        known = closed[j]
        if known is not None:
            return known
        if j in trail:
            circle = " -> ".join(str(k) for k in [*trail[trail.index(j) :], j][::-1])
            raise BadInputError(Problem("before", f"steps wait for each other: {circle}", "take one of these out"))
        trail.append(j)
        whole = direct[j]
        for i in _bits(direct[j]):
            whole |= close(i)
        trail.pop()
        closed[j] = whole
        return whole

    return [close(j) for j in range(n)]


def _bits(mask: int) -> Iterator[int]:
    while mask:
        lowest = mask & -mask
        yield lowest.bit_length() - 1
        mask ^= lowest


def _length(costs: NDArray[np.float64], sequence: Sequence[int]) -> float:
    return float(costs[sequence[:-1], sequence[1:]].sum())


# --- search by exchange -----------------------------------------------------------------------------------


def _search(costs: NDArray[np.float64], first: list[int], *, tries: int, seed: int) -> tuple[int, ...]:
    """Return the best order from `tries` rounds of shaking the best one and exchanging runs until none helps."""
    generator = random.Random(seed)
    table = costs.tolist()
    best = _exchange(table, _greedy(table, first), first)
    best_cost = _length(costs, best)
    for _ in range(tries):
        tried = _exchange(table, _shake(best, first, generator), first)
        cost = _length(costs, tried)
        if cost <= best_cost:
            best, best_cost = tried, cost
    return tuple(best)


def _ready(done: int, first: list[int]) -> Iterator[int]:
    return (j for j, needed in enumerate(first) if not done >> j & 1 and needed & ~done == 0)


def _greedy(costs: Costs, first: list[int]) -> list[int]:
    """Return the order that always takes the cheapest next step, from the best of all possible starts."""
    n = len(costs)
    candidates = []
    for start in (j for j in range(n) if first[j] == 0):
        order, done, total = [start], 1 << start, 0.0
        while len(order) < n:
            row = costs[order[-1]]
            following = min(_ready(done, first), key=row.__getitem__)
            total += row[following]
            order.append(following)
            done |= 1 << following
        candidates.append((total, order))
    return min(candidates)[1]


def _exchange(costs: Costs, order: list[int], first: list[int]) -> list[int]:
    """Swap two neighbouring runs wherever that is allowed and cheaper, the best swap of each start at a time."""
    improved = True
    while improved:
        improved = False
        for i in range(len(order) - 1):
            swap = _best_swap(costs, order, i, first)
            if swap is not None:
                j, k = swap
                order = order[:i] + order[j:k] + order[i:j] + order[k:]
                improved = True
    return order


def _best_swap(costs: Costs, order: list[int], i: int, first: list[int]) -> tuple[int, int] | None:
    """Return j, k such that the runs i..j-1 and j..k-1 are best swapped; None if no swap helps.

    A swap is allowed when nothing in the second run needs anything of the first (Gambardella and Dorigo 2000,
    from memory).
    """
    n = len(order)
    best, found = -1e-9, None
    head = order[i - 1] if i else None
    moved = 0
    for j in range(i + 1, n):
        moved |= 1 << order[j - 1]
        before_first = costs[head][order[i]] if head is not None else 0.0
        joint = costs[order[j - 1]][order[j]]
        opening = costs[head][order[j]] if head is not None else 0.0
        for k in range(j + 1, n + 1):
            if first[order[k - 1]] & moved:
                break
            change = opening + costs[order[k - 1]][order[i]] - before_first - joint
            if k < n:
                change += costs[order[j - 1]][order[k]] - costs[order[k - 1]][order[k]]
            if change < best:
                best, found = change, (j, k)
    return found


def _shake(order: Sequence[int], first: list[int], generator: random.Random) -> list[int]:
    """Return the order with a few allowed swaps of neighbouring runs at random."""
    shaken = list(order)
    swaps = 0
    for _ in range(40):
        i = generator.randrange(len(shaken) - 1)
        j = generator.randrange(i + 1, min(len(shaken), i + 8))
        k = generator.randrange(j + 1, min(len(shaken) + 1, j + 8)) if j + 1 <= len(shaken) else j + 1
        moved = sum(1 << step for step in shaken[i:j])
        if any(first[step] & moved for step in shaken[j:k]):
            continue
        shaken = shaken[:i] + shaken[j:k] + shaken[i:j] + shaken[k:]
        swaps += 1
        if swaps == 4:
            break
    return shaken
