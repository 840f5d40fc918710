"""The practice job from the command line."""

from pathlib import Path

import click

from asfound.bench.practice import write_practice_job, write_recordings
from asfound.book import Book
from asfound.cli.book_option import with_book


@click.command()
@with_book
@click.option(
    "--recordings",
    "folder",
    type=click.Path(file_okay=False, path_type=Path),
    help="Also put its recordings of firings into this folder, to measure or upload by hand.",
)
def practice(book: Book, folder: Path | None) -> None:
    """Write a practice job: an invented camera taken apart, measured and half way back together."""
    job = write_practice_job(book)
    click.echo(f"job {job.ticket}: {len(job.entries)} entries, {len(job.steps)} steps, {len(job.photos)} drawings")
    if folder is not None:
        for path in write_recordings(folder):
            click.echo(f"recording: {path}")
    click.echo(f"look at it with: asfound show {job.ticket}, asfound wayback {job.ticket}, or on the bench page")
