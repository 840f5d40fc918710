"""asfound book: where it is, whether it is whole, and its backups."""

import sys
from dataclasses import asdict
from pathlib import Path

import click

from asfound.book import Backup, Book, locate
from asfound.book import restore as restore_book
from asfound.cli.book_option import with_book
from asfound.cli.output import emit

JSON_OPTION = click.option("--json", "as_json", is_flag=True, help="The same as JSON.")


@click.group()
def book() -> None:
    """Find, check, back up and restore the bench book."""


@book.command()
@with_book
@JSON_OPTION
def where(book: Book, as_json: bool) -> None:
    """Say where the book is and what is in it."""
    jobs = book.jobs()
    data = {
        "book": str(book.location),
        "attachments": str(book.location.attachments),
        "bench": book.origin,
        "jobs": len(jobs),
        "open_jobs": sum(not line.handed_over for line in jobs),
        "entries": sum(line.entries for line in jobs),
    }
    emit(data, (f"{name.replace('_', ' '):<12} {value}" for name, value in data.items()), as_json=as_json)


@book.command()
@with_book
@JSON_OPTION
def check(book: Book, as_json: bool) -> None:
    """Look at every entry and attachment for damage; exit status 1 if anything is wrong."""
    checked = book.check()
    counted = f"{checked.jobs} jobs, {checked.entries} entries, {checked.attachments} attachments looked at"
    said = [str(problem) for problem in checked.problems] or ["nothing is wrong"]
    emit(asdict(checked), [counted, *said], as_json=as_json)
    if checked.problems:
        sys.exit(1)


@book.command()
@with_book
@click.argument("file", type=click.Path(path_type=Path))
@JSON_OPTION
def backup(book: Book, file: Path, as_json: bool) -> None:
    """Write the whole book to FILE (a zip file) and verify it; the book may be in use."""
    made = book.backup(file)
    lines = [f"{file}: {_held(made)}, verified"]
    if made.missing:
        lines.append(f"{len(made.missing)} attachments were damaged or missing; run: asfound book check")
    emit({"file": str(file), **asdict(made)}, lines, as_json=as_json)


@book.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--book", "book_place", metavar="PLACE", help="Where to: a folder or PostgreSQL URL with no book yet.")
@JSON_OPTION
def restore(file: Path, book_place: str | None, as_json: bool) -> None:
    """Make the book in the backup FILE again, in a place that holds none yet."""
    location = locate(book_place)
    made = restore_book(file, location)
    emit({"book": str(location), **asdict(made)}, f"{location}: {_held(made)} restored", as_json=as_json)


@book.command()
@with_book
@JSON_OPTION
def rebuild(book: Book, as_json: bool) -> None:
    """Make the list of jobs and the search again from the entries."""
    book.rebuild()
    jobs = len(book.jobs())
    emit({"jobs": jobs}, f"the list and the search of {jobs} jobs are made again", as_json=as_json)


def _held(made: Backup) -> str:
    return f"{made.jobs} jobs, {made.entries} entries, {len(made.attachments)} attachments"
