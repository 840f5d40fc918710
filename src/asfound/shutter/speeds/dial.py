"""The dial: firings in the order shot, set against the marked speeds."""

import math
from collections.abc import Collection, Sequence
from dataclasses import asdict, dataclass

from asfound.problems import Problem
from asfound.quantity import show_number, show_time, student_factor, welch_satterthwaite
from asfound.quantity.tolerance import Verdict
from asfound.shutter.speeds.evenness import Step, evenness
from asfound.shutter.speeds.marked import MarkedSpeed
from asfound.shutter.speeds.pooling import Pooled, pool
from asfound.shutter.timing.firing import Firing, Flag

# A third of a stop wanted, half a stop accepted (common practice, no source).
DEFAULT_TOLERANCE_STOPS = 1 / 3
# The shortest marked time of a dial, where it is the work of a booster or of the bare spring, is allowed more.
TOP_TOLERANCE_STOPS = 1 / 2
TOP_FROM_S = 1 / 200
DEFAULT_SOURCE = "common practice, no source"


@dataclass(frozen=True, slots=True, kw_only=True)
class DialRow:
    """One marked speed and what was measured there.

    Attributes
    ----------
    marked : str
        As engraved.
    nominal_s : float
        The time the mark is compared with.
    exact : bool
        Whether that is the modern series' power of two.
    n : int
        Shots with a time.
    shots_s : tuple of float
        Their effective times (for sound: between the clicks).
    mean_s, spread_s : float or None
        Mean, and standard deviation of one shot (None from fewer than two).
    u_mean_s : float or None
        Standard uncertainty of the mean.
    error_stops, u_error_stops : float or None
        log2(mean / nominal), positive is slow; its standard uncertainty.
    interval_stops : float or None
        Half-width of its 95 % interval, by Student's t where the spread rules.
    verdict : {"within", "outside", "cannot tell"}
    flags : tuple of Flag
        Everything said of any of its firings.
    tolerance_stops : float
        What it was judged by.
    degrees_of_freedom : float or None
        Of `u_mean_s`; None is infinitely many.
    pooled : bool
        Whether its uncertainty rests on the scatter of comparable speeds, and not on its own shots alone.
    struck_s : tuple of float
        Times of shots struck through; they count for nothing.
    """

    marked: str
    nominal_s: float
    exact: bool
    n: int
    shots_s: tuple[float, ...]
    mean_s: float | None
    spread_s: float | None
    u_mean_s: float | None
    error_stops: float | None
    u_error_stops: float | None
    interval_stops: float | None
    verdict: Verdict
    flags: tuple[Flag, ...]
    tolerance_stops: float = DEFAULT_TOLERANCE_STOPS
    degrees_of_freedom: float | None = None
    pooled: bool = False
    struck_s: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Dial:
    """A whole dial, the tolerance it was judged by, and how even its steps are."""

    rows: tuple[DialRow, ...]
    tolerance_stops: float
    tolerance_source: str
    pools: tuple[Pooled, ...] = ()

    @property
    def steps(self) -> tuple[Step, ...]:
        """How far each step of the dial is from what it should be."""
        return evenness([(r.marked, r.nominal_s, r.error_stops, r.u_error_stops) for r in self.rows])

    def as_json(self) -> dict[str, object]:
        """Return the dial as plain values."""
        plain = asdict(self)
        for row in plain["rows"]:
            row["flags"] = [str(flag) for flag in row["flags"]]
        return plain | {"steps": [asdict(step) for step in self.steps], "remarks": list(self.remarks())}

    def remarks(self) -> tuple[str, ...]:
        """Return what the errors are measured against, in sentences."""
        wide = show_number(self.tolerance_stops)
        said = [f"Tolerance {wide} stop either way ({self.tolerance_source}); positive is slow."]
        said += [
            f"Tolerance at {row.marked}, the top speed: {show_number(row.tolerance_stops, significant=2)} stop."
            for row in self.rows
            if row.tolerance_stops != self.tolerance_stops
        ]
        said += [_of_pool(shared, self.rows) for shared in self.pools]
        if any(row.exact for row in self.rows):
            said.append("Marks of the modern series are compared with powers of two: 1/125 with 1/128 s.")
        if any(not row.exact for row in self.rows):
            said.append("Other marks are compared with their face value.")
        return tuple(said)


def _of_pool(shared: Pooled, rows: Sequence[DialRow]) -> str:
    which = ", ".join(rows[i].marked for i in shared.speeds)
    share = show_number(100 * shared.relative, significant=2)
    return f"Shots at {which} scatter alike: by {share} %, from {shared.degrees_of_freedom} degrees of freedom."


def read_dial(
    firings: Sequence[Firing],
    marked: Sequence[MarkedSpeed],
    *,
    shots: int,
    tolerance_stops: float = DEFAULT_TOLERANCE_STOPS,
    tolerance_source: str = DEFAULT_SOURCE,
    top_tolerance_stops: float | None = None,
    struck: Collection[int] = (),
) -> tuple[Dial, tuple[Problem, ...]]:
    """Share out firings, in the order shot, among the marked speeds.

    Parameters
    ----------
    firings : sequence of Firing
        `shots` of the first mark, then `shots` of the second, and so on.
    marked : sequence of MarkedSpeed
    shots : int
        Per marked speed, at least one.
    tolerance_stops : float
        Largest error that is in order, more than zero.
    tolerance_source : str
        Where that comes from; printed with it.
    top_tolerance_stops : float, optional
        The same for the shortest time of the dial if that is 1/200 s or less; if not given, half a stop
        (common practice, no source) or `tolerance_stops`, whichever is more.
    struck : collection of int
        Numbers of bad shots from 1, in the order shot: each keeps its place and counts for nothing.

    Returns
    -------
    dial : Dial
        Rows for which no firing is left have n = 0.
    problems : tuple of Problem
        If the number of firings does not fit.
    """
    numbered = [(firing, number in struck) for number, firing in enumerate(firings, start=1)]
    shared_out = [numbered[at * shots : (at + 1) * shots] for at in range(len(marked))]
    limits = tolerances(marked, tolerance_stops=tolerance_stops, top_tolerance_stops=top_tolerance_stops)
    dial = judged(marked, shared_out, limits, tolerance_stops, tolerance_source)
    wanted = len(marked) * shots
    if len(firings) == wanted:
        return dial, ()
    what = f"{len(firings)} firings found, {wanted} expected ({len(marked)} speeds of {shots} shots)"
    remedy = "give the right --shots and --marked, or name misfires with --leave-out (as in 4,9)"
    return dial, (Problem("recording", what, remedy),)


def read_dial_by_nearest(
    firings: Sequence[Firing],
    marked: Sequence[MarkedSpeed],
    *,
    tolerance_stops: float = DEFAULT_TOLERANCE_STOPS,
    tolerance_source: str = DEFAULT_SOURCE,
    top_tolerance_stops: float | None = None,
    struck: Collection[int] = (),
) -> tuple[Dial, tuple[Problem, ...]]:
    """Give each firing, in whatever order, to the marked speed that it is nearest to in stops.

    Only for a dial that is off by less than half a step: a speed a whole step slow passes for its neighbour.

    Parameters
    ----------
    firings : sequence of Firing
        Those without a time belong to no speed.
    marked : sequence of MarkedSpeed
        One or more.
    tolerance_stops, tolerance_source, top_tolerance_stops, struck
        As in `read_dial`.

    Returns
    -------
    dial : Dial
    problems : tuple of Problem
        For each firing that lies about half way between two speeds, or has no time.
    """
    shared_out: list[list[tuple[Firing, bool]]] = [[] for _ in marked]
    problems = []
    for number, firing in enumerate(firings, start=1):
        time_s, _ = _time(firing)
        place, doubt = _nearest(time_s, marked)
        if place is not None:
            shared_out[place].append((firing, number in struck))
        if doubt and number not in struck:
            remedy = "set the firings in the order shot instead"
            problems.append(Problem(f"firing {number}", doubt, remedy))
    limits = tolerances(marked, tolerance_stops=tolerance_stops, top_tolerance_stops=top_tolerance_stops)
    return judged(marked, shared_out, limits, tolerance_stops, tolerance_source), tuple(problems)


def _nearest(time_s: float | None, marked: Sequence[MarkedSpeed]) -> tuple[int | None, str]:
    """Return the place of the nearest speed, and what is doubtful about it."""
    if time_s is None or time_s <= 0:
        return None, "it has no time, so it belongs to no speed"
    off = sorted((abs(math.log2(time_s / speed.nominal_s)), place) for place, speed in enumerate(marked))
    if len(off) > 1 and off[1][0] - off[0][0] < 0.2:
        return off[0][1], f"it lies half way between {marked[off[0][1]].mark} and {marked[off[1][1]].mark}"
    return off[0][1], ""


def judged(
    marked: Sequence[MarkedSpeed],
    shared_out: Sequence[Sequence[tuple[Firing, bool]]],
    limits: Sequence[float],
    tolerance_stops: float,
    tolerance_source: str,
) -> Dial:
    """Return the dial of firings shared out among the speeds, each with whether it is struck through."""
    good = [[firing for firing, bad in row if not bad] for row in shared_out]
    bad = [[firing for firing, bad in row if bad] for row in shared_out]
    pools = pool([[t for t, _ in _times(row)] for row in good])
    rows = tuple(
        dial_row(speed, row, tolerance_stops=limit, comparable=shared, struck=out)
        for speed, row, limit, shared, out in zip(marked, good, limits, pools, bad, strict=True)
    )
    return Dial(
        rows=rows,
        tolerance_stops=tolerance_stops,
        tolerance_source=tolerance_source,
        pools=tuple(dict.fromkeys(shared for shared in pools if shared is not None)),
    )


def tolerances(
    marked: Sequence[MarkedSpeed], *, tolerance_stops: float, top_tolerance_stops: float | None = None
) -> tuple[float, ...]:
    """Return the tolerance of each speed: wider on the top speed.

    Parameters
    ----------
    marked : sequence of MarkedSpeed
    tolerance_stops : float
    top_tolerance_stops : float, optional
        As in `read_dial`.

    Notes
    -----
    Common practice, no source; ISO 516:2019 gives target values, not limits for inspection.
    """
    top = min((speed.nominal_s for speed in marked), default=0.0)
    wide = max(TOP_TOLERANCE_STOPS, tolerance_stops) if top_tolerance_stops is None else top_tolerance_stops
    return tuple(wide if speed.nominal_s == top <= TOP_FROM_S * 1.001 else tolerance_stops for speed in marked)


def dial_row(
    speed: MarkedSpeed,
    firings: Sequence[Firing],
    *,
    tolerance_stops: float,
    comparable: Pooled | None = None,
    struck: Sequence[Firing] = (),
) -> DialRow:
    """Return one row: mean of the times first, then log2.

    Parameters
    ----------
    speed : MarkedSpeed
    firings : sequence of Firing
        Its shots that count.
    tolerance_stops : float
    comparable : Pooled, optional
        Scatter shared with comparable speeds, in place of that of these few shots.
    struck : sequence of Firing
        Its shots that do not count.

    Notes
    -----
    The mean of n shots has u = s / sqrt(n) with the degrees of freedom of s, and each shot's own uncertainty
    that is common to all (JCGM 100:2008, 4.2.3, 4.2.4 on pooling, and 4.3). Error in stops: log2(t / t_marked).
    """
    timed = _times(firings)
    times = tuple(t for t, _ in timed)
    flags = tuple(flag for flag in Flag if any(flag in firing.flags for firing in firings))
    out = tuple(t for t, _ in _times(struck))
    if not times:
        return _empty_row(speed, flags, tolerance_stops, out)
    mean = math.fsum(times) / len(times)
    error = math.log2(mean / speed.nominal_s)
    spread = _deviation(times, mean)
    u_mean, freedom = _of_mean(spread, times, max(u for _, u in timed), comparable)
    per_stop = 1 / (mean * math.log(2))
    interval = student_factor(None if freedom is None else max(1.0, freedom)) * u_mean * per_stop
    unsure = Flag.CLIPPED in flags or Flag.NEVER_CLOSES in flags
    return DialRow(
        marked=speed.mark,
        nominal_s=speed.nominal_s,
        exact=speed.exact,
        n=len(times),
        shots_s=times,
        mean_s=mean,
        spread_s=spread,
        u_mean_s=u_mean,
        error_stops=error,
        u_error_stops=u_mean * per_stop,
        interval_stops=interval,
        verdict="cannot tell" if unsure else judge(error, interval, tolerance_stops),
        flags=flags,
        tolerance_stops=tolerance_stops,
        degrees_of_freedom=freedom,
        pooled=comparable is not None,
        struck_s=out,
    )


def _empty_row(
    speed: MarkedSpeed, flags: tuple[Flag, ...], tolerance_stops: float, struck: tuple[float, ...]
) -> DialRow:
    return DialRow(
        marked=speed.mark,
        nominal_s=speed.nominal_s,
        exact=speed.exact,
        n=0,
        shots_s=(),
        mean_s=None,
        spread_s=None,
        u_mean_s=None,
        error_stops=None,
        u_error_stops=None,
        interval_stops=None,
        verdict="cannot tell",
        flags=flags,
        tolerance_stops=tolerance_stops,
        struck_s=struck,
    )


def judge(error_stops: float, interval_stops: float, tolerance_stops: float) -> Verdict:
    """Return "within" or "outside" only where the whole interval lies on that side of the tolerance."""
    if abs(error_stops) + interval_stops <= tolerance_stops:
        return "within"
    if abs(error_stops) - interval_stops > tolerance_stops:
        return "outside"
    return "cannot tell"


def _times(firings: Sequence[Firing]) -> list[tuple[float, float]]:
    """Return times with their uncertainties, of those firings that have one."""
    found = [_time(firing) for firing in firings]
    return [(t, u or 0.0) for t, u in found if t is not None and t > 0]


def _time(firing: Firing) -> tuple[float | None, float | None]:
    if firing.effective_s is not None:
        return firing.effective_s, firing.u_effective_s
    return firing.open_s, firing.u_open_s


def _deviation(times: Sequence[float], mean: float) -> float | None:
    if len(times) < 2:
        return None
    return math.sqrt(math.fsum((t - mean) ** 2 for t in times) / (len(times) - 1))


def _of_mean(
    spread: float | None, times: Sequence[float], common: float, comparable: Pooled | None
) -> tuple[float, float | None]:
    """Return the mean's standard uncertainty and its degrees of freedom.

    Welch-Satterthwaite (JCGM 100:2008, G.4): the common part has infinitely many degrees of freedom.
    """
    shares: list[tuple[float, float | None]] = [(common, None)]
    if comparable is not None:
        mean = math.fsum(times) / len(times)
        shares.append((mean * comparable.relative / math.sqrt(len(times)), comparable.degrees_of_freedom))
    elif spread is not None:
        shares.append((spread / math.sqrt(len(times)), len(times) - 1))
    return welch_satterthwaite(shares)


def summary(dial: Dial) -> str:
    """Return the dial in a few plain sentences."""
    lines = []
    for row in dial.rows:
        if row.mean_s is None or row.error_stops is None:
            lines.append(f"{row.marked}: no time was measured.")
            continue
        way = "slow" if row.error_stops > 0 else "fast"
        size = show_number(abs(row.error_stops), row.u_error_stops)
        lines.append(f"{row.marked}: {show_time(row.mean_s)}, {size} stop {way}, {row.verdict}.")
    return "\n".join([*lines, *dial.remarks()])
