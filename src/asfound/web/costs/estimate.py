"""The estimate: what the model's other cameras took, what this one is likely to cost, the written estimate."""

import datetime

from asfound.bench.costs import (
    print_lines,
    propose_estimate,
    read_currency,
    read_lines,
    read_minutes,
    read_price,
    read_prices,
    write_estimate,
)
from asfound.book import Book
from asfound.job import Entry, Job
from asfound.job.bodies import Estimate, Stage
from asfound.job.costing import estimate_of, show_estimate, show_minutes, spread_of
from asfound.plots.minutes import minutes_picture
from asfound.problems import bad_input
from asfound.web.costs.money import CURRENCY, LINES, RATE, TEXT, minutes_field, rate_known, sum_rows, table_of
from asfound.web.room import Asked, Choice, Row, Section, Task, both
from asfound.web.room_form import Field

_MONTH = datetime.timedelta(days=30)


def fields(_job: Job) -> tuple[Field, ...]:
    """Return what is asked for an estimate."""
    return (
        minutes_field("likely", "Work, likely"),
        minutes_field("low", "at least"),
        minutes_field("high", "at most"),
        RATE,
        CURRENCY,
        LINES,
        Field(name="until", label="Holds until", optional=True, hint="a day, as in 2026-12-24"),
        TEXT,
        Field(name="basis", label="The time rests on", optional=True, wide=True),
    )


def begins(book: Book, job: Job) -> dict[str, str]:
    """Return what the form begins with: the model's other cameras, the user's own rate and prices."""
    found = propose_estimate(book, job)
    until = datetime.datetime.now().astimezone().date() + _MONTH
    known = {**rate_known(read_prices(book)), "lines": print_lines(found.lines), "until": until.isoformat()}
    if found.work is None:
        return known | {"basis": "what such a camera usually takes here"}
    likely = show_minutes(found.work.likely_minutes)
    low, high = (
        likely if one is None else show_minutes(one) for one in (found.work.low_minutes, found.work.high_minutes)
    )
    return known | {"likely": likely, "low": low, "high": high, "basis": found.basis}


def estimate_from(asked: Asked) -> Estimate:
    """Return the estimate that the form describes.

    Raises
    ------
    BadInputError
    """
    values = asked.values
    low, likely, high = (read_minutes(values.text(name), where=name) for name in ("low", "likely", "high"))
    if not low <= likely <= high:
        raise bad_input("likely", "it does not lie between the least and the most", "put the three in order")
    return Estimate(
        low_minutes=low,
        likely_minutes=likely,
        high_minutes=high,
        basis=values.text("basis")[:400],
        per_hour=read_price(values.text("per_hour"), where="per_hour"),
        currency=read_currency(values.text("currency"), where="currency"),
        lines=read_lines(values.text("lines")),
        holds_until=_day(values.text("until")),
        text=values.text("text"),
    )


def _day(text: str) -> datetime.date | None:
    try:
        return datetime.date.fromisoformat(text) if text else None
    except ValueError:
        raise bad_input("until", f"{text!r} is no day", "write year, month, day, as in 2026-12-24") from None


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return what the estimate comes to, with its spread."""
    made = estimate_from(asked)
    low, likely, high = spread_of(made)
    spread = () if low == high else (Row("Between", f"{low.total} and {high.total} {made.currency}"),)
    unpriced = tuple(line.what for line in made.lines if not line.price)
    return (
        Section(
            title="Estimate",
            words=show_estimate(made),
            rows=(*sum_rows("Likely", likely, made.currency), *spread),
            table=table_of(made),
            asks=tuple(f"{what} has no price yet" for what in unpriced),
            write=Choice("Write the estimate to the job"),
        ),
    )


def write(asked: Asked, _stage: Stage, _choice: str) -> tuple[Entry, ...]:
    """Write the estimate into the job."""
    return write_estimate(asked.book, asked.job, estimate_from(asked))


def standing(book: Book, job: Job) -> tuple[Section, ...]:
    """Return the last estimate with its paper, and what the model's other cameras took."""
    told, found = estimate_of(job), propose_estimate(book, job)
    sections = []
    if told is not None:
        paper = ((f"/job/{job.id}/costs/estimate.pdf", "The written estimate (PDF)"),)
        sections.append(Section(title="As last told the owner", words=show_estimate(told), links=paper))
    pictures = (
        both(minutes_picture, found.minutes, foreseen=found.work, so_far=found.worked_minutes) if found.minutes else ()
    )
    seldom = tuple(f"{part}: needed on {n} {'camera' if n == 1 else 'cameras'}" for part, n in found.seldom)
    so_far = Row("This job so far", show_minutes(found.worked_minutes), "from the times of its entries")
    return (
        *sections,
        Section(
            title="What it rests on",
            words=found.basis,
            pictures=pictures,
            rows=(so_far,),
            remarks=(*seldom, "A pause of more than 45 minutes between two entries is not counted as work"),
        ),
    )


TASK = Task(
    path="",
    name="Estimate",
    lead="What the repair is likely to take, and within what; written down for the owner.",
    fields=fields,
    begins=begins,
    work_out=work_out,
    write=write,
    staged=False,
    standing=standing,
)
