"""The service notes of the job's model: what comes next, order, readings, faults; as PDF and as an open file."""

from typing import BinaryIO
from uuid import UUID

from fastapi import APIRouter
from fastapi.responses import Response

from asfound.bench.jobs import load_job
from asfound.bench.notes import cameras_seen, keep_notes, notes_file, notes_in, notes_on, warnings_against
from asfound.book import Book
from asfound.job import Job, key
from asfound.job.notes import FaultNote, PartNote, ServiceNotes, next_parts, service_notes
from asfound.job.observed_readings import ReadingNote
from asfound.problems import NotFoundError, bad_input
from asfound.web.desk import AtDesk
from asfound.web.papers import paper, paper_name
from asfound.web.room import Asked, Row, Section, Table, Task, Upload, UploadForm
from asfound.web.room_form import Field

files_router = APIRouter()
_LARGEST = 100 * 1024 * 1024


def standing(book: Book, job: Job) -> tuple[Section, ...]:
    """Return the notes of all jobs on the model, and what the other cameras say to this one."""
    notes = notes_on(book, job.camera.model)
    one = notes.cameras == 1
    return (
        _coming(book, job),
        Section(
            title=f"{notes.model}: as found on {notes.cameras} camera{'' if one else 's'}",
            remarks=_left_out(notes),
            table=Table(("Part", "After", "Fasteners", "With", "Seen"), tuple(_part_row(part) for part in notes.parts))
            if notes.parts
            else None,
            links=(
                (f"/job/{job.id}/teardown/notes.pdf", "Notes as PDF"),
                (f"/job/{job.id}/teardown/notes.json", "Notes as an open file"),
            ),
        ),
        *_readings(notes.readings),
        *_faults(notes.faults),
    )


def _coming(book: Book, job: Job) -> Section:
    """Return what other cameras of the model say to this job."""
    try:
        others = notes_on(book, job.camera.model, without=job)
    except NotFoundError:
        words = "This is the only camera of its model in the book so far; the notes below are what it told itself"
        return Section(title="Next, as other cameras tell", words=words)
    coming = next_parts(others, [step.part for step in job.steps])
    outside = warnings_against(others, job)
    return Section(
        title="Next, as other cameras tell",
        words=", ".join(part.part for part in coming[:6]) or "Nothing more that the notes know",
        rows=(Row("Lay ready", ", ".join(others.tools[:8])),) if others.tools else (),
        asks=tuple(f"look again: {line}" for line in outside),
    )


def _left_out(notes: ServiceNotes) -> tuple[str, ...]:
    circles = [f"Unordered, for the cameras contradict each other: {', '.join(c)}" for c in notes.order.contradicted]
    count = notes.dead_ends_left_out
    dead = [f"{count} dead end{'' if count == 1 else 's'} left out"] if count else []
    return (*circles, *dead)


def _part_row(part: PartNote) -> tuple[str, ...]:
    after = ", ".join(part.after) + (" (assumed)" if part.assumed and part.after else "")
    used = ", ".join(name for name, _ in (*part.tools[:2], *part.poses[:1]))
    minutes = "" if part.minutes is None or part.minutes < 0.5 else f", {part.minutes:.0f} min"
    cells = (after, "; ".join(map(str, part.fasteners)), used, f"on {part.cameras}{minutes}")
    return (part.part, *(cell or "–" for cell in cells))


def _readings(readings: tuple[ReadingNote, ...]) -> tuple[Section, ...]:
    if not readings:
        return ()
    rows = tuple(Row(f"{note.quantity} {note.place}".strip(), *_value(note)) for note in readings)
    return (Section(title="Readings", rows=rows, folded=len(rows) > 6),)


def _value(note: ReadingNote) -> tuple[str, str]:
    """Return a reading's number, and its stage and state."""
    _, _, value = str(note).partition(": ")
    return value, f"{note.stage}; {note.state}" if note.state else note.stage


def _faults(faults: tuple[FaultNote, ...]) -> tuple[Section, ...]:
    if not faults:
        return ()
    rows = tuple(
        (fault.fault, str(fault.cameras), str(fault.gone), "; ".join(f"{cause} ({n})" for cause, n in fault.causes))
        for fault in faults
    )
    return (Section(title="Faults", table=Table(("Fault", "On", "Proved gone", "Causes"), rows)),)


def fields(_job: Job) -> tuple[Field, ...]:
    """Return what is known of a file just taken in; nothing is asked."""
    return (Field(name="taken", label="Taken in", optional=True, hidden=True),)


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return what a file just taken in brought; the notes stand by themselves."""
    taken = asked.typed["taken"]
    return (Section(title="Taken in", words=taken[:300]),) if taken else ()


def take_in(book: Book, job: Job, file: BinaryIO, name: str) -> dict[str, str]:
    """Take the cameras of a file into the book's notes, and say how many were new."""
    content = file.read(_LARGEST + 1)
    if len(content) > _LARGEST:
        raise bad_input(name, "the file is larger than 100 MB", "ask for it without photographs")
    model, new = keep_notes(book, notes_in(content, name))
    told = f"{new} new camera{'' if new == 1 else 's'} of the model {model}"
    other = "" if key(model) == key(job.camera.model) else "; this job's camera is of another model"
    return {"taken": told + other}


@files_router.get("/notes.pdf")
def notes_pdf(desk: AtDesk, job_id: UUID) -> Response:
    """Return the notes of the job's model, typeset."""
    from asfound.report.notes import service_notes_pdf  # only here: the typesetter takes a while to load

    model = load_job(desk.book, job_id).camera.model
    content = service_notes_pdf(service_notes(model, cameras_seen(desk.book, model)))
    return paper(content, _name(model, "pdf"))


@files_router.get("/notes.json")
def notes_json(desk: AtDesk, job_id: UUID) -> Response:
    """Return the notes as the open file: no owner, no serial, no photograph."""
    model = load_job(desk.book, job_id).camera.model
    text = notes_file(model, cameras_seen(desk.book, model))
    return paper(text, _name(model, "json"))


def _name(model: str, kind: str) -> str:
    return paper_name("notes", model, otherwise="model", kind=kind)


_UPLOAD = UploadForm(
    path="take-in",
    label="Notes from another bench",
    hint="a file of service notes, as given out here as an open file",
    accept=".json,application/json",
    button="Take it in",
)
TASK = Task(
    path="",
    name="Notes",
    lead="What all jobs on this model have told.",
    fields=fields,
    work_out=work_out,
    standing=standing,
    upload=Upload(_UPLOAD, take_in),
)
