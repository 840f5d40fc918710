"""The fields of an estimate and an account: minutes, the rate, lines of parts."""

from asfound.bench.costs import Prices
from asfound.job.bodies import Account, Estimate
from asfound.job.costing import Sum, as_money
from asfound.web.room import Row, Table
from asfound.web.room_form import Field

RATE = Field(name="per_hour", label="An hour of work", hint="as in 48.00; kept for the next job")
CURRENCY = Field(name="currency", label="Currency", hint="as it stands on paper, such as EUR")
LINES = Field(
    name="lines",
    label="Parts",
    lines=True,
    optional=True,
    hint="a line each: what, how many, the price of one, as in felt strip, 2, 1.50",
)
TEXT = Field(name="text", label="For the owner", lines=True, optional=True)


def minutes_field(name: str, label: str, hint: str = "as in 3 h 30 min, or 210") -> Field:
    """Return a field for a time of work."""
    return Field(name=name, label=label, hint=hint)


def rate_known(prices: Prices) -> dict[str, str]:
    """Return what the form knows of the user's rate."""
    known = "" if prices.per_hour is None else f"{prices.per_hour:f}"
    return {"per_hour": known, "currency": prices.currency}


def table_of(said: Estimate | Account) -> Table | None:
    """Return the lines of parts as a table, where there are any."""
    prices = [said.per_hour, *(line.price for line in said.lines)]
    rows = tuple(
        (line.what, f"{line.count:f}", *(str(as_money(v, prices)) for v in (line.price, line.count * line.price)))
        for line in said.lines
    )
    return Table(("Part", "How many", "Each", said.currency), rows) if rows else None


def sum_rows(name: str, found: Sum, currency: str) -> tuple[Row, ...]:
    """Return what work and parts come to."""
    return (
        Row(name, f"{found.total} {currency}"),
        Row("Work", f"{found.work} {currency}"),
        Row("Parts", f"{found.parts} {currency}"),
    )
