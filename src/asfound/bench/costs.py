"""What a repair costs: the user's own rate and prices, an estimate for the owner, the account at the end."""

import datetime
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from pathlib import Path

from asfound.bench.notes import cameras_seen
from asfound.bench.table_file import save_table, table_cells, table_lines, table_row
from asfound.book import Book, JobLine
from asfound.job import Entry, Job, key
from asfound.job.bodies import Account, CostLine, Estimate
from asfound.job.costing import COVERAGE, Foreseen, account_of, estimate_of, foreseen, parts_foreseen, parts_got
from asfound.job.minutes import work_minutes
from asfound.problems import BadInputError, NotFoundError, Problem, bad_input
from asfound.report.costs import account_pdf, estimate_pdf

PRICES_FILE = "prices.csv"
_HEAD = ("what", "price", "currency")
# The line of the table of prices that holds the rate.
HOUR = "hour of work"
# Putting back and proving, where only taking apart was timed: as long again (common practice, no source).
BACK_AGAIN = 2.0
_WORKED = re.compile(r"(?:(?P<hours>\d+(?:\.\d+)?)\s*h)?\s*(?:(?P<minutes>\d+(?:\.\d+)?)\s*(?:min|m)?)?")
_MOST_MINUTES = 1e6
_MOST_PRICE = 10**8


@dataclass(frozen=True, slots=True, kw_only=True)
class Prices:
    """The user's prices, by what they are for; the rate is one of them."""

    currency: str
    of: dict[str, Decimal]

    @property
    def per_hour(self) -> Decimal | None:
        """The rate, where it was said."""
        return self.of.get(HOUR)


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """What an estimate or an account of a job begins with.

    Attributes
    ----------
    minutes : tuple of float
        Of the cameras of the model that were timed.
    work : Foreseen or None
        From these.
    basis : str
        What the minutes rest on, in words.
    worked_minutes : float
        What this job took so far.
    lines : tuple of CostLine
        Parts: those this job sent for, or for an estimate those that other cameras needed; the price is nought where
        the table of prices does not know it.
    seldom : tuple of (str, int)
        Parts that at most half of the other cameras needed, with their number: told, and not in the lines.
    """

    minutes: tuple[float, ...]
    work: Foreseen | None
    basis: str
    worked_minutes: float
    lines: tuple[CostLine, ...]
    seldom: tuple[tuple[str, int], ...]


def read_prices(book: Book) -> Prices:
    """Return the user's prices; none where none were said yet.

    Raises
    ------
    BadInputError
        With the line of each price that cannot be read, or of a second currency.
    """
    _, *lines = table_lines(_file(book)) or [""]
    rows = [_read_price(number, line) for number, line in enumerate(lines, start=2)]
    currencies = {currency for _, _, currency in rows}
    if len(currencies) > 1:
        what = f"it has {len(currencies)} currencies: {', '.join(sorted(currencies))}"
        raise BadInputError(Problem(PRICES_FILE, what, "keep to one"))
    return Prices(currency=next(iter(currencies), ""), of={key(what): price for what, price, _ in rows})


def set_prices(book: Book, prices: dict[str, Decimal], *, currency: str) -> Prices:
    """Keep prices with those kept before, and return them all; a new currency takes the place of the old one.

    Raises
    ------
    BadInputError
        If the currency is missing or a price is below nought.
    """
    if not currency.strip():
        raise BadInputError(Problem("currency", "it is not said", "write it as you would on paper, such as EUR"))
    if bad := next((what for what, price in prices.items() if not price.is_finite() or price < 0), None):
        raise BadInputError(Problem(bad, "its price is below nought", "write nought or more"))
    new = Prices(currency=currency.strip(), of=read_prices(book).of | {key(what): p for what, p in prices.items()})
    rows = (table_row((what, str(price), new.currency)) for what, price in sorted(new.of.items()))
    save_table(_file(book), [table_row(_HEAD), *rows])
    return new


def _file(book: Book) -> Path:
    return book.location.folder / PRICES_FILE


def _read_price(number: int, line: str) -> tuple[str, Decimal, str]:
    where = f"{PRICES_FILE}, line {number}"
    cells = table_cells(line)
    if len(cells) != len(_HEAD) or not cells[0] or not cells[2]:
        raise BadInputError(Problem(where, f"{line!r} is not what, price, currency", "write all three"))
    return cells[0], read_price(cells[1], where=where), cells[2]


def propose_estimate(book: Book, job: Job) -> Proposal:
    """Return what an estimate of a job can begin with: the minutes and the parts of the model's other cameras.

    Whole repairs of this book, from opening to handover, are taken where there are any; else the minutes of taking
    apart in the model's notes, doubled for putting back (common practice, no source).
    """
    others = _others(book, job)
    whole = _whole_repairs(others)
    minutes = whole or tuple(taken for taken in _taken_apart(book, job) if taken > 0)
    work = foreseen(minutes)
    needed = parts_foreseen(line.summary["parts_got"] for line in others)
    usual = [part for part, cameras in needed if cameras > len(others) / 2]
    return Proposal(
        minutes=minutes,
        work=work,
        basis=_basis(work, job.camera.model, bool(whole)),
        worked_minutes=work_minutes(job),
        lines=_priced(read_prices(book), [*usual, *parts_got(job)]),
        seldom=tuple((part, cameras) for part, cameras in needed if part not in usual),
    )


def propose_account(book: Book, job: Job) -> Proposal:
    """Return what the account of a job can begin with: the minutes between its entries, the parts it sent for."""
    told = estimate_of(job)
    parts = [part for part in parts_got(job) if told is None or key(part) not in {key(li.what) for li in told.lines}]
    return Proposal(
        minutes=(),
        work=None,
        basis="the times of this job's entries, pauses left out",
        worked_minutes=work_minutes(job),
        lines=(*(told.lines if told else ()), *_priced(read_prices(book), parts)),
        seldom=(),
    )


def _others(book: Book, job: Job) -> tuple[JobLine, ...]:
    """Return the other jobs on the model, from the list alone: there may be a thousand."""
    return tuple(line for line in book.jobs(model=job.camera.model) if line.id != job.id)


def _whole_repairs(lines: Iterable[JobLine]) -> tuple[float, ...]:
    """Return the minutes of work of the jobs that were handed over."""
    return tuple(float(line.summary["work_minutes"]) for line in lines if line.handed_over)


def _taken_apart(book: Book, job: Job) -> list[float]:
    try:
        cameras = cameras_seen(book, job.camera.model, without=job)
    except NotFoundError:
        return []
    return [BACK_AGAIN * sum(step.minutes or 0.0 for step in camera.steps) for camera in cameras]


def _basis(work: Foreseen | None, model: str, whole: bool) -> str:
    if work is None:
        return f"experience; no other {model} was timed"
    cameras = f"{work.cameras} {'camera' if work.cameras == 1 else 'cameras'} of this model"
    timing = "whole repairs" if whole else "taking apart, and as long again for putting back"
    known = "one alone, no spread known" if work.low_minutes is None else f"{COVERAGE:.0%} expected within"
    return f"{cameras}, {timing}; {known}"


def _priced(prices: Prices, parts: Sequence[str]) -> tuple[CostLine, ...]:
    names = {key(part): part for part in parts}
    return tuple(CostLine(what=part, price=prices.of.get(name, Decimal(0))) for name, part in names.items())


def read_lines(text: str) -> tuple[CostLine, ...]:
    """Return the lines of parts that a text holds: to each line what, how many, the price of one.

    The number may be left out, as in ``felt strip, 1.50``; ``felt strip, 2, 1.50`` is two of them.

    Raises
    ------
    BadInputError
        With the line that cannot be read.
    """
    rows = [(number, line) for number, line in enumerate(text.splitlines(), start=1) if line.strip()]
    return tuple(_read_line(number, line) for number, line in rows)


def _read_line(number: int, line: str) -> CostLine:
    what, *numbers = table_cells(line)
    try:
        count, price = map(Decimal, numbers if len(numbers) > 1 else ("1", *numbers))
        return CostLine(what=what, count=count, price=price)
    except (ValueError, InvalidOperation):
        remedy = "write what, how many, the price of one: felt strip, 2, 1.50"
        raise BadInputError(Problem(f"lines, line {number}", f"{line.strip()!r} cannot be read", remedy)) from None


def print_lines(lines: Sequence[CostLine]) -> str:
    """Return lines of parts as `read_lines` reads them."""
    return "\n".join(table_row((line.what, f"{line.count:f}", f"{line.price:f}")) for line in lines)


def read_minutes(text: str, *, where: str) -> float:
    """Return the minutes of a time of work as people write it: ``3 h 30 min``, ``3.5 h``, ``210``.

    Raises
    ------
    BadInputError
        If it is none.
    """
    found = _WORKED.fullmatch(text.strip().replace(",", "."))
    if found is None or not any(found.groups()):
        raise bad_input(where, f"{text!r} is no time of work", "write it as 3 h 30 min, or in minutes: 210")
    minutes = 60 * float(found["hours"] or 0) + float(found["minutes"] or 0)
    if minutes >= _MOST_MINUTES:
        raise bad_input(where, f"{text!r} is longer than any repair", "check it")
    return minutes


def read_price(text: str, *, where: str) -> Decimal:
    """Return a price as typed, with as many decimals.

    Raises
    ------
    BadInputError
        If it is none.
    """
    try:
        price = Decimal(text.strip().replace(",", "."))
    except InvalidOperation:
        price = Decimal("NaN")
    if not price.is_finite() or not 0 <= price < _MOST_PRICE or price != round(price, 4):
        raise bad_input(where, f"{text!r} is no price", "write it with a point, such as 48.00")
    return price


def read_currency(text: str, *, where: str) -> str:
    """Return a currency as typed.

    Raises
    ------
    BadInputError
        If it is missing, or longer than eight letters.
    """
    if not 0 < len(text.strip()) <= 8:
        raise bad_input(where, f"{text!r} is no currency", "write it as you would on paper, such as EUR")
    return text.strip()


def write_estimate(book: Book, job: Job, estimate: Estimate) -> tuple[Entry, ...]:
    """Write an estimate to a job; its rate and prices are kept for the next one."""
    _remember(book, estimate)
    return tuple(book.write(job.id, [estimate]))


def write_account(book: Book, job: Job, account: Account) -> tuple[Entry, ...]:
    """Write the account to a job; its rate and prices are kept for the next one."""
    _remember(book, account)
    return tuple(book.write(job.id, [account]))


def _remember(book: Book, said: Estimate | Account) -> None:
    known = {line.what: line.price for line in said.lines if line.price}
    set_prices(book, {HOUR: said.per_hour, **known}, currency=said.currency)


def estimate_paper(job: Job) -> bytes:
    """Return the last estimate of a job as PDF.

    Raises
    ------
    NotFoundError
        If there is none.
    """
    estimate = estimate_of(job)
    if estimate is None:
        raise NotFoundError(Problem("estimate", f"job {job.ticket} has none", "write one first"))
    return estimate_pdf(job, estimate, as_of=_today())


def account_paper(job: Job) -> bytes:
    """Return the last account of a job as PDF.

    Raises
    ------
    NotFoundError
        If there is none.
    """
    account = account_of(job)
    if account is None:
        raise NotFoundError(Problem("account", f"job {job.ticket} has none", "write one first"))
    return account_pdf(job, account, estimate_of(job), as_of=_today())


def _today() -> str:
    return f"{datetime.datetime.now().astimezone():%d %B %Y}"
