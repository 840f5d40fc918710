"""asfound book: where it is, whether it is whole, its backups, and jobs to and from other benches."""

import sys
from dataclasses import asdict
from pathlib import Path

import click

from asfound.bench.bundles import bundle_name, take_in_file
from asfound.book import Backup, Book, is_bundle, locate, verify_bundle, write_bundle
from asfound.book import restore as restore_book
from asfound.book import verify as verify_backup
from asfound.cli.book_option import with_book
from asfound.cli.output import emit
from asfound.quantity import counted

JSON_OPTION = click.option("--json", "as_json", is_flag=True, help="The same as JSON.")


@click.group()
def book() -> None:
    """Find, check, back up and restore the bench book; give jobs out and take them in."""


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
    looked = f"{_counts(checked.entries, checked.attachments, jobs=checked.jobs)} looked at"
    said = [str(problem) for problem in checked.problems] or ["nothing is wrong"]
    emit(asdict(checked), [looked, *said], as_json=as_json)
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
        lines.append(f"damaged or missing: {counted(len(made.missing), 'attachment')}; run: asfound book check")
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
@click.argument("file", type=click.Path(path_type=Path))
@JSON_OPTION
def verify(file: Path, as_json: bool) -> None:
    """Read the backup or bundle FILE whole and hold everything in it to its hash."""
    if is_bundle(file):
        bundle = verify_bundle(file)
        held = f"job {bundle.ticket}, {_counts(bundle.entries, len(bundle.attachments))}"
        data = bundle.model_dump(mode="json")
    else:
        made = verify_backup(file)
        held, data = _held(made), asdict(made)
    emit({"file": str(file), **data}, f"{file}: {held}, nothing is wrong", as_json=as_json)


@book.command()
@with_book
@click.argument("job")
@click.option("-o", "--output", type=click.Path(path_type=Path), help="The file; without it, named after the job.")
@JSON_OPTION
def bundle(book: Book, job: str, output: Path | None, as_json: bool) -> None:
    """Write one JOB with its attachments to a zip file, for another bench's book to take in."""
    job_id = book.resolve(job)
    file = output or Path(bundle_name(book, job_id))
    made = write_bundle(book, job_id, file)
    lines = [f"{file}: job {made.ticket}, {_counts(made.entries, len(made.attachments))}, verified"]
    if made.missing:
        lines.append(f"damaged or missing: {counted(len(made.missing), 'attachment')}; run: asfound book check")
    emit({"file": str(file), **made.model_dump(mode="json")}, lines, as_json=as_json)


@book.command("take-in")
@with_book
@click.argument("file", type=click.Path(path_type=Path))
@JSON_OPTION
def take_in(book: Book, file: Path, as_json: bool) -> None:
    """Take in the job in the bundle FILE; what the book knows already changes nothing."""
    arrived = take_in_file(book, file)
    data = {"job": str(arrived.job), "ticket": arrived.ticket, "said": arrived.said}
    emit(data, [f"job {arrived.ticket}: {arrived.said[0]}", *arrived.said[1:]], as_json=as_json)


@book.command()
@with_book
@JSON_OPTION
def rebuild(book: Book, as_json: bool) -> None:
    """Make the lists and the search again from the entries."""
    book.rebuild()
    jobs = len(book.jobs())
    emit({"jobs": jobs}, f"the lists and the search of {counted(jobs, 'job')} are made again", as_json=as_json)


def _held(made: Backup) -> str:
    others = f", {counted(len(made.files), 'other file')}" if made.files else ""
    return _counts(made.entries, len(made.attachments), jobs=made.jobs) + others


def _counts(entries: int, attachments: int, *, jobs: int | None = None) -> str:
    first = "" if jobs is None else f"{counted(jobs, 'job')}, "
    return f"{first}{counted(entries, 'entry', 'entries')}, {counted(attachments, 'attachment')}"
