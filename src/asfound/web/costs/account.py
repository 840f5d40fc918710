"""The account: the minutes between the job's entries, the parts it took, beside the estimate."""

from asfound.bench.costs import (
    print_lines,
    propose_account,
    read_currency,
    read_lines,
    read_minutes,
    read_price,
    read_prices,
    write_account,
)
from asfound.book import Book
from asfound.job import Entry, Job
from asfound.job.bodies import Account, Stage
from asfound.job.costing import account_of, estimate_of, show_account, show_estimate, show_minutes, sum_of
from asfound.web.costs.money import CURRENCY, LINES, RATE, TEXT, minutes_field, rate_known, sum_rows, table_of
from asfound.web.room import Asked, Choice, Row, Section, Task
from asfound.web.room_form import Field


def fields(_job: Job) -> tuple[Field, ...]:
    """Return what is asked for an account."""
    return (minutes_field("minutes", "Work"), RATE, CURRENCY, LINES, TEXT)


def begins(book: Book, job: Job) -> dict[str, str]:
    """Return what the form begins with: the times of the job's entries, its parts, the rate of its estimate."""
    found, told = propose_account(book, job), estimate_of(job)
    known = rate_known(read_prices(book))
    if told is not None:
        known = {"per_hour": f"{told.per_hour:f}", "currency": told.currency}
    return {**known, "minutes": show_minutes(found.worked_minutes), "lines": print_lines(found.lines)}


def account_from(asked: Asked) -> Account:
    """Return the account that the form describes.

    Raises
    ------
    BadInputError
    """
    values = asked.values
    return Account(
        minutes=read_minutes(values.text("minutes"), where="minutes"),
        per_hour=read_price(values.text("per_hour"), where="per_hour"),
        currency=read_currency(values.text("currency"), where="currency"),
        lines=read_lines(values.text("lines")),
        text=values.text("text"),
    )


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return what the account comes to."""
    made, told = account_from(asked), estimate_of(asked.job)
    beside = () if told is None else (Row("The estimate was", show_estimate(told)),)
    return (
        Section(
            title="Account",
            words=show_account(made),
            rows=(*sum_rows("Together", sum_of(made), made.currency), *beside),
            table=table_of(made),
            write=Choice("Write the account to the job"),
        ),
    )


def write(asked: Asked, _stage: Stage, _choice: str) -> tuple[Entry, ...]:
    """Write the account into the job."""
    return write_account(asked.book, asked.job, account_from(asked))


def standing(_book: Book, job: Job) -> tuple[Section, ...]:
    """Return the last account with its paper."""
    made = account_of(job)
    if made is None:
        return ()
    paper = ((f"/job/{job.id}/costs/account.pdf", "The account (PDF)"),)
    return (Section(title="As last written", words=show_account(made), links=paper),)


TASK = Task(
    path="account",
    name="Account",
    lead="What the repair took: the times of its entries, its parts, beside what was estimated.",
    fields=fields,
    begins=begins,
    work_out=work_out,
    write=write,
    staged=False,
    standing=standing,
)
