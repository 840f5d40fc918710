"""Jobs from the command line: the list, one job as it stands, a new one, a line written down."""

from datetime import datetime
from typing import Any

import click

from asfound.bench.jobs import load_job, open_job, read_camera
from asfound.bench.line import write_line
from asfound.bench.marking import undo as undo_latest
from asfound.book import Book
from asfound.cli.book_option import with_book
from asfound.cli.output import columns, emit
from asfound.job import Job, summarise
from asfound.job.line import print_line
from asfound.job.remembering import memory_of
from asfound.problems import NotFoundError, Problem


@click.command()
@with_book
@click.option("--json", "as_json", is_flag=True, help="The same as JSON.")
def jobs(book: Book, as_json: bool) -> None:
    """List the jobs, each with what it waits for."""
    lines = book.jobs()
    rows = [(line.ticket, line.camera, line.complaint, line.waits_for) for line in lines]
    table = columns(("job", "camera", "complaint", "waits for"), rows) if rows else "no jobs yet; run: asfound practice"
    names = ("id", "ticket", "camera", "complaint", "waits_for", "open_faults", "handed_over")
    data = {"jobs": [{name: _plain(getattr(line, name)) for name in names} for line in lines]}
    emit(data, table, as_json=as_json)


@click.command("open")
@with_book
@click.argument("model")
@click.option("--maker", default="", help="Who made it.")
@click.option("--serial", default="", help="Its number.")
@click.option("--format", "film_format", default="", help="Film format, such as 6x9.")
@click.option("--focal-length", "focal_length_mm", type=float, help="Focal length in mm.")
@click.option("--largest-aperture", type=float, help="Largest aperture, as an f-number.")
@click.option("--marked", default="", help='Marked speeds, such as "1,1/2,1/5".')
@click.option("--complaint", default="", help="What is wrong with it, in the owner's words.")
@click.option("--ticket", default=None, help="Name of the job; without it the book's next number.")
@click.option("--json", "as_json", is_flag=True, help="The same as JSON.")
def open_command(
    book: Book,
    model: str,
    maker: str,
    serial: str,
    film_format: str,
    focal_length_mm: float | None,
    largest_aperture: float | None,
    marked: str,
    complaint: str,
    ticket: str | None,
    as_json: bool,
) -> None:
    """Open a job on a camera of this MODEL."""
    particulars = {
        "model": model,
        "maker": maker,
        "serial": serial,
        "film_format": film_format,
        "focal_length_mm": focal_length_mm,
        "largest_aperture": largest_aperture,
        "marked_speeds": tuple(speed.strip() for speed in marked.split(",") if speed.strip()),
    }
    job = open_job(book, camera=read_camera(particulars), complaint=complaint, ticket=ticket)
    emit({"id": str(job.id), "ticket": job.ticket}, f"job {job.ticket} opened: {model}", as_json=as_json)


@click.command()
@with_book
@click.argument("job")
@click.argument("line", nargs=-1, required=True)
@click.option("--as-note", is_flag=True, help="Keep the line as a note where it is not understood.")
@click.option("--json", "as_json", is_flag=True, help="The same as JSON.")
def write(book: Book, job: str, line: tuple[str, ...], as_note: bool, as_json: bool) -> None:
    """Write a LINE into a JOB, as at the bench ("asfound line --explain" tells how it would be understood)."""
    written = write_line(book, book.resolve(job), " ".join(line), as_note=as_note)
    entries = [{"id": str(e.id), "kind": e.kind} for e in written.entries]
    understood = written.understood
    data = {"entries": entries, "understood": understood.echo, "hints": list(understood.hints)}
    emit(data, [understood.echo, *(f"  ({hint})" for hint in understood.hints)], as_json=as_json)


@click.command()
@with_book
@click.argument("job")
def undo(book: Book, job: str) -> None:
    """Strike the latest entry of a JOB through; it stays to be seen."""
    struck = undo_latest(book, book.resolve(job))
    if struck is None:
        raise NotFoundError(Problem("undo", "nothing is left to undo in this job", "write something first"))
    click.echo("struck through; restore it on the job's page or with: asfound write JOB restore N")


@click.command()
@with_book
@click.argument("job")
@click.option("--json", "as_json", is_flag=True, help="The same as JSON.")
def show(book: Book, job: str, as_json: bool) -> None:
    """Show a JOB as it stands: its state, entries, faults and where every part lies."""
    found = load_job(book, job)
    emit(_as_data(found), _as_table(found), as_json=as_json)


def _as_data(job: Job) -> dict[str, Any]:
    summary = summarise(job)
    return {
        "id": str(job.id),
        "ticket": job.ticket,
        "camera": job.camera.model_dump(mode="json"),
        "complaint": job.complaint,
        "state": str(job.state),
        "waits_for": summary.waits_for,
        "parts": [{"name": p.name, "whereabouts": p.whereabouts, "lies": p.lies} for p in job.parts.values()],
        "faults": [{"name": f.name, "open": f.open} for f in job.faults],
        "entries": [
            {"number": n, "id": str(e.id), "kind": e.kind, "struck": e.id in job.struck, "line": _line(job, n - 1)}
            for n, e in enumerate(job.entries, start=1)
        ],
    }


def _as_table(job: Job) -> list[str]:
    entries = columns(
        ("no", "when", "kind", "entry"),
        [
            (n, _when(e.clock.wall_ms), ("struck " if e.id in job.struck else "") + e.kind, _line(job, n - 1))
            for n, e in enumerate(job.entries, start=1)
        ],
    )
    parts = columns(
        ("part", "where", "lies", "condition"),
        [(p.name, p.whereabouts, p.lies, p.condition) for p in job.parts.values()],
    )
    faults = [f"  {'open' if f.open else 'gone'}: {f.name}" for f in job.faults] or ["  none"]
    return [
        f"Job {job.ticket}: {job.camera.maker} {job.camera.model}".rstrip(),
        f"Complaint: {job.complaint or 'none given'}",
        f"State: {str(job.state) or 'not said'}",
        f"Waits for: {summarise(job).waits_for}",
        "",
        "Faults",
        *faults,
        "",
        *(parts if job.parts else ["nothing is off"]),
        "",
        *entries,
    ]


def _line(job: Job, place: int) -> str:
    """Return an entry as the line that would write it, or what it is about."""
    body = job.entries[place].body
    try:
        return print_line(body, memory_of(job))
    except ValueError:
        caption = getattr(body, "caption", "") or getattr(body, "complaint", "") or getattr(body, "stage", "")
        return str(caption)


def _when(wall_ms: int) -> str:
    return f"{datetime.fromtimestamp(wall_ms / 1000).astimezone():%Y-%m-%d %H:%M}"


def _plain(value: Any) -> Any:
    return value if isinstance(value, str | int | float | bool | None) else str(value)
