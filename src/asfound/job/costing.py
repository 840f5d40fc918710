"""What a repair will take and what it took: minutes with their spread, lines of parts, sums of money."""

import math
import statistics
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal

from scipy import special

from asfound.job.bodies import Account, CostLine, Estimate, PartOrdered
from asfound.job.job import Job, key

COVERAGE = 0.8


@dataclass(frozen=True, slots=True, kw_only=True)
class Foreseen:
    """The minutes that the next camera is likely to take.

    Attributes
    ----------
    likely_minutes : float
        The middle: as many cameras take less as take more.
    low_minutes, high_minutes : float or None
        Eight of ten next cameras are expected between them; None where one camera alone was timed.
    cameras : int
        How many were timed.
    """

    likely_minutes: float
    low_minutes: float | None
    high_minutes: float | None
    cameras: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Sum:
    """What work and parts come to, each rounded as money is."""

    work: Decimal
    parts: Decimal

    @property
    def total(self) -> Decimal:
        """Work and parts together."""
        return self.work + self.parts


def foreseen(minutes: Iterable[float], *, coverage: float = COVERAGE) -> Foreseen | None:
    """Return what the next camera is likely to take, from the minutes of those before it; None without any.

    Parameters
    ----------
    minutes : iterable of float
        Of each camera; those at or below zero were not timed and are left out.
    coverage : float
        Share of next cameras expected between low and high, in (0, 1).

    Notes
    -----
    Times are taken to be log-normal: they have a floor and a long tail. The interval is the one for a single future
    observation, m +- t(n - 1) s sqrt(1 + 1/n) on the logarithms (Hahn and Meeker, Statistical Intervals; from
    memory). With few cameras it is wide, and ought to be.
    """
    logs = [math.log(value) for value in minutes if value > 0]
    if not logs:
        return None
    middle = statistics.fmean(logs)
    half = _half_width(logs, coverage) if len(logs) > 1 else None
    return Foreseen(
        likely_minutes=math.exp(middle),
        low_minutes=None if half is None else math.exp(middle - half),
        high_minutes=None if half is None else math.exp(middle + half),
        cameras=len(logs),
    )


def _half_width(logs: Sequence[float], coverage: float) -> float:
    n = len(logs)
    student = float(special.stdtrit(n - 1, 0.5 + coverage / 2))
    return student * statistics.stdev(logs) * math.sqrt(1 + 1 / n)


def cost(*, minutes: float, per_hour: Decimal, lines: Iterable[CostLine]) -> Sum:
    """Return what so many minutes at a rate, and these parts, come to.

    Each amount is rounded by itself, half to even (as IEEE 754 and common bookkeeping do), to the decimals that the
    rate and the prices were typed with: the sum on paper is the sum of what stands above it.
    """
    parts = tuple(lines)
    grain = _grain([per_hour, *(line.price for line in parts)])
    work = _rounded(per_hour * Decimal(str(minutes)) / 60, grain)
    return Sum(work=work, parts=sum((_rounded(line.count * line.price, grain) for line in parts), Decimal(0) * grain))


def as_money(value: Decimal, like: Iterable[Decimal]) -> Decimal:
    """Return a sum or a price with as many decimals as the prices `like` it have, half to even."""
    return _rounded(value, _grain(like))


def _grain(prices: Iterable[Decimal]) -> Decimal:
    """Return the smallest step of money that the prices were typed in."""
    decimals = [-exponent for price in prices if isinstance(exponent := price.as_tuple().exponent, int)]
    return Decimal(1).scaleb(-max(0, *decimals))


def _rounded(value: Decimal, grain: Decimal) -> Decimal:
    return value.quantize(grain, rounding=ROUND_HALF_EVEN)


def spread_of(estimate: Estimate) -> tuple[Sum, Sum, Sum]:
    """Return the sums of an estimate: at the fewest minutes, the likely, and the most."""
    low, likely, high = (
        cost(minutes=minutes, per_hour=estimate.per_hour, lines=estimate.lines)
        for minutes in (estimate.low_minutes, estimate.likely_minutes, estimate.high_minutes)
    )
    return low, likely, high


def sum_of(account: Account) -> Sum:
    """Return what an account comes to."""
    return cost(minutes=account.minutes, per_hour=account.per_hour, lines=account.lines)


def show_minutes(minutes: float) -> str:
    """Return minutes as people say them."""
    hours, rest = divmod(round(minutes), 60)
    return " ".join((*([f"{hours} h"] if hours else ()), *([f"{rest} min"] if rest or not hours else ())))


def show_estimate(estimate: Estimate) -> str:
    """Return an estimate in a line."""
    low, likely, high = spread_of(estimate)
    within = "" if low == high else f", {low.total} to {high.total}"
    return f"{likely.total} {estimate.currency}{within}, {show_minutes(estimate.likely_minutes)} of work"


def show_account(account: Account) -> str:
    """Return an account in a line."""
    return f"{sum_of(account).total} {account.currency}, {show_minutes(account.minutes)} of work"


def parts_got(job: Job) -> tuple[str, ...]:
    """Return the parts that were sent for in a job, each once, in order."""
    orders = (entry.body for entry in job.live if isinstance(entry.body, PartOrdered))
    names: dict[str, str] = {}
    for order in orders:
        names.setdefault(key(order.part), order.part)
    return tuple(names.values())


def estimate_of(job: Job) -> Estimate | None:
    """Return the last estimate of a job."""
    return next((entry.body for entry in reversed(job.live) if isinstance(entry.body, Estimate)), None)


def account_of(job: Job) -> Account | None:
    """Return the last account of a job."""
    return next((entry.body for entry in reversed(job.live) if isinstance(entry.body, Account)), None)


def parts_foreseen(cameras: Iterable[Iterable[str]]) -> tuple[tuple[str, int], ...]:
    """Return the parts that cameras of a model needed, with the number of cameras, the most frequent first."""
    counts: dict[str, int] = {}
    names: dict[str, str] = {}
    for parts in cameras:
        for part in parts:
            names.setdefault(key(part), part)
            counts[key(part)] = counts.get(key(part), 0) + 1
    return tuple((names[name], count) for name, count in sorted(counts.items(), key=lambda row: (-row[1], row[0])))
