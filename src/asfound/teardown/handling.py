"""The order of steps with the fewest changes of tool and of how the camera lies.

A step asks for a tool and a pose, or for neither: then whatever is in the hand will do. Doing at once every step that
asks for nothing new never costs more than doing it later (taking a step out of a sequence of tools never adds a
change, and a step that asks for nothing new can stand anywhere). So only the changes are searched: best first over
the sets of steps that may be done, with a bound on the changes still to come (Hart, Nilsson, Raphael 1968, from
memory). By the same token a state is dropped when another with the same in the hand has all its steps done, and more,
for no more changes.
"""

import heapq
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import count, takewhile
from operator import itemgetter
from typing import Any

import numpy as np
from numpy.typing import NDArray

from asfound.problems import BadInputError, Problem

_MOST_STATES = 20_000
_BEAM = 300
_CLOSE = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Handling:
    """What a step asks for, or what is in the hand: a tool, and how the camera lies. Empty: nothing said."""

    tool: str = ""
    pose: str = ""

    def then(self, step: "Handling") -> "Handling":
        """Return what is in the hand after a step."""
        return Handling(tool=step.tool or self.tool, pose=step.pose or self.pose)


@dataclass(frozen=True, slots=True, kw_only=True)
class Effort:
    """What a change costs, in changes of a tool; common practice, no source."""

    tool_change: float = 1.0
    turning: float = 1.5

    def of(self, *, tool_changes: int, turnings: int) -> float:
        """Return the cost of so many changes."""
        return self.tool_change * tool_changes + self.turning * turnings


@dataclass(frozen=True, slots=True, kw_only=True)
class HandlingOrder:
    """An order of steps, its changes, and the least that any order costs."""

    sequence: tuple[int, ...]
    tool_changes: int
    turnings: int
    cost: float
    lower_bound: float
    proved: bool

    @property
    def gap(self) -> float:
        """How much dearer than the bound it may be, as a share of the bound; 0 if proved."""
        if self.proved or self.cost == 0:
            return 0.0
        return (self.cost - self.lower_bound) / self.lower_bound if self.lower_bound > 0 else float("inf")


def changes(asked: Iterable[Handling], in_hand: Handling | None = None) -> tuple[int, int]:
    """Return how often the tool is changed and the camera turned over along steps in this order."""
    now, tools, turns = in_hand or Handling(), 0, 0
    for step in asked:
        tools += bool(step.tool) and step.tool != now.tool
        turns += bool(step.pose) and step.pose != now.pose
        now = now.then(step)
    return tools, turns


def fewest_changes(
    asked: Sequence[Handling],
    before: Iterable[tuple[int, int]],
    *,
    in_hand: Handling | None = None,
    effort: Effort | None = None,
    most_states: int = _MOST_STATES,
) -> HandlingOrder:
    """Return the order of steps with the least effort of changing tools and turning over.

    Parameters
    ----------
    asked : sequence of Handling
        What each step asks for. Of equally good steps the one named earlier comes first.
    before : iterable of (int, int)
        Pairs (i, j): i comes somewhere before j.
    in_hand : Handling
        The tool in the hand and how the camera lies at the beginning.
    effort : Effort
        What a change costs.
    most_states : int
        How many states are looked at before the search settles for the best found and a bound.

    Raises
    ------
    BadInputError
        If a pair names no step, or steps wait for each other in a circle (which is named).
    """
    search = _Search(asked, before, effort or Effort())
    start = in_hand or Handling()
    found, bound = search.best_first(start, most_states)
    sequence = found if found is not None else search.beam(start)
    tools, turns = changes([asked[n] for n in sequence], start)
    cost = search.effort.of(tool_changes=tools, turnings=turns)
    proved = found is not None or cost <= bound + _CLOSE
    lower = cost if proved else bound
    return HandlingOrder(
        sequence=sequence, tool_changes=tools, turnings=turns, cost=cost, lower_bound=lower, proved=proved
    )


_State = tuple[int, int, str, str]  # the steps done and the steps ready as bits, the tool in the hand, the pose
_Trail = tuple[_State, Any]  # a state, and the trail that led to the one before it; None at the start


class _Kept:
    """States with the same in the hand, as rows of bits with what each cost: does one outdo another?"""

    def __init__(self, steps: int) -> None:
        self.bytes = 8 * (steps // 64 + 1)
        self.rows = np.zeros((256, self.bytes // 8), dtype=np.uint64)
        self.costs = np.zeros(256)
        self.count = 0

    def outdoes(self, done: int, cost: float) -> bool:
        """Whether one of them has all those steps done at no more cost."""
        row, n = self._row(done), self.count
        has_all = ((self.rows[:n] & row) == row).all(axis=1)
        return bool((has_all & (self.costs[:n] <= cost + _CLOSE)).any())

    def keep(self, done: int, cost: float) -> None:
        """Add a state."""
        if self.count == len(self.rows):
            self.rows = np.concatenate([self.rows, self.rows])
            self.costs = np.concatenate([self.costs, self.costs])
        self.rows[self.count], self.costs[self.count] = self._row(done), cost
        self.count += 1

    def _row(self, done: int) -> NDArray[Any]:
        return np.frombuffer(done.to_bytes(self.bytes, "little"), dtype="<u8")


class _Search:
    """The steps as bits, with what each asks for and a bound on the changes still to come."""

    def __init__(self, asked: Sequence[Handling], before: Iterable[tuple[int, int]], effort: Effort) -> None:
        self.asked = [(step.tool, step.pose) for step in asked]
        self.effort = effort
        self.n = len(asked)
        self.all = (1 << self.n) - 1
        self.first = [0] * self.n
        self.after: list[list[int]] = [[] for _ in asked]
        for i, j in dict.fromkeys(before):
            if not (0 <= i < self.n and 0 <= j < self.n):
                raise BadInputError(Problem("before", f"({i}, {j}) names no step", f"use 0 to {self.n - 1}"))
            self.first[j] |= 1 << i
            self.after[i].append(j)
        order = sorted_steps(self.n, self.first)
        kinds = [dict.fromkeys(step[side] for step in self.asked if step[side]) for side in (0, 1)]
        self.takings = [[(kind, *self._takings(order, side, kind)) for kind in kinds[side]] for side in (0, 1)]
        self.free = sum(1 << n for n in range(self.n) if self.first[n] == 0)
        self.fits: dict[tuple[str, str], int] = {}

    def _takings(self, order: Sequence[int], side: int, kind: str) -> tuple[list[int], list[int]]:
        """Return the steps (bits) from which some chain takes up a tool (or pose) at least once, twice, and so on.

        Along a chain it is taken up anew after every step that asks for another. First for chains that begin without
        it in the hand, then for those that begin with it.
        """
        times = [(0, 0)] * self.n  # for each step, without it in the hand and with it
        for n in reversed(order):
            own = self.asked[n][side]
            without, having = (max((times[k][h] for k in self.after[n]), default=0) for h in (0, 1))
            if own == kind:
                times[n] = having + 1, having
            else:
                times[n] = without, without if own else having
        return _at_least([t[0] for t in times]), _at_least([t[1] for t in times])

    def remaining(self, state: _State) -> float:
        """Return a bound: every tool is taken up as often as the chain that asks for it most often."""
        left = self.all & ~state[0]
        tools, turns = (
            sum(_levels(with_it if kind == held else without, left) for kind, without, with_it in self.takings[side])
            for side, held in ((0, state[2]), (1, state[3]))
        )
        return self.effort.of(tool_changes=tools, turnings=turns)

    def start(self, in_hand: Handling) -> _State:
        """Return the state after everything that asks for nothing new."""
        return self.settle((0, self.free, in_hand.tool, in_hand.pose))

    def settle(self, state: _State, path: list[int] | None = None) -> _State:
        """Do every step that asks for nothing new, those named first first; note them in `path`."""
        done, ready, tool, pose = state
        fits = self.fits.get((tool, pose))
        if fits is None:
            fits = sum(1 << n for n, (t, p) in enumerate(self.asked) if t in ("", tool) and p in ("", pose))
            self.fits[tool, pose] = fits
        while free := ready & fits:
            n = (free & -free).bit_length() - 1
            done |= 1 << n
            ready ^= 1 << n
            for k in self.after[n]:
                if self.first[k] & ~done == 0:
                    ready |= 1 << k
            if path is not None:
                path.append(n)
        return done, ready, tool, pose

    def moves(self, state: _State) -> Iterator[tuple[_State, float]]:
        """Yield each state that one change leads to, and what the change costs."""
        done, ready, tool, pose = state
        seen = set()
        for n in _bits(ready):
            then = self.asked[n][0] or tool, self.asked[n][1] or pose
            if then not in seen:
                seen.add(then)
                cost = self.effort.of(tool_changes=then[0] != tool, turnings=then[1] != pose)
                yield self.settle((done, ready, *then)), cost

    def best_first(self, in_hand: Handling, most_states: int) -> tuple[tuple[int, ...] | None, float]:
        """Return a cheapest sequence, or None with a bound where there are too many states."""
        first = self.start(in_hand)
        best = {first: 0.0}
        ticket = count()
        heap: list[tuple[float, int, int, float, _Trail]] = []
        heapq.heappush(heap, (self.remaining(first), 0, next(ticket), 0.0, (first, None)))
        kept: defaultdict[tuple[str, str], _Kept] = defaultdict(lambda: _Kept(self.n))
        looked = 0
        while heap:
            bound, _, _, cost, trail = heapq.heappop(heap)
            state = trail[0]
            if state[0] == self.all:
                return self.walk(trail, in_hand), cost
            closed = kept[state[2:]]
            if closed.outdoes(state[0], cost):
                continue
            closed.keep(state[0], cost)
            looked += 1
            if looked > most_states:
                return None, bound
            for after, change in self.moves(state):
                total = cost + change
                if total < best.get(after, float("inf")) - _CLOSE:
                    best[after] = total
                    # Of equal promise, the one with more done: it ends the search sooner.
                    whole = max(bound, total + self.remaining(after))
                    heapq.heappush(heap, (whole, -after[0].bit_count(), next(ticket), total, (after, trail)))
        return (), 0.0

    def beam(self, in_hand: Handling, width: int = _BEAM) -> tuple[int, ...]:
        """Return a good sequence: change by change, only the most promising states that none outdoes are kept."""
        first = self.start(in_hand)
        layer: dict[_State, tuple[float, _Trail]] = {first: (0.0, (first, None))}
        best: tuple[float, _Trail] = float("inf"), (first, None)
        while layer:
            following: dict[_State, tuple[float, _Trail]] = {}
            for state, (cost, trail) in layer.items():
                if state[0] == self.all:
                    best = min(best, (cost, trail), key=itemgetter(0))
                    continue
                for after, more in self.moves(state):
                    if after not in following or cost + more < following[after][0]:
                        following[after] = cost + more, (after, trail)
            costs = {state: cost for state, (cost, _) in following.items()}
            layer = {state: following[state] for state in self._promising(costs, best[0], width)}
        return self.walk(best[1], in_hand)

    def _promising(self, costs: Mapping[_State, float], below: float, width: int) -> list[_State]:
        """Return so many of the states, the most promising first, without those that one before them outdoes."""
        rows = ((cost + self.remaining(state), -state[0].bit_count(), state) for state, cost in costs.items())
        kept: defaultdict[tuple[str, str], _Kept] = defaultdict(lambda: _Kept(self.n))
        chosen: list[_State] = []
        for promise, _, state in sorted(rows, key=itemgetter(0, 1)):
            if promise >= below or len(chosen) == width:
                break
            others = kept[state[2:]]
            if not others.outdoes(state[0], costs[state]):
                others.keep(state[0], costs[state])
                chosen.append(state)
        return chosen

    def walk(self, trail: _Trail | None, in_hand: Handling) -> tuple[int, ...]:
        """Return the steps that lead to a state, by doing again what led there."""
        states: list[_State] = []
        while trail is not None:
            state, trail = trail
            states.append(state)
        path: list[int] = []
        now: _State = (0, self.free, in_hand.tool, in_hand.pose)
        for state in reversed(states):
            now = self.settle((*now[:2], *state[2:]), path)
        return tuple(path)


def _at_least(times: Sequence[int]) -> list[int]:
    """Return, for 1, 2, and so on, where the numbers are at least that, as bits."""
    return [sum(1 << n for n, t in enumerate(times) if t >= k) for k in range(1, max(times) + 1)]


def _levels(levels: Iterable[int], left: int) -> int:
    """Return how many of the sets, each within the one before, hold a step that is left."""
    return sum(1 for _ in takewhile(left.__and__, levels))


def _bits(mask: int) -> Iterator[int]:
    while mask:
        lowest = mask & -mask
        yield lowest.bit_length() - 1
        mask ^= lowest


def sorted_steps(n: int, first: Sequence[int]) -> list[int]:
    """Return n steps in an order in which none comes before those it needs, the first named first.

    Parameters
    ----------
    n : int
        How many steps.
    first : sequence of int
        For each step, those it needs before it, as bits.

    Raises
    ------
    BadInputError
        If steps wait for each other: the circle is named.
    """
    done, order = 0, list[int]()
    while len(order) < n:
        ready = next((j for j in range(n) if not done >> j & 1 and first[j] & ~done == 0), None)
        if ready is None:
            raise BadInputError(
                Problem("before", f"steps wait for each other: {_circle(n, first, done)}", "take one out")
            )
        done |= 1 << ready
        order.append(ready)
    return order


def _circle(n: int, first: Sequence[int], done: int) -> str:
    """Name a circle among the steps that cannot be done, step by step."""
    at = next(j for j in range(n) if not done >> j & 1)
    trail: list[int] = []
    while at not in trail:
        trail.append(at)
        at = next(i for i in range(n) if (first[at] & ~done) >> i & 1)
    return " -> ".join(str(j) for j in reversed([*trail[trail.index(at) :], at]))
