"""The drawer of springs: one table to a book, a text file beside it that any editor opens."""

import csv
import io
import os
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from asfound.book import Book
from asfound.problems import BadInputError, NotFoundError, Problem, StorageError
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
    head, *lines = _lines(book) or [""]
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
    springs, problems = read_drawer(f"{_row(COLUMNS)}\n{_row(row.values())}")
    if problems:
        raise BadInputError(*problems)
    lines = _lines(book) or [_row(COLUMNS)]
    head = [name.strip().lower() for name in next(csv.reader([lines[0]], skipinitialspace=True))]
    _save(book, [*lines, _row(row.get(name, "") for name in head)])
    return springs[0]


def take_out(book: Book, number: int, text: str) -> None:
    """Take a line out of the table.

    Raises
    ------
    NotFoundError
        If that line no longer says that text: the table was changed meanwhile.
    """
    lines = _lines(book)
    if not 0 < number < len(lines) or lines[number] != text:
        raise NotFoundError(Problem("drawer", "the table has changed meanwhile", "look at the drawer again"))
    _save(book, lines[:number] + lines[number + 1 :])


def _row(cells: Iterable[str]) -> str:
    held = io.StringIO()
    csv.writer(held, lineterminator="").writerow(cells)
    return held.getvalue()


def _lines(book: Book) -> list[str]:
    path = drawer_file(book)
    try:
        return [line for line in path.read_text(encoding="utf-8-sig").splitlines() if line.strip()]
    except FileNotFoundError:
        return []
    except (OSError, UnicodeDecodeError) as error:
        raise StorageError(Problem(DRAWER_FILE, f"it cannot be read ({error})", "save it as CSV in UTF-8")) from None


def _save(book: Book, lines: list[str]) -> None:
    """Write the table beside itself and put it in its place, so that it is never half there."""
    path = drawer_file(book)
    beside = path.with_name(f"{path.name}.{os.getpid()}")
    try:
        beside.write_text("\n".join(lines) + "\n", encoding="utf-8")
        beside.replace(path)
    except OSError as error:
        raise StorageError(
            Problem(DRAWER_FILE, f"it cannot be written ({error})", "make room, or check the folder")
        ) from None
