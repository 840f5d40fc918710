"""Where every part and fastener is, and how many of each."""

from collections.abc import Mapping

from asfound.bench.tray import ledger_at, ledger_of
from asfound.book import Book
from asfound.job import Job
from asfound.problems import BadInputError, NotFoundError, bad_input
from asfound.teardown import Ledger, LedgerRow, TrayMap, put_back_otherwise, tray_map
from asfound.teardown.ledger import Where
from asfound.web.room import Asked, Section, Table, Task
from asfound.web.room_form import Field

_WORDS: dict[Where, str] = {
    "tray": "on the tray",
    "camera": "in the camera",
    "waiting": "waiting",
    "missing": "missing",
}


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked: after which entry, where not now."""
    hint = f"its number, 1 to {len(job.entries)}"
    return (Field(name="entry", label="As it was after entry", unit="1", hint=hint),)


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return the ledger as it was after an entry."""
    number = asked.values["entry"]
    if number != int(number):
        raise bad_input("entry", f"{number:g} is no number of an entry", f"use 1 to {len(asked.job.entries)}")
    try:
        account = ledger_at(asked.book, asked.job.id, int(number))
    except NotFoundError as error:
        raise BadInputError(*error.problems) from None
    return _sections(account, f"After entry {int(number)}", ())


def now(_book: Book, job: Job) -> tuple[Section, ...]:
    """Return the ledger as it is."""
    return _sections(ledger_of(job), "Now", put_back_otherwise(job.steps))


def _sections(account: Ledger, when: str, otherwise: tuple[str, ...]) -> tuple[Section, ...]:
    missing = tuple(f"{row.count} × {row.what} of {row.part}" for row in account.rows if row.where == "missing")
    kinds = (("parts", account.counts(fasteners=False)), ("fasteners", account.counts(fasteners=True)))
    counts = tuple((name, _where(numbers)) for name, numbers in (*kinds, *account.by_sort().items()))
    places = _places(tray_map(account))
    return (
        Section(
            title=f"{when}: how many are where",
            words="everything is accounted for" if not missing else f"missing: {'; '.join(missing)}",
            table=Table(("What", "Where"), counts),
            remarks=tuple(f"Not as it came off: {line}" for line in otherwise),
        ),
        *((Section(title=f"{when}: what lies where", table=Table(("Place", "Holds"), places)),) if places else ()),
    )


def _where(numbers: Mapping[Where, int]) -> str:
    return ", ".join(f"{count} {_WORDS[place]}" for place, count in numbers.items() if count) or "none"


def _places(tray: TrayMap) -> tuple[tuple[str, str], ...]:
    rows = [(cell.label, _holds(cell.rows)) for cell in tray.cells]
    rows += [(place, _holds(held)) for place, held in tray.elsewhere]
    return tuple(rows) + ((("not said where", _holds(tray.nowhere)),) if tray.nowhere else ())


def _holds(rows: tuple[LedgerRow, ...]) -> str:
    return ", ".join(f"{row.count} × {row.what}" if row.fastener else row.what for row in rows)


TASK = Task(
    path="ledger",
    name="Ledger",
    lead="Every part and fastener is on the tray, in the camera, waiting or missing; now, or after any entry.",
    fields=fields,
    work_out=work_out,
    standing=now,
)
