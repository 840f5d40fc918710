"""The written estimate and the account, a page each."""

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from decimal import Decimal

from asfound.job import Job
from asfound.job.bodies import Account, CostLine, Estimate
from asfound.job.costing import Sum, as_money, show_minutes, spread_of, sum_of
from asfound.report.camera import camera_name, particulars
from asfound.report.typeset import typeset


@dataclass(frozen=True, slots=True, kw_only=True)
class CostPaper:
    """What an estimate or an account says on paper; `rows` are what, how many, each, together."""

    title: str
    ticket: str
    camera: str
    facts: tuple[tuple[str, str], ...]
    complaint: str
    as_of: str
    currency: str
    rows: tuple[tuple[str, str, str, str], ...]
    totals: tuple[tuple[str, str], ...]
    remarks: tuple[str, ...]
    text: str


def estimate_paper(job: Job, estimate: Estimate, *, as_of: str) -> CostPaper:
    """Return what an estimate says; pure."""
    low, likely, high = spread_of(estimate)
    low_time, high_time = map(show_minutes, (estimate.low_minutes, estimate.high_minutes))
    wide = low_time != high_time
    until = f" It holds until {estimate.holds_until:%d %B %Y}." if estimate.holds_until else ""
    within = (("at least", str(low.total)), ("at most", str(high.total))) if low != high else ()
    return _paper(
        job,
        title="Estimate",
        as_of=as_of,
        said=estimate,
        work=(f"Work, {show_minutes(estimate.likely_minutes)}", likely.work),
        totals=(("likely", str(likely.total)), *within),
        remarks=(
            *((f"The work is expected to take between {low_time} and {high_time}.",) if wide else ()),
            f"The time rests on: {estimate.basis}.",
            f"An estimate, made before the camera was taken apart; what it turns out to be may differ.{until}",
        ),
    )


def account_paper(job: Job, account: Account, estimate: Estimate | None, *, as_of: str) -> CostPaper:
    """Return what an account says; pure."""
    return _paper(
        job,
        title="Account",
        as_of=as_of,
        said=account,
        work=(f"Work, {show_minutes(account.minutes)}", sum_of(account).work),
        totals=(("together", str(sum_of(account).total)),),
        remarks=() if estimate is None else (_against(sum_of(account), estimate, account.currency),),
    )


def _against(came_to: Sum, estimate: Estimate, currency: str) -> str:
    if estimate.currency != currency:
        return f"The estimate was in {estimate.currency} and is not compared."
    low, likely, high = spread_of(estimate)
    told = f"{likely.total} {currency}" + ("" if low == high else f" ({low.total} to {high.total})")
    if came_to.total > high.total:
        return f"The estimate was {told}; this is {came_to.total - high.total} {currency} above its most."
    where = "below its least" if came_to.total < low.total else "within it"
    return f"The estimate was {told}; this is {where}."


def _paper(
    job: Job,
    *,
    title: str,
    as_of: str,
    said: Estimate | Account,
    work: tuple[str, Decimal],
    totals: tuple[tuple[str, str], ...],
    remarks: tuple[str, ...],
) -> CostPaper:
    known = tuple((label, value) for label, value in particulars(job.camera)[:3] if value != "not written down")
    prices = (said.per_hour, *(line.price for line in said.lines))
    rows = ((work[0], "", f"{as_money(said.per_hour, prices)} an hour", str(work[1])), *_rows(said.lines, prices))
    return CostPaper(
        title=title,
        ticket=job.ticket,
        camera=camera_name(job.camera),
        facts=known,
        complaint=job.complaint,
        as_of=as_of,
        currency=said.currency,
        rows=rows,
        totals=totals,
        remarks=remarks,
        text=said.text,
    )


def _rows(lines: Iterable[CostLine], prices: tuple[Decimal, ...]) -> tuple[tuple[str, str, str, str], ...]:
    def row(line: CostLine) -> tuple[str, str, str, str]:
        each, together = (str(as_money(value, prices)) for value in (line.price, line.count * line.price))
        return line.what, f"{line.count:f}", each, together

    return tuple(map(row, lines))


def estimate_pdf(job: Job, estimate: Estimate, *, as_of: str) -> bytes:
    """Return the written estimate as PDF; the same content gives the same bytes."""
    return typeset("costs.typ", asdict(estimate_paper(job, estimate, as_of=as_of)))


def account_pdf(job: Job, account: Account, estimate: Estimate | None, *, as_of: str) -> bytes:
    """Return the account as PDF; the same content gives the same bytes."""
    return typeset("costs.typ", asdict(account_paper(job, account, estimate, as_of=as_of)))
