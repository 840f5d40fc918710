"""The drawer from the command line: what is in it, putting in, taking out."""

from typing import Any

import click

from asfound.bench.jobs import load_job
from asfound.bench.lost import Held, LostPart, lost_parts
from asfound.bench.stock import KINDS, Stocked, StockRow, kind_called, put, rows_of, take
from asfound.book import Book
from asfound.cli.book_option import with_book
from asfound.cli.output import columns, emit
from asfound.problems import BadInputError, Problem
from asfound.springs import StockSpring

KIND = click.argument("kind", type=click.Choice(list(KINDS)))
AS_JSON = click.option("--json", "as_json", is_flag=True, help="The same as JSON.")


@click.group()
def drawer() -> None:
    """List what the drawer holds, put something in, take something out."""


@drawer.command("list")
@with_book
@click.argument("kind", required=False, type=click.Choice(list(KINDS)))
@AS_JSON
def list_command(book: Book, kind: str | None, as_json: bool) -> None:
    """List springs, screws, felt and donors, or one KIND of them."""
    names = [kind] if kind else list(KINDS)
    rows = {name: rows_of(book, name) for name in names}
    emit({name: [_plain(row) for row in found] for name, found in rows.items()}, _tables(rows), as_json=as_json)


@drawer.command("add")
@with_book
@KIND
@click.argument("cells", nargs=-1, required=True)
@AS_JSON
def add(book: Book, kind: str, cells: tuple[str, ...], as_json: bool) -> None:
    """Put something in: its CELLS as column=words, such as thread=M1.4 length=2.5 head=cheese count=6."""
    put(book, kind, _cells(kind, cells))
    row = rows_of(book, kind)[-1]
    emit({kind: _plain(row)}, f"in the drawer, {kind}: {_said(row)}", as_json=as_json)


@drawer.command("take")
@with_book
@KIND
@click.argument("number", type=click.IntRange(1))
@click.option("--count", type=click.IntRange(1), help="So many of the screws; all of the line without it.")
@AS_JSON
def take_command(book: Book, kind: str, number: int, count: int | None, as_json: bool) -> None:
    """Take line NUMBER out, as `asfound drawer list` counts them."""
    row = take(book, kind, number, count=count)
    said = f"out of the drawer: {f'{count} of ' if count else ''}{_said(row)}"
    emit({kind: _plain(row), "taken": count}, said, as_json=as_json)


@drawer.command("lost")
@with_book
@click.argument("job")
@AS_JSON
def lost_command(book: Book, job: str, as_json: bool) -> None:
    """Show what the drawer holds for the parts of a JOB that are lost."""
    lost = lost_parts(book, load_job(book, job))
    data = [{"part": one.part, "held": [_held(held) for held in one.held]} for one in lost]
    emit({"lost": data}, [line for one in lost for line in _lost_lines(one)] or "no part is lost", as_json=as_json)


def _held(held: Held) -> dict[str, Any]:
    return {"what": _what(held.item), "but": list(held.but)}


def _lost_lines(lost: LostPart) -> list[str]:
    lines = [f"  {_what(held.item)}" + (f" ({'; '.join(held.but)})" if held.but else "") for held in lost.held]
    return [f"{lost.part}, lost", *(lines or ["  the drawer holds nothing for it"])]


def _what(item: Stocked) -> str:
    if isinstance(item, StockSpring):
        size = f"wire {item.wire_diameter_mm:g} mm, outside {item.outside_diameter_mm:g} mm, {item.body_turns:g} turns"
        return f"{item.name or 'a spring'}: {size}, {item.hand}-hand"
    return str(item)


def _cells(kind: str, words: tuple[str, ...]) -> dict[str, str]:
    known = {column.replace(" ", "-"): column for column in kind_called(kind).columns}
    cells = {}
    for word in words:
        name, equals, value = word.partition("=")
        if not equals or name.replace(" ", "-") not in known:
            what = f"{word!r} names no column of {kind}"
            raise BadInputError(Problem("CELLS", what, f"write column=words with {', '.join(known)}"))
        cells[known[name.replace(" ", "-")]] = value
    return cells


def _plain(row: StockRow) -> dict[str, Any]:
    return {"number": row.number, **row.cells, "problems": [str(problem) for problem in row.problems]}


def _said(row: StockRow) -> str:
    return ", ".join(f"{name} {words}" for name, words in row.cells.items() if words)


def _tables(rows: dict[str, tuple[StockRow, ...]]) -> list[str]:
    lines: list[str] = []
    for name, found in rows.items():
        lines += ["", name] if lines else [name]
        if not found:
            lines.append("  none")
            continue
        head = [column for column in kind_called(name).columns if any(row.cells.get(column) for row in found)]
        lines += columns(("line", *head), [(row.number, *(row.cells.get(c, "") for c in head)) for row in found])
        lines += [f"  {problem}" for row in found for problem in row.problems]
    return lines
