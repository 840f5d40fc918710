"""What a repair costs, from the command line: the estimate and the account."""

from pathlib import Path
from typing import Any

import click

from asfound.bench.costs import (
    account_paper,
    estimate_paper,
    propose_account,
    propose_estimate,
    read_currency,
    read_lines,
    read_minutes,
    read_price,
    read_prices,
    write_account,
    write_estimate,
)
from asfound.bench.jobs import load_job
from asfound.book import Book
from asfound.cli.book_option import with_book
from asfound.cli.output import columns, emit
from asfound.cli.report import write_paper
from asfound.job import Job
from asfound.job.bodies import Account, CostLine, Estimate
from asfound.job.costing import Sum, account_of, as_money, estimate_of, show_minutes, spread_of, sum_of
from asfound.problems import bad_input

WORK = 'A time of work, such as "3 h 30 min" or 210.'
LINES = click.option("--part", "parts", multiple=True, help='"What, how many, the price of one"; once for each part.')
RATE = click.option("--per-hour", help="An hour of work; without it the one used last.")
CURRENCY = click.option("--currency", help="As it stands on paper; without it the one used last.")
TEXT = click.option("--text", default="", help="A word for the owner.")
PAPER = click.option("-o", "--output", "target", type=click.Path(dir_okay=False, path_type=Path), help="PDF to write.")
JSON = click.option("--json", "as_json", is_flag=True, help="The same as JSON.")


@click.command()
@with_book
@click.argument("job")
@click.option("--likely", help=WORK + " Without it, nothing is written: what other cameras took is shown.")
@click.option("--low", help="The least; without it the same.")
@click.option("--high", help="The most; without it the same.")
@click.option("--until", type=click.DateTime(["%Y-%m-%d"]), help="The day until which it holds.")
@RATE
@CURRENCY
@LINES
@TEXT
@PAPER
@JSON
def estimate(book: Book, job: str, likely: str | None, low: str | None, high: str | None, until: Any,
             per_hour: str | None, currency: str | None, parts: tuple[str, ...], text: str, target: Path | None,
             as_json: bool) -> None:  # fmt: skip
    """Estimate what a JOB will take, from the model's other cameras; write it down, and as PDF."""
    found = load_job(book, job)
    if likely is not None:
        rate, money = _rate(book, per_hour, currency)
        middle = read_minutes(likely, where="--likely")
        least = middle if low is None else read_minutes(low, where="--low")
        most = middle if high is None else read_minutes(high, where="--high")
        if not least <= middle <= most:
            raise bad_input("--likely", "it does not lie between the least and the most", "put the three in order")
        made = Estimate(
            low_minutes=least,
            likely_minutes=middle,
            high_minutes=most,
            basis=propose_estimate(book, found).basis,
            per_hour=rate,
            currency=money,
            lines=read_lines("\n".join(parts)),
            holds_until=None if until is None else until.date(),
            text=text,
        )
        write_estimate(book, found, made)
        found = load_job(book, found.id)
    if target is not None:
        write_paper(target, estimate_paper(found), quiet=as_json)
    data = _estimate_data(book, found)
    emit(data, _estimate_table(data), as_json=as_json)


@click.command()
@with_book
@click.argument("job")
@click.option("--minutes", help=WORK + " Without it, the times of the job's entries.")
@click.option("--write", is_flag=True, help="Write it to the job.")
@RATE
@CURRENCY
@LINES
@TEXT
@PAPER
@JSON
def account(book: Book, job: str, minutes: str | None, write: bool, per_hour: str | None, currency: str | None,
            parts: tuple[str, ...], text: str, target: Path | None, as_json: bool) -> None:  # fmt: skip
    """Show what a JOB took, beside its estimate; write the account down, and as PDF."""
    found = load_job(book, job)
    proposed, told = propose_account(book, found), estimate_of(found)
    if write:
        usual = (None, None) if told is None else (f"{told.per_hour:f}", told.currency)
        rate, money = _rate(book, per_hour or usual[0], currency or usual[1])
        made = Account(
            minutes=proposed.worked_minutes if minutes is None else read_minutes(minutes, where="--minutes"),
            per_hour=rate,
            currency=money,
            lines=read_lines("\n".join(parts)) if parts else proposed.lines,
            text=text,
        )
        write_account(book, found, made)
        found = load_job(book, found.id)
    if target is not None:
        write_paper(target, account_paper(found), quiet=as_json)
    data = _account_data(found, proposed.worked_minutes, proposed.lines)
    emit(data, _account_table(data), as_json=as_json)


def _rate(book: Book, per_hour: str | None, currency: str | None) -> tuple[Any, str]:
    """Return the rate and the currency: as given, else as used last."""
    known = read_prices(book)
    if per_hour is None and known.per_hour is None:
        raise bad_input("--per-hour", "the rate is not known yet", "give it once, such as --per-hour 48.00")
    if not (currency or known.currency):
        raise bad_input("--currency", "it is not known yet", "give it once, such as --currency EUR")
    rate = known.per_hour if per_hour is None else read_price(per_hour, where="--per-hour")
    return rate, read_currency(currency or known.currency, where="--currency")


def _estimate_data(book: Book, job: Job) -> dict[str, Any]:
    proposed, told = propose_estimate(book, job), estimate_of(job)
    work = proposed.work
    return {
        "job": job.ticket,
        "basis": proposed.basis,
        "likely_minutes": None if work is None else work.likely_minutes,
        "low_minutes": None if work is None else work.low_minutes,
        "high_minutes": None if work is None else work.high_minutes,
        "cameras_minutes": list(proposed.minutes),
        "worked_minutes": proposed.worked_minutes,
        "parts_likely": [line.what for line in proposed.lines],
        "parts_seldom": [{"part": part, "cameras": cameras} for part, cameras in proposed.seldom],
        "estimate": None if told is None else _told(told),
    }


def _told(told: Estimate) -> dict[str, Any]:
    low, likely, high = spread_of(told)
    return {
        "likely_minutes": told.likely_minutes,
        "low_minutes": told.low_minutes,
        "high_minutes": told.high_minutes,
        "per_hour": f"{told.per_hour:f}",
        "currency": told.currency,
        "lines": _lines(told),
        **_sum_data(likely),
        "total_low": str(low.total),
        "total_high": str(high.total),
        "holds_until": None if told.holds_until is None else told.holds_until.isoformat(),
    }


def _sum_data(found: Sum) -> dict[str, str]:
    return {"work": str(found.work), "parts": str(found.parts), "total": str(found.total)}


def _lines(said: Estimate | Account) -> list[dict[str, str]]:
    prices = [said.per_hour, *(line.price for line in said.lines)]
    return [
        {
            "what": line.what,
            "count": f"{line.count:f}",
            "price": str(as_money(line.price, prices)),
            "amount": str(as_money(line.count * line.price, prices)),
        }
        for line in said.lines
    ]


def _estimate_table(data: dict[str, Any]) -> list[str]:
    lines = [data["basis"], f"this job so far: {show_minutes(data['worked_minutes'])}"]
    if data["likely_minutes"] is not None:
        spread = ""
        if data["low_minutes"] is not None:
            spread = f", {show_minutes(data['low_minutes'])} to {show_minutes(data['high_minutes'])}"
        lines.append(f"likely: {show_minutes(data['likely_minutes'])}{spread}")
    lines += [f"part likely: {part}" for part in data["parts_likely"]]
    lines += [f"part needed on {row['cameras']} other: {row['part']}" for row in data["parts_seldom"]]
    told = data["estimate"]
    if told is None:
        return [*lines, "no estimate is written; give --likely to write one"]
    spread = "" if told["total_low"] == told["total_high"] else f", {told['total_low']} to {told['total_high']}"
    return [*lines, "", *_lines_table(told), f"estimate: {told['total']} {told['currency']}{spread}"]


def _lines_table(said: dict[str, Any]) -> list[str]:
    rows = [("work", "", f"{said['per_hour']} an hour", said["work"])]
    rows += [(line["what"], line["count"], line["price"], line["amount"]) for line in said["lines"]]
    return columns(["", "how many", "each", said["currency"]], rows)


def _account_data(job: Job, worked_minutes: float, lines: tuple[CostLine, ...]) -> dict[str, Any]:
    made, told = account_of(job), estimate_of(job)
    return {
        "job": job.ticket,
        "worked_minutes": worked_minutes,
        "parts_likely": [line.what for line in lines],
        "account": None
        if made is None
        else {
            "minutes": made.minutes,
            "per_hour": f"{made.per_hour:f}",
            "currency": made.currency,
            "lines": _lines(made),
            **_sum_data(sum_of(made)),
        },
        "estimate": None if told is None else _told(told),
    }


def _account_table(data: dict[str, Any]) -> list[str]:
    lines = [f"work, by the times of the entries: {show_minutes(data['worked_minutes'])}"]
    lines += [f"part: {part}" for part in data["parts_likely"]]
    made, told = data["account"], data["estimate"]
    if told is not None:
        lines.append(f"estimate: {told['total']} {told['currency']}, {told['total_low']} to {told['total_high']}")
    if made is None:
        return [*lines, "no account is written; give --write to write one"]
    return [*lines, "", *_lines_table(made), f"account: {made['total']} {made['currency']}"]
