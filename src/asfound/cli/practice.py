"""The practice job from the command line."""

import click

from asfound.bench.practice import write_practice_job
from asfound.book import Book
from asfound.cli.book_option import with_book


@click.command()
@with_book
def practice(book: Book) -> None:
    """Write a practice job: an invented camera taken apart, measured and half way back together."""
    job = write_practice_job(book)
    click.echo(f"job {job.ticket}: {len(job.entries)} entries, {len(job.steps)} steps, {len(job.photos)} drawings")
    click.echo(f"look at it with: asfound show {job.ticket}, asfound wayback {job.ticket}, or on the bench page")
