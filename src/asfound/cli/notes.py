"""Service notes from the command line."""

from pathlib import Path
from typing import Any

import click

from asfound.bench.jobs import load_job
from asfound.bench.notes import cameras_seen, notes_file, take_in, warnings_against, write_notes
from asfound.book import Book
from asfound.cli.book_option import with_book
from asfound.cli.output import columns, emit
from asfound.job import Job
from asfound.job.notes import PartNote, ServiceNotes, next_parts, service_notes
from asfound.job.observed_readings import ReadingNote
from asfound.problems import Problem, StorageError

_FILE = click.Path(dir_okay=False, path_type=Path)


@click.command()
@with_book
@click.argument("model", required=False)
@click.option("--for", "job_name", metavar="JOB", help="What comes next on this job; its readings that lie outside.")
@click.option("--pdf", type=_FILE, help="Typeset the notes into this file.")
@click.option("--export", type=_FILE, help="Write them as one open file, to be taken in by others.")
@click.option("--take-in", "taken", type=_FILE, multiple=True, help="First take in such a file; may be given again.")
@click.option("--serials", is_flag=True, help="Export serials as well.")
@click.option("--photos", is_flag=True, help="Export photographs as well.")
@click.option("--json", "as_json", is_flag=True, help="The same as JSON.")
def notes(
    book: Book,
    model: str | None,
    job_name: str | None,
    pdf: Path | None,
    export: Path | None,
    taken: tuple[Path, ...],
    serials: bool,
    photos: bool,
    as_json: bool,
) -> None:
    """Show what all jobs on a MODEL together tell: order, fasteners, readings, tools, minutes, faults.

    Exported files tell no owner, serial or photograph unless asked.
    """
    came = [take_in(book, path) for path in taken]
    job = load_job(book, job_name) if job_name else None
    model = model or (job.camera.model if job else came[-1][0] if came else None)
    if model is None:
        raise click.UsageError("name a model, a job with --for, or a file with --take-in")
    seen = cameras_seen(book, model, without=job)
    found = service_notes(model, seen)
    data = _data(found) | _against(found, job)
    said = [f"taken in: {count} new cameras of {name}" for name, count in came]
    if export is not None:
        write_notes(export, notes_file(model, cameras_seen(book, model, serials=serials, photos=photos)))
        said.append(f"{export}: {len(seen)} cameras")
    if pdf is not None:
        said.append(_write_pdf(found, pdf))
    emit(data, [*said, *([""] if said else []), *_table(found, job)], as_json=as_json)


def _write_pdf(found: ServiceNotes, target: Path) -> str:
    from asfound.report.notes import service_notes_pdf  # only here: the typesetter takes a while to load

    content = service_notes_pdf(found)
    try:
        target.write_bytes(content)
    except OSError as error:
        problem = Problem(str(target), f"cannot be written ({error.strerror})", "choose another place")
        raise StorageError(problem) from None
    return f"{target}: {len(content) // 1024} kB"


def _data(found: ServiceNotes) -> dict[str, Any]:
    return {
        "model": found.model,
        "cameras": found.cameras,
        "parts": [_part_data(part) for part in found.parts],
        "unordered_circles": [list(circle) for circle in found.order.contradicted],
        "readings": [_reading_data(note) for note in found.readings],
        "faults": [
            {"fault": f.fault, "cameras": f.cameras, "gone": f.gone, "causes": dict(f.causes)} for f in found.faults
        ],
        "tools": list(found.tools),
        "dead_ends_left_out": found.dead_ends_left_out,
    }


def _part_data(part: PartNote) -> dict[str, Any]:
    return {
        "part": part.part,
        "action": part.action,
        "cameras": part.cameras,
        "after": list(part.after),
        "after_assumed": part.assumed,
        "fasteners": [str(note) for note in part.fasteners],
        "tools": dict(part.tools),
        "poses": dict(part.poses),
        "held_by": dict(part.held_by),
        "minutes": part.minutes,
        "notes": list(part.notes),
    }


def _reading_data(note: ReadingNote) -> dict[str, Any]:
    return {
        "quantity": note.quantity,
        "place": note.place,
        "stage": note.stage,
        "unit": note.unit,
        "cameras": note.cameras,
        "mean": note.mean,
        "spread": note.spread,
        "lowest": note.lowest,
        "highest": note.highest,
        "state": note.state,
        "differs": list(note.differs),
    }


def _against(found: ServiceNotes, job: Job | None) -> dict[str, Any]:
    if job is None:
        return {}
    return {
        "job": job.ticket,
        "next": [part.part for part in next_parts(found, [step.part for step in job.steps])],
        "outside": list(warnings_against(found, job)),
    }


def _table(found: ServiceNotes, job: Job | None) -> list[str]:
    cameras = "camera" if found.cameras == 1 else "cameras"
    lines = [f"{found.model}, as found on {found.cameras} {cameras}"]
    if job is not None:
        coming = [part.part for part in next_parts(found, [step.part for step in job.steps])]
        lines += ["", f"Next on job {job.ticket}: {', '.join(coming[:6]) or 'nothing that the notes know'}"]
        lines += [f"  look again: {line}" for line in warnings_against(found, job)]
    lines += ["", *columns(["part", "on", "after", "fasteners", "tool", "min"], map(_part_row, found.parts))]
    lines += ["", "Readings", *(f"  {note.stage}: {note}" for note in found.readings)] if found.readings else []
    if found.faults:
        lines += [
            "",
            "Faults",
            *(f"  {fault.fault}: {fault.cameras}" + _causes(fault.causes) for fault in found.faults),
        ]
    if found.dead_ends_left_out:
        lines += ["", f"{found.dead_ends_left_out} dead ends are left out"]
    return lines


def _part_row(part: PartNote) -> tuple[object, ...]:
    after = ", ".join(part.after) + (" (assumed)" if part.assumed and part.after else "")
    minutes = "" if part.minutes is None or part.minutes < 0.05 else f"{part.minutes:.1f}"
    tool = part.tools[0][0] if part.tools else ""
    return part.part, part.cameras, after, "; ".join(map(str, part.fasteners)), tool, minutes


def _causes(causes: tuple[tuple[str, int], ...]) -> str:
    return f" ({'; '.join(f'{cause}: {count}' for cause, count in causes)})" if causes else ""
