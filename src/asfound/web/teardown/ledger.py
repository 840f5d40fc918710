"""Where every part and fastener is, and how many of each."""

from collections.abc import Mapping
from functools import lru_cache

from asfound.bench.tray import ledger_at, ledger_of
from asfound.book import Book
from asfound.job import Job
from asfound.plots.how_teardown import tray_laid
from asfound.plots.tray import ScrewCount, screw_counts, screws_picture, tray_picture
from asfound.problems import BadInputError, NotFoundError, bad_input
from asfound.teardown import Ledger, LedgerRow, TrayMap, put_back_otherwise, tray_map
from asfound.teardown.ledger import Where
from asfound.web.drawer.lost import sections_for_lost
from asfound.web.drawer.page import links_for
from asfound.web.room import Asked, How, Row, Section, Table, Task, both
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


def now(book: Book, job: Job) -> tuple[Section, ...]:
    """Return the ledger as it is."""
    account = ledger_of(job)
    return (
        *_sections(account, "Now", put_back_otherwise(job.steps)),
        *_from_drawer(book, job, account),
        *sections_for_lost(book, job),
    )


def _from_drawer(book: Book, job: Job, account: Ledger) -> tuple[Section, ...]:
    """Return what the drawer has for fasteners that are missing or damaged; nothing where it has none."""
    missing = {row.what for row in account.rows if row.fastener and row.where == "missing"}
    groups = [group for step in job.steps for group in step.fasteners if group.damaged or group.sort in missing]
    links = links_for(book, groups)
    return (Section(title="For what is missing or damaged", links=links),) if links else ()


def _sections(account: Ledger, when: str, otherwise: tuple[str, ...]) -> tuple[Section, ...]:
    missing = tuple(f"{row.count} × {row.what} of {row.part}" for row in account.rows if row.where == "missing")
    kinds = (("parts", account.counts(fasteners=False)), ("fasteners", account.counts(fasteners=True)))
    tray, screws = _pictures(account)
    places, unsaid = _places(tray_map(account)), _parts_nowhere(account)
    words = f"missing: {'; '.join(missing)}" if missing else "everything is accounted for"
    words += f"; nobody said where {unsaid} lies" if unsaid else ""
    sections = [
        Section(
            title=f"{when}: what lies where",
            words=words,
            pictures=tray,
            rows=tuple(Row(name.capitalize(), _where(numbers)) for name, numbers in kinds),
        )
    ]
    if account.by_sort():
        counts = tuple(
            (one.sort, *map(str, (one.off, one.back, one.on_tray, one.missing))) for one in screw_counts(account)
        )
        held = "what goes back is held against what came off, by thread and length"
        wrong = tuple(f"Not as it came off: {line}" for line in otherwise)
        head = ("Sort", "Came off", "In the camera", "On the tray", "Missing")
        sections += [
            Section(title=f"{when}: counted", words=held, pictures=screws, remarks=wrong),
            Section(title=f"{when}: the counts as numbers", table=Table(head, counts), folded=True),
        ]
    if places:
        table = Table(("Place", "Holds"), places)
        sections += [Section(title=f"{when}: the places in words", table=table, folded=True)]
    return tuple(sections)


def _parts_nowhere(account: Ledger) -> str:
    return " and ".join(row.what for row in tray_map(account).nowhere if not row.fastener)


def _counted(one: ScrewCount) -> tuple[str, ...]:
    return (one.sort, *map(str, (one.off, one.back, one.on_tray, one.missing)))


@lru_cache(maxsize=16)
def _pictures(account: Ledger) -> tuple[tuple[str, str], tuple[str, str]]:
    """Return the tray and the screws, drawn once for as long as nothing moves."""
    return both(tray_picture, account), both(screws_picture, account)


def _where(numbers: Mapping[Where, int]) -> str:
    return ", ".join(f"{count} {_WORDS[place]}" for place, count in numbers.items() if count) or "none"


def _places(tray: TrayMap) -> tuple[tuple[str, str], ...]:
    rows = [(cell.label, _holds(cell.rows)) for cell in tray.cells]
    rows += [(place, _holds(held)) for place, held in tray.elsewhere]
    return tuple(rows) + ((("not said where", _holds(tray.nowhere)),) if tray.nowhere else ())


def _holds(rows: tuple[LedgerRow, ...]) -> str:
    return ", ".join(f"{row.count} × {row.what}" if row.fastener else row.what for row in rows)


def how() -> How:
    """Say how parts are laid out so that nothing is lost and all is found again."""
    return How(
        title="How to lay parts out",
        pictures=both(tray_laid),
        steps=(
            "A light tray with a rim and a white cloth in it, not at the edge of the bench: what springs off stays.",
            "Rows by letter, places by number; the next part to the next place, and the place into the line: tray A3.",
            "Face up, its twelve o'clock away from you, as it sat; screws of unlike length each where its hole is.",
            "What goes into a bath or to a turner leaves its place empty: what is missing is then seen.",
            "Count the screws before the camera is closed, and cover the tray whenever you leave it.",
        ),
    )


TASK = Task(
    path="ledger",
    name="Ledger",
    lead="Every part and fastener is on the tray, in the camera, waiting or missing; now, or after any entry.",
    fields=fields,
    work_out=work_out,
    standing=now,
    how=how,
)
