"""What must come off to reach a part, with the least work: exact, alternatives and chewed heads counted.

Each part comes off in one of several ways; a way needs other parts off first (AND), the ways are alternatives (OR).
One binary variable to a part and one to a way, least sum of minutes: a mixed-integer program, solved by HiGHS. Where
ways can rest on each other in a circle, the parts of the circle get a place in the order (Miller, Tucker, Zemlin
1960, from memory), so that none holds itself up.
"""

import difflib
from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from asfound.problems import BadInputError, NotFoundError, Problem
from asfound.teardown.fastener import FastenerGroup

_SECONDS = 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadRisk:
    """How likely a screw's head is chewed on the way out, and the minutes that costs; common practice, no source."""

    sound: float = 0.005
    damaged: float = 0.25
    lacquered: float = 0.05
    minutes: float = 25.0

    def of(self, groups: Iterable[FastenerGroup]) -> float:
        """Return the minutes to expect for chewed heads among these fasteners."""
        heads = sum(g.damaged * self.damaged + (g.count - g.damaged) * self._of_sound(g) for g in groups)
        return heads * self.minutes

    def _of_sound(self, group: FastenerGroup) -> float:
        return self.lacquered if group.lacquered else self.sound


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way to take a part off: what must be off before, and what it takes."""

    needs: frozenset[str] = frozenset()
    minutes: float = 1.0
    risk_minutes: float = 0.0
    tool: str = ""
    pose: str = ""
    fasteners: tuple[FastenerGroup, ...] = ()
    assumed: bool = False
    seen_on: int = 1

    @property
    def cost(self) -> float:
        """Minutes of work and of what may go wrong."""
        return self.minutes + self.risk_minutes


@dataclass(frozen=True, slots=True)
class AccessStep:
    """One part to take off, and the way it comes off."""

    part: str
    way: Way


@dataclass(frozen=True, slots=True, kw_only=True)
class Access:
    """What must come off, in an order in which it can.

    Attributes
    ----------
    minutes, risk_minutes : float
        Work, and what chewed heads are to be expected to cost.
    value : float
        What taking the chosen parts off is worth, less its cost; minus the cost where nothing was given a worth.
    lower_bound : float
        No choice costs less.
    assumed : tuple of str
        What was taken for granted, a line each.
    """

    steps: tuple[AccessStep, ...]
    minutes: float
    risk_minutes: float
    value: float
    lower_bound: float
    proved: bool
    assumed: tuple[str, ...]

    @property
    def tools(self) -> tuple[str, ...]:
        """The tools that worked, each once, in the order needed."""
        return tuple(dict.fromkeys(step.way.tool for step in self.steps if step.way.tool))

    @property
    def poses(self) -> tuple[str, ...]:
        """How the camera lay, each once."""
        return tuple(dict.fromkeys(step.way.pose for step in self.steps if step.way.pose))


def reach_part(
    ways: Mapping[str, Sequence[Way]],
    targets: Collection[str],
    *,
    already_off: Collection[str] = (),
    worth: Mapping[str, float] | None = None,
) -> Access:
    """Return what must come off so that all targets are off, with the least minutes of work and risk.

    Parameters
    ----------
    ways : mapping of str to sequence of Way
        By part, the alternative ways to take it off.
    targets : collection of str
        Parts that must come off.
    already_off : collection of str
        Parts that are off: they cost nothing.
    worth : mapping of str to float
        Minutes that having a part off is worth: such parts come off too where that pays.

    Raises
    ------
    NotFoundError
        If a target is no part (the nearest names are offered).
    BadInputError
        If a target cannot come off: every way to it needs itself.
    """
    off = frozenset(already_off)
    for name in (*targets, *(worth or {})):
        _known(name, ways, off)
    wanted = [name for name in dict.fromkeys(targets) if name not in off]
    parts = _within_reach(ways, [*wanted, *(worth or {})], off)
    if not parts:
        return _access((), {}, worth or {}, 0.0, proved=True)
    chosen, bound, proved = _solve(parts, ways, wanted, off, worth or {})
    order = _in_order({part: chosen[part] for part in ways if part in chosen}, off)
    return _access([AccessStep(part, chosen[part]) for part in order], chosen, worth or {}, bound, proved=proved)


def _known(name: str, ways: Mapping[str, Sequence[Way]], off: Collection[str]) -> None:
    if name in ways or name in off:
        return
    near = difflib.get_close_matches(name, [*ways, *off], n=3, cutoff=0.5)
    remedy = f"did you mean {' or '.join(repr(n) for n in near)}?" if near else "name a part that came off before"
    raise NotFoundError(Problem("part", f"nothing is known of {name!r}", remedy))


def _within_reach(ways: Mapping[str, Sequence[Way]], start: Iterable[str], off: Collection[str]) -> list[str]:
    """Return the parts that can matter: those that some way to a wanted part needs, and so on."""
    found: dict[str, None] = {}
    left = [name for name in start if name not in off]
    while left:
        name = left.pop()
        if name not in found:
            found[name] = None
            left.extend(need for way in ways.get(name, ()) for need in way.needs if need not in off)
    return list(found)


def _solve(
    parts: Sequence[str],
    ways: Mapping[str, Sequence[Way]],
    wanted: Collection[str],
    off: Collection[str],
    worth: Mapping[str, float],
) -> tuple[dict[str, Way], float, bool]:
    """Return the way chosen for each part that comes off, a bound on the cost, and whether it is the least."""
    from scipy.optimize import Bounds, LinearConstraint, milp  # only here: it takes a while to load
    from scipy.sparse import coo_array

    place = {name: n for n, name in enumerate(parts)}
    options = [(name, way) for name in parts for way in ways.get(name, ()) if way.needs <= {*place, *off}]
    rounds = _circles(parts, options, off)
    n, m = len(parts), len(options)
    cost = np.concatenate([[-worth.get(p, 0.0) for p in parts], [w.cost for _, w in options], np.zeros(n)])
    rows: list[tuple[list[tuple[int, float]], float, float]] = []
    rows += [([(k, 1.0)], 0.0, 0.0) for k in range(n)]
    sizes = Counter(rounds.values())
    needed: dict[tuple[str, str], list[tuple[int, float]]] = defaultdict(list)
    for k, (part, way) in enumerate(options):
        rows[place[part]][0].append((n + k, -1.0))  # a part is off if just one of its ways was taken
        for need in way.needs - set(off):
            needed[part, need].append((n + k, 1.0))
            if rounds[part] == rounds[need]:
                size, u = float(sizes[rounds[part]]), n + m
                rows.append(([(u + place[need], 1.0), (u + place[part], -1.0), (n + k, size)], -np.inf, size - 1))
    # One row for all ways of a part that need another: it is the tighter for holding their sum.
    rows += [([*by, (place[need], -1.0)], -np.inf, 0.0) for (_, need), by in needed.items()]
    entries = [(r, c, v) for r, (terms, _, _) in enumerate(rows) for c, v in terms]
    r, c, v = zip(*entries, strict=True)
    matrix = coo_array((v, (r, c)), shape=(len(rows), 2 * n + m)).tocsr()
    lower = np.zeros(2 * n + m)
    lower[[place[name] for name in wanted]] = 1.0
    upper = np.concatenate([np.ones(n + m), np.full(n, float(n))])
    whole = np.concatenate([np.ones(n + m), np.zeros(n)])
    rule = LinearConstraint(matrix, [low for _, low, _ in rows], [high for _, _, high in rows])
    solved = milp(
        cost,
        constraints=rule,
        bounds=Bounds(lower, upper),
        integrality=whole,
        options={"time_limit": _SECONDS, "mip_rel_gap": 0.0},  # left to itself the solver stops 0.01 % short
    )
    if solved.x is None:
        raise BadInputError(_unreachable(wanted))
    chosen = {part: way for k, (part, way) in enumerate(options) if solved.x[n + k] > 0.5}
    bound = float(solved.mip_dual_bound) if solved.mip_dual_bound is not None else float(solved.fun)
    return chosen, bound, bool(solved.status == 0)


def _unreachable(wanted: Iterable[str]) -> Problem:
    what = f"no way leads to {', '.join(wanted)}: every one needs a part that waits for it, or is not known"
    return Problem("part", what, "say anew what freed it")


def _circles(parts: Sequence[str], options: Sequence[tuple[str, Way]], off: Collection[str]) -> dict[str, int]:
    """Return for each part the number of its circle of mutual need; a part in none has one to itself."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    place = {name: n for n, name in enumerate(parts)}
    pairs = [(place[need], place[part]) for part, way in options for need in way.needs if need not in off]
    if not pairs:
        return dict(zip(parts, range(len(parts)), strict=True))
    i, j = zip(*pairs, strict=True)
    graph = coo_array((np.ones(len(pairs)), (i, j)), shape=(len(parts), len(parts)))
    _, labels = connected_components(graph, directed=True, connection="strong")
    return dict(zip(parts, map(int, labels), strict=True))


def _in_order(chosen: Mapping[str, Way], off: Collection[str]) -> list[str]:
    """Return the chosen parts in an order in which each is free when its turn comes."""
    done, order = set(off), list[str]()
    left = dict(chosen)
    while left:
        free = [part for part, way in left.items() if way.needs <= done]
        for part in free:
            del left[part]
        done |= set(free)
        order += free
        assert free, "the program lets no part hold itself up"
    return order


def _access(
    steps: Sequence[AccessStep], chosen: Mapping[str, Way], worth: Mapping[str, float], bound: float, *, proved: bool
) -> Access:
    minutes = sum(step.way.minutes for step in steps)
    risk = sum(step.way.risk_minutes for step in steps)
    value = sum(worth.get(part, 0.0) for part in chosen) - minutes - risk
    assumed = [
        f"{step.part}: nobody said what freed it; everything that came off before it is assumed to be needed"
        for step in steps
        if step.way.assumed
    ]
    return Access(
        steps=tuple(steps),
        minutes=minutes,
        risk_minutes=risk,
        value=value,
        lower_bound=-value if proved else bound,
        proved=proved,
        assumed=tuple(assumed),
    )
