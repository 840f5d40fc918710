"""The order of steps with the fewest changes of tool and of how the camera lies.

A step asks for a tool and a pose, or for neither: then whatever is in the hand will do. Doing at once every step that
asks for nothing new never costs more than doing it later (taking a step out of a sequence of tools never adds a
change, and a step that asks for nothing new can stand anywhere). So only the changes are searched: best first over
the sets of steps that may be done, with a bound on the changes still to come (Hart, Nilsson, Raphael 1968, from
memory).
"""

import heapq
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import count

from asfound.problems import BadInputError, Problem

_MOST_STATES = 20_000
_BEAM = 60


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
    proved = found is not None or cost <= bound + 1e-9
    lower = cost if proved else bound
    return HandlingOrder(
        sequence=sequence, tool_changes=tools, turnings=turns, cost=cost, lower_bound=lower, proved=proved
    )


_State = tuple[int, int, str, str]  # the steps done and the steps ready as bits, the tool in the hand, the pose


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
        self.chains = [self._chains(order, side) for side in (0, 1)]
        self.bearers = [self._bearers(side) for side in (0, 1)]
        self.free = sum(1 << n for n in range(self.n) if self.first[n] == 0)
        self.fits: dict[tuple[str, str], int] = {}

    def _bearers(self, side: int) -> dict[str, int]:
        """Return, for each tool (or pose), the steps that ask for it."""
        bearers: dict[str, int] = {}
        for n, step in enumerate(self.asked):
            if step[side]:
                bearers[step[side]] = bearers.get(step[side], 0) | 1 << n
        return bearers

    def _chains(self, order: Sequence[int], side: int) -> list[dict[str, int]]:
        """Return, for each step and tool in the hand, the changes along the worst chain that begins with it."""
        kinds = {step[side] for step in self.asked} | {""}
        chains: list[dict[str, int]] = [{} for _ in self.asked]
        for n in reversed(order):
            own = self.asked[n][side]
            for held in kinds:
                then = own or held
                later = max((chains[k][then] for k in self.after[n]), default=0)
                chains[n][held] = later + (bool(own) and own != held)
        return chains

    def remaining(self, state: _State) -> float:
        """Return a bound: each tool still asked for is taken up once, and every chain has its changes."""
        done, ready, tool, pose = state
        least = []
        for side, held in ((0, tool), (1, pose)):
            kinds = sum(kind != held and bool(mask & ~done) for kind, mask in self.bearers[side].items())
            chain = self.chains[side]
            worst = max((chain[n].get(held, chain[n][""]) for n in _bits(ready)), default=0)
            least.append(max(kinds, worst))
        return self.effort.of(tool_changes=least[0], turnings=least[1])

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
        best, came = {first: 0.0}, dict[_State, _State]()
        ticket = count()
        heap = [(self.remaining(first), 0, next(ticket), first)]
        looked, closed = 0, set[_State]()
        while heap:
            bound, _, _, state = heapq.heappop(heap)
            if state in closed:
                continue
            closed.add(state)
            if state[0] == self.all:
                return self.walk(came, state, in_hand), best[state]
            looked += 1
            if looked > most_states:
                return None, bound
            for after, cost in self.moves(state):
                total = best[state] + cost
                if total < best.get(after, float("inf")) - 1e-12:
                    best[after] = total
                    came[after] = state
                    # Of equal promise, the one with more done: it ends the search sooner.
                    whole = max(bound, total + self.remaining(after))
                    heapq.heappush(heap, (whole, -after[0].bit_count(), next(ticket), after))
        return (), 0.0

    def beam(self, in_hand: Handling, width: int = _BEAM) -> tuple[int, ...]:
        """Return a good sequence: change by change, only the most promising states are kept."""
        first = self.start(in_hand)
        came = dict[_State, _State]()
        layer, best = {first: 0.0}, (float("inf"), first)
        while layer:
            following: dict[_State, float] = {}
            for state, cost in layer.items():
                if state[0] == self.all:
                    best = min(best, (cost, state))
                for after, more in self.moves(state):
                    if cost + more < following.get(after, float("inf")):
                        following[after] = cost + more
                        came[after] = state
            ranked = sorted(
                following.items(), key=lambda row: (row[1] + self.remaining(row[0]), -row[0][0].bit_count())
            )
            layer = {state: cost for state, cost in ranked[:width] if cost + self.remaining(state) < best[0]}
        return self.walk(came, best[1], in_hand)

    def walk(self, came: Mapping[_State, _State], end: _State, in_hand: Handling) -> tuple[int, ...]:
        """Return the steps that lead to a state, by doing again what led there."""
        states = [end]
        while states[-1] in came:
            states.append(came[states[-1]])
        path: list[int] = []
        now: _State = (0, self.free, in_hand.tool, in_hand.pose)
        for state in reversed(states):
            now = self.settle((*now[:2], *state[2:]), path)
        return tuple(path)


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
