"""Papers from the command line: the handover report, the card, the labels."""

from pathlib import Path

import click

from asfound.bench import handover
from asfound.bench.jobs import load_job
from asfound.book import Book
from asfound.cli.book_option import with_book
from asfound.problems import Problem, StorageError
from asfound.report import open_items

TARGET = click.option(
    "-o", "--output", "target", required=True, type=click.Path(dir_okay=False, path_type=Path), help="PDF to write."
)


@click.command()
@with_book
@click.argument("job")
@TARGET
def report(book: Book, job: str, target: Path) -> None:
    """Typeset the handover report of a JOB as PDF."""
    found = load_job(book, job)
    write_paper(target, handover.report(book, found.id))
    still_open = open_items(found)
    if still_open:
        click.echo(f"{len(still_open)} things are still open, and the report says so")


@click.command()
@with_book
@click.argument("job")
@TARGET
def card(book: Book, job: str, target: Path) -> None:
    """Typeset the card for the camera bag: the speeds as they are, and what to set."""
    write_paper(target, handover.card(book, load_job(book, job).id))


@click.command()
@with_book
@click.argument("job")
@click.option("--address", default="http://127.0.0.1:8642", show_default=True, help="Where the bench page is.")
@TARGET
def labels(book: Book, job: str, address: str, target: Path) -> None:
    """Typeset a sheet of labels for a JOB and its tray cells, each with a QR code of the job's page."""
    found = load_job(book, job)
    write_paper(target, handover.labels(book, found.id, address=f"{address.rstrip('/')}/job/{found.id}"))


def write_paper(target: Path, pdf: bytes, *, quiet: bool = False) -> None:
    """Write a paper, and say how large it is unless the answer is for a program."""
    try:
        target.write_bytes(pdf)
    except OSError as error:
        problem = Problem(str(target), f"cannot be written ({error.strerror})", "choose another place")
        raise StorageError(problem) from None
    if not quiet:
        click.echo(f"{target}: {len(pdf) // 1024} kB")
