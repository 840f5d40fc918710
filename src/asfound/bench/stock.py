"""The whole drawer: springs, screws, felt and donors, each a table beside the book that any editor opens."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from asfound.bench.drawer import DRAWER_FILE
from asfound.bench.table_file import save_table, table_cells, table_lines, table_row
from asfound.book import Book
from asfound.problems import BadInputError, NotFoundError, Problem, bad_input
from asfound.springs import StockSpring, read_drawer
from asfound.springs.drawer import COLUMNS
from asfound.teardown.fastener import FastenerGroup
from asfound.teardown.stock import (
    DONOR_COLUMNS,
    FELT_COLUMNS,
    SCREW_COLUMNS,
    Donor,
    ScrewFit,
    StockFelt,
    StockScrew,
    fewer,
    fitting_screws,
    read_donor,
    read_felt,
    read_screw,
    screw_cells,
)

Stocked = StockSpring | StockScrew | StockFelt | Donor


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One sort of thing in the drawer: its table, the columns of it, and how a line of them is read."""

    name: str
    file: str
    columns: tuple[str, ...]
    read: Callable[[Mapping[str, str]], Stocked]


@dataclass(frozen=True, slots=True, kw_only=True)
class StockRow:
    """A line of a table: what it says, or what is wrong with it."""

    number: int
    text: str
    cells: Mapping[str, str]
    item: Stocked | None
    problems: tuple[Problem, ...]


def _read_spring(cells: Mapping[str, str]) -> StockSpring:
    row = table_row(cells.get(name, "") for name in COLUMNS)
    springs, problems = read_drawer(f"{table_row(COLUMNS)}\n{row}")
    if problems:
        raise BadInputError(*(Problem(p.where.partition(", ")[2] or "wire", p.what, p.remedy) for p in problems))
    return springs[0]


KINDS = {
    kind.name: kind
    for kind in (
        Kind(name="springs", file=DRAWER_FILE, columns=COLUMNS, read=_read_spring),
        Kind(name="screws", file="screws.csv", columns=SCREW_COLUMNS, read=read_screw),
        Kind(name="felt", file="felt.csv", columns=FELT_COLUMNS, read=read_felt),
        Kind(name="donors", file="donors.csv", columns=DONOR_COLUMNS, read=read_donor),
    )
}


def kind_called(name: str) -> Kind:
    """Return a kind by its name.

    Raises
    ------
    NotFoundError
    """
    kind = KINDS.get(name)
    if kind is None:
        raise NotFoundError(Problem("drawer", f"there is no {name!r} in it", f"say {' or '.join(KINDS)}"))
    return kind


def rows_of(book: Book, name: str) -> tuple[StockRow, ...]:
    """Return every line of a table; none where nothing was put in yet."""
    kind = kind_called(name)
    head, *lines = table_lines(book.location.folder / kind.file) or [""]
    columns = [column.lower() for column in table_cells(head)]
    return tuple(_row(kind, columns, number, line) for number, line in enumerate(lines, start=1))


def put(book: Book, name: str, cells: Mapping[str, str]) -> Stocked:
    """Put something into the drawer; screws like those of a line there already are counted to them.

    Raises
    ------
    BadInputError
        If the cells say nothing that can be kept; the table stays as it was.
    """
    kind = kind_called(name)
    row = {column: " ".join(cells.get(column, "").split()) for column in kind.columns}
    item = kind.read(row)
    for there in rows_of(book, name):
        if isinstance(item, StockScrew) and isinstance(there.item, StockScrew) and _alike(there.item, item):
            both = screw_cells(there.item) | {"count": str(there.item.count + item.count)}
            return _replace(book, kind, there, both)
    path = book.location.folder / kind.file
    lines = table_lines(path) or [table_row(kind.columns)]
    columns = [column.lower() for column in table_cells(lines[0])]
    save_table(path, [*lines, table_row(row.get(column, "") for column in columns)])
    return item


def take(book: Book, name: str, number: int, *, count: int | None = None, text: str | None = None) -> StockRow:
    """Take a line out of the drawer, or so many of its screws, and return the line as it was.

    Parameters
    ----------
    text : str or None
        What the line said when it was looked at; it must still say so.

    Raises
    ------
    NotFoundError
        If there is no such line, or it says something else by now.
    BadInputError
        If there are not so many.
    """
    kind = kind_called(name)
    there = next((row for row in rows_of(book, name) if row.number == number), None)
    if there is None or (text is not None and there.text != text):
        raise NotFoundError(Problem("drawer", "the table has changed meanwhile", "look at the drawer again"))
    left: StockScrew | None = None
    if count is not None:
        if not isinstance(there.item, StockScrew):
            raise bad_input("count", f"only screws are counted, not {name}", "leave the count out")
        left = fewer(there.item, count)
    if left is not None:
        _replace(book, kind, there, screw_cells(left))
    else:
        path = book.location.folder / kind.file
        lines = table_lines(path)
        save_table(path, lines[:number] + lines[number + 1 :])
    return there


def screws_like(book: Book, wanted: FastenerGroup) -> tuple[ScrewFit, ...]:
    """Return the screws of the drawer that may do for one that is lost or chewed."""
    stock = [row.item for row in rows_of(book, "screws") if isinstance(row.item, StockScrew)]
    return fitting_screws(stock, wanted)


def _row(kind: Kind, columns: list[str], number: int, line: str) -> StockRow:
    cells = dict(zip(columns, table_cells(line), strict=False))
    item: Stocked | None = None
    problems: tuple[Problem, ...] = ()
    try:
        item = kind.read(cells)
    except BadInputError as error:
        where = f"{kind.file}, line {number + 1}"
        problems = tuple(Problem(f"{where}, {p.where}", p.what, p.remedy) for p in error.problems)
    return StockRow(number=number, text=line, cells=cells, item=item, problems=problems)


def _replace(book: Book, kind: Kind, there: StockRow, cells: Mapping[str, str]) -> Stocked:
    path = book.location.folder / kind.file
    lines = table_lines(path)
    columns = [column.lower() for column in table_cells(lines[0])]
    said = {**there.cells, **cells}
    # Columns of the user's own stay as they were.
    lines[there.number] = table_row(said.get(column, "") for column in columns)
    save_table(path, lines)
    return kind.read(cells)


def _alike(there: StockScrew, new: StockScrew) -> bool:
    names = ("thread", "length_mm", "head", "drive", "lies", "donor")
    return all(getattr(there, name) == getattr(new, name) for name in names)
