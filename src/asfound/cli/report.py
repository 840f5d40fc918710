"""The handover report from the command line."""

from pathlib import Path

import click

from asfound.bench.handover import open_items
from asfound.bench.handover import report as make_report
from asfound.bench.jobs import load_job
from asfound.book import Book
from asfound.cli.book_option import with_book
from asfound.problems import Problem, StorageError


@click.command()
@with_book
@click.argument("job")
@click.option(
    "-o", "--output", "target", required=True, type=click.Path(dir_okay=False, path_type=Path), help="PDF to write."
)
def report(book: Book, job: str, target: Path) -> None:
    """Typeset the handover report of a JOB as PDF."""
    found = load_job(book, job)
    pdf = make_report(book, found.id)
    try:
        target.write_bytes(pdf)
    except OSError as error:
        problem = Problem(str(target), f"cannot be written ({error.strerror})", "choose another place")
        raise StorageError(problem) from None
    still_open = open_items(found)
    warning = f"; {len(still_open)} things are still open" if still_open else ""
    click.echo(f"{target}: {len(pdf) // 1024} kB{warning}")
