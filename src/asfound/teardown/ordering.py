"""The cheapest order of steps, each pair with its own change-over cost, some steps before others.

It is the sequential ordering problem (Escudero 1988, from memory). Exact by dynamic programming over down-sets,
the sets of steps that may have been done so far, with the last one done; where that grows too large, the best
order found by exchanging neighbouring runs, with a lower bound that says how far off it can be.
"""

import random
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from asfound.problems import BadInputError, Problem

Costs = list[list[float]]
_MOST_STATES = 400_000
_TRIES = 60


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
        How many down-sets with a last step may be kept before the search settles for a bound.
    tries : int
        How many fresh starts the search by exchange gets.
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
    reduced, root = _reduce(costs, first)
    exact, bound = _over_down_sets(costs, reduced, root, first, upper=best, most_states=most_states)
    if exact is not None:
        return Order(exact, _length(costs, exact), _length(costs, exact), True)
    return Order(found, best, min(bound, best), bound >= best - 1e-9 * max(1.0, best))


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


# --- a bound: the assignment problem over the change-overs that can happen --------------------------------


def _reduce(costs: NDArray[np.float64], first: list[int]) -> tuple[NDArray[np.float64], float]:
    """Return costs less the prices of the assignment problem, and what every order costs at least.

    An order is a way from a start through every step to an end: each step is left once and entered once. With the
    assignment's prices taken off, what remains of each change-over is what choosing it costs beyond the bound.
    """
    from scipy.optimize import linear_sum_assignment  # only here: it takes a while to load

    n = len(costs)
    after = [sum(1 << j for j in range(n) if first[j] >> i & 1) for i in range(n)]
    big = float(costs.max()) * n + 1.0
    square = np.full((n + 1, n + 1), big)  # row n is the start, column n the end
    for i in range(n):
        for j in range(n):
            if i != j and not _cannot_follow(i, j, first, after):
                square[i, j] = costs[i, j]
        if after[i] == 0:
            square[i, n] = 0.0
        if first[i] == 0:
            square[n, i] = 0.0
    rows, columns = linear_sum_assignment(square)
    u, v = _prices(square, rows, columns)
    return square - u[:, None] - v[None, :], float(square[rows, columns].sum())


def _cannot_follow(i: int, j: int, first: list[int], after: list[int]) -> bool:
    """Whether j can never come straight after i: it comes before it, or something must stand between."""
    return bool(first[i] >> j & 1) or bool(first[j] >> i & 1 and after[i] & first[j])


def _prices(
    square: NDArray[np.float64], rows: NDArray[np.intp], columns: NDArray[np.intp]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
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
    u = (square - v[None, :]).min(axis=1)
    return u, v


# --- exact, where the down-sets are not too many ----------------------------------------------------------


def _over_down_sets(
    costs: NDArray[np.float64],
    reduced: NDArray[np.float64],
    root: float,
    first: list[int],
    *,
    upper: float,
    most_states: int,
) -> tuple[tuple[int, ...] | None, float]:
    """Return a cheapest order, or None with the best bound reached when there are too many down-sets.

    Layer by layer, one step more each; a state whose cost with the bound for the rest is no better than `upper` is
    dropped. Costs are counted beyond `root`.
    """
    n = len(costs)
    beyond = reduced.tolist()
    room = upper - root + 1e-9 * max(1.0, upper)
    layer: dict[tuple[int, int], float] = {(1 << j, j): beyond[n][j] for j in range(n) if first[j] == 0}
    came: list[dict[tuple[int, int], int]] = []
    kept = 0
    bound = root
    for _ in range(n - 1):
        following: dict[tuple[int, int], float] = {}
        origin: dict[tuple[int, int], int] = {}
        for (done, last), cost in layer.items():
            row = beyond[last]
            for j in _ready(done, first):
                total = cost + row[j]
                state = (done | 1 << j, j)
                if total <= room and total < following.get(state, float("inf")):
                    following[state] = total
                    origin[state] = last
        kept += len(following)
        if not following:
            return None, upper
        bound = max(bound, root + min(following.values()))
        if kept > most_states:
            return None, bound
        layer = following
        came.append(origin)
    ends = {state: cost + beyond[state[1]][n] for state, cost in layer.items()}
    state = min(ends, key=ends.__getitem__)
    return _trace(state, came), root + ends[state]


def _ready(done: int, first: list[int]) -> Iterator[int]:
    return (j for j, needed in enumerate(first) if not done >> j & 1 and needed & ~done == 0)


def _trace(state: tuple[int, int], came: list[dict[tuple[int, int], int]]) -> tuple[int, ...]:
    done, last = state
    order = [last]
    for origin in reversed(came):
        before = origin[(done, last)]
        done ^= 1 << last
        last = before
        order.append(last)
    return tuple(reversed(order))


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
