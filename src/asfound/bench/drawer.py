"""The drawer of springs: one table to a book, a text file beside it that any editor opens."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from asfound.bench.table_file import save_table, table_cells, table_lines, table_row
from asfound.book import Book
from asfound.problems import BadInputError, NotFoundError, Problem
from asfound.springs import StockSpring, read_drawer
from asfound.springs.drawer import COLUMNS

DRAWER_FILE = "drawer.csv"


@dataclass(frozen=True, slots=True, kw_only=True)
class StockLine:
    """A line of the table: the spring it says, or what is wrong with it."""

    number: int
    text: str
    spring: StockSpring | None
    problems: tuple[Problem, ...]


def drawer_file(book: Book) -> Path:
    """Return where the table of a book is."""
    return book.location.folder / DRAWER_FILE


def stock_of(book: Book) -> tuple[StockLine, ...]:
    """Return every line of the table; none where nothing was put into the drawer yet."""
    head, *lines = table_lines(drawer_file(book)) or [""]
    found = []
    for number, line in enumerate(lines, start=1):
        springs, problems = read_drawer(f"{head}\n{line}")
        there = tuple(Problem(f"{DRAWER_FILE}, line {number + 1}", p.what, p.remedy) for p in problems)
        found.append(StockLine(number=number, text=line, spring=springs[0] if springs else None, problems=there))
    return tuple(found)


def put_in(book: Book, cells: Mapping[str, str]) -> StockSpring:
    """Put a spring into the drawer: its cells by the names of `asfound.springs.drawer.COLUMNS`.

    Raises
    ------
    BadInputError
        If the cells make no spring; the table stays as it was.
    """
    row = {name: " ".join(cells.get(name, "").split()) for name in COLUMNS}
    springs, problems = read_drawer(f"{table_row(COLUMNS)}\n{table_row(row.values())}")
    if problems:
        raise BadInputError(*problems)
    lines = table_lines(drawer_file(book)) or [table_row(COLUMNS)]
    head = [name.lower() for name in table_cells(lines[0])]
    save_table(drawer_file(book), [*lines, table_row(row.get(name, "") for name in head)])
    return springs[0]


def take_out(book: Book, number: int, text: str) -> None:
    """Take a line out of the table.

    Raises
    ------
    NotFoundError
        If that line no longer says that text: the table was changed meanwhile.
    """
    lines = table_lines(drawer_file(book))
    if not 0 < number < len(lines) or lines[number] != text:
        raise NotFoundError(Problem("drawer", "the table has changed meanwhile", "look at the drawer again"))
    save_table(drawer_file(book), lines[:number] + lines[number + 1 :])
