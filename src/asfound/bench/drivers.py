"""The user's own drivers: one table to a book, a text file beside it that any editor opens."""

import difflib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from asfound.bench.table_file import save_table, table_cells, table_lines, table_row
from asfound.book import Book
from asfound.problems import BadInputError, ConflictError, NotFoundError, Problem
from asfound.teardown.reach import Driver, read_driver

DRIVERS_FILE = "drivers.csv"
COLUMNS = (
    "name",
    "blade thickness mm",
    "blade width mm",
    "shaft diameter mm",
    "shaft length mm",
    "handle diameter mm",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DriverLine:
    """A line of the table: the driver it says, or what is wrong with it."""

    number: int
    text: str
    driver: Driver | None
    problems: tuple[Problem, ...] = ()


def drivers_file(book: Book) -> Path:
    """Return where the table of a book is."""
    return book.location.folder / DRIVERS_FILE


def driver_lines(book: Book) -> tuple[DriverLine, ...]:
    """Return every line of the table; none where no driver was put into it yet."""
    head, *lines = table_lines(drivers_file(book)) or [""]
    names = [name.lower() for name in table_cells(head)]
    return tuple(_line(number, names, line) for number, line in enumerate(lines, start=1))


def own_drivers(book: Book) -> tuple[Driver, ...]:
    """Return the user's drivers; lines that cannot be read are left out."""
    return tuple(line.driver for line in driver_lines(book) if line.driver is not None)


def _line(number: int, names: list[str], line: str) -> DriverLine:
    where = f"{DRIVERS_FILE}, line {number + 1}"
    try:
        driver = _driver(dict(zip(names, table_cells(line), strict=False)), where)
    except BadInputError as error:
        return DriverLine(number=number, text=line, driver=None, problems=error.problems)
    return DriverLine(number=number, text=line, driver=driver)


def _driver(cells: Mapping[str, str], where: str) -> Driver:
    """Return the driver of a row; a handle that is not said is one of 10 mm."""
    name, thick, wide, shaft, long, *handle = (cells.get(column, "") for column in COLUMNS)
    missing = [column for column, cell in zip(COLUMNS[:5], (name, thick, wide, shaft, long), strict=True) if not cell]
    if missing:
        raise BadInputError(Problem(where, f"no {missing[0]}", f"the columns are {', '.join(COLUMNS)}"))
    ending = f" handle {handle[0]}" if handle and handle[0] else ""
    return replace(read_driver(f"{thick}x{wide} shaft {shaft}x{long}{ending}", where=where), name=name)


def add_driver(book: Book, name: str, driver: Driver) -> Driver:
    """Put a driver into the table under a name of its own.

    Raises
    ------
    BadInputError
        If it has no name.
    ConflictError
        If the name is there already; the table stays as it was.
    """
    name = " ".join(name.split())
    if not name or len(name) > 80:
        raise BadInputError(Problem("name", "a driver needs a name of at most 80 characters", "say which it is"))
    if any(line.driver and line.driver.name.casefold() == name.casefold() for line in driver_lines(book)):
        raise ConflictError(Problem("name", f"there is a driver {name!r} already", "take it out first, or rename"))
    named = replace(driver, name=name)
    lines = table_lines(drivers_file(book)) or [table_row(COLUMNS)]
    cells = dict(zip(COLUMNS, _cells(named), strict=True))
    head = [column.lower() for column in table_cells(lines[0])]
    save_table(drivers_file(book), [*lines, table_row(cells.get(column, "") for column in head)])
    return named


def _cells(driver: Driver) -> tuple[str, ...]:
    numbers = (
        driver.blade_thickness_mm,
        driver.blade_width_mm,
        driver.shaft_diameter_mm,
        driver.shaft_length_mm,
        driver.handle_diameter_mm,
    )
    return (driver.name, *(f"{number:g}" for number in numbers))


def take_out_line(book: Book, number: int, text: str) -> None:
    """Take a line out of the table.

    Raises
    ------
    NotFoundError
        If that line no longer says that text: the table was changed meanwhile.
    """
    lines = table_lines(drivers_file(book))
    if not 0 < number < len(lines) or lines[number] != text:
        raise NotFoundError(Problem("drivers", "the table has changed meanwhile", "look at the drivers again"))
    save_table(drivers_file(book), lines[:number] + lines[number + 1 :])


def take_out_driver(book: Book, name: str) -> Driver:
    """Take the driver of this name out of the table, and return it.

    Raises
    ------
    NotFoundError
        If there is none so called: the nearest name is offered.
    """
    lines = [line for line in driver_lines(book) if line.driver is not None]
    for line in lines:
        if line.driver is not None and line.driver.name.casefold() == name.casefold():
            take_out_line(book, line.number, line.text)
            return line.driver
    names = {line.driver.name.casefold(): line.driver.name for line in lines if line.driver is not None}
    near = difflib.get_close_matches(name.casefold(), names, n=1, cutoff=0.5)
    remedy = f"did you mean {names[near[0]]!r}?" if near else f"known are {', '.join(names.values()) or 'none yet'}"
    raise NotFoundError(Problem("name", f"there is no driver {name!r}", remedy))
