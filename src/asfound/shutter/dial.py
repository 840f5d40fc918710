"""The dial: firings in the order shot, set against the marked speeds."""

import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Literal

from scipy.stats import t as student

from asfound.problems import Problem
from asfound.quantity import show_number, show_time
from asfound.shutter.firing import Firing, Flag
from asfound.shutter.marked import MarkedSpeed

Verdict = Literal["within", "outside", "cannot tell"]
# A third of a stop wanted, half a stop accepted (common practice, no source).
DEFAULT_TOLERANCE_STOPS = 1 / 3
DEFAULT_SOURCE = "common practice, no source"
LEVEL = 0.95


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Dial:
    """A whole dial, and the tolerance it was judged by."""

    rows: tuple[DialRow, ...]
    tolerance_stops: float
    tolerance_source: str

    def as_json(self) -> dict[str, object]:
        """Return the dial as plain values."""
        plain = asdict(self)
        for row in plain["rows"]:
            row["flags"] = [str(flag) for flag in row["flags"]]
        return plain | {"remarks": list(self.remarks())}

    def remarks(self) -> tuple[str, ...]:
        """Return what the errors are measured against, in sentences."""
        wide = show_number(self.tolerance_stops)
        said = [f"Tolerance {wide} stop either way ({self.tolerance_source}); positive is slow."]
        if any(row.exact for row in self.rows):
            said.append("Marks of the modern series are compared with powers of two: 1/125 with 1/128 s.")
        if any(not row.exact for row in self.rows):
            said.append("Other marks are compared with their face value.")
        return tuple(said)


def read_dial(
    firings: Sequence[Firing],
    marked: Sequence[MarkedSpeed],
    *,
    shots: int,
    tolerance_stops: float = DEFAULT_TOLERANCE_STOPS,
    tolerance_source: str = DEFAULT_SOURCE,
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

    Returns
    -------
    dial : Dial
        Rows for which no firing is left have n = 0.
    problems : tuple of Problem
        If the number of firings does not fit.
    """
    rows = tuple(
        dial_row(speed, firings[at * shots : (at + 1) * shots], tolerance_stops=tolerance_stops)
        for at, speed in enumerate(marked)
    )
    dial = Dial(rows=rows, tolerance_stops=tolerance_stops, tolerance_source=tolerance_source)
    wanted = len(marked) * shots
    if len(firings) == wanted:
        return dial, ()
    what = f"{len(firings)} firings found, {wanted} expected ({len(marked)} speeds of {shots} shots)"
    remedy = "give the right --shots and --marked, or name misfires with --leave-out (as in 4,9)"
    return dial, (Problem("recording", what, remedy),)


def dial_row(speed: MarkedSpeed, firings: Sequence[Firing], *, tolerance_stops: float) -> DialRow:
    """Return one row: mean of the times first, then log2.

    Notes
    -----
    The mean of n shots has u = s / sqrt(n) with n - 1 degrees of freedom, and each shot's own uncertainty
    that is common to all (JCGM 100:2008, 4.2.3 and 4.3). Error in stops: log2(t / t_marked).
    """
    timed = [(t, u or 0.0) for t, u in (_time(firing) for firing in firings) if t is not None and t > 0]
    times = tuple(t for t, _ in timed)
    flags = tuple(flag for flag in Flag if any(flag in firing.flags for firing in firings))
    if not times:
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
        )
    mean = math.fsum(times) / len(times)
    error = math.log2(mean / speed.nominal_s)
    spread = _deviation(times, mean)
    common = max(u for _, u in timed)
    u_mean, factor = _of_mean(spread, len(times), common)
    per_stop = 1 / (mean * math.log(2))
    interval = factor * u_mean * per_stop
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
    )


def judge(error_stops: float, interval_stops: float, tolerance_stops: float) -> Verdict:
    """Return "within" or "outside" only where the whole interval lies on that side of the tolerance."""
    if abs(error_stops) + interval_stops <= tolerance_stops:
        return "within"
    if abs(error_stops) - interval_stops > tolerance_stops:
        return "outside"
    return "cannot tell"


def _time(firing: Firing) -> tuple[float | None, float | None]:
    if firing.effective_s is not None:
        return firing.effective_s, firing.u_effective_s
    return firing.open_s, firing.u_open_s


def _deviation(times: Sequence[float], mean: float) -> float | None:
    if len(times) < 2:
        return None
    return math.sqrt(math.fsum((t - mean) ** 2 for t in times) / (len(times) - 1))


def _of_mean(spread: float | None, n: int, common: float) -> tuple[float, float]:
    """Return the mean's standard uncertainty and the factor to its 95 % interval.

    Welch-Satterthwaite (JCGM 100:2008, G.4): the common part has infinitely many degrees of freedom.
    """
    if spread is None:
        return common, float(student.ppf(0.5 + LEVEL / 2, 1e9))
    own = spread / math.sqrt(n)
    u = math.hypot(own, common)
    freedom = (n - 1) * (u / own) ** 4 if own > 0 else 1e9
    return u, float(student.ppf(0.5 + LEVEL / 2, min(freedom, 1e9)))


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
