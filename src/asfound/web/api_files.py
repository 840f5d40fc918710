"""The JSON routes of files and of the shutter: uploads, measuring with its progress, traces, the dial."""

from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends, Form, UploadFile

from asfound.bench.jobs import load_job
from asfound.bench.pool import Task
from asfound.bench.recordings import keep_recording, write_dial
from asfound.bench.said import say_firings
from asfound.bench.shutter import DialAsked, make_dial
from asfound.capture import Recording
from asfound.problems import NotFoundError, Problem, bad_input
from asfound.web.api_models import (
    ERRORS,
    DialIn,
    KeptOut,
    MeasuredOut,
    TaskOut,
    TraceOut,
    WrittenOut,
    problems_out,
)
from asfound.web.desk import AtDesk, Desk
from asfound.web.files import keep_photos, wrote
from asfound.web.sayings import say
from asfound.web.security import check_header_token
from asfound.web.shutter.measuring import Chosen, must_be_measured, recording_of, start_measuring
from asfound.web.shutter.traces import trace_json
from asfound.web.stage_field import read_stage

router = APIRouter(prefix="/api/jobs/{job_id}", tags=["files and shutter"], responses=ERRORS)
Checked = [Depends(check_header_token)]


@router.post("/photos", dependencies=Checked)
def photo(
    desk: AtDesk,
    job_id: UUID,
    file: list[UploadFile],
    caption: Annotated[str, Form()] = "",
    step: Annotated[str, Form()] = "",
) -> KeptOut:
    """Keep photographs; the entry returned is that of the last."""
    entries = keep_photos(desk, job_id, file, caption, step)
    return KeptOut(entry=entries[-1], page=wrote(job_id, entries))


@router.post("/recordings", dependencies=Checked)
def recording(
    desk: AtDesk,
    job_id: UUID,
    file: UploadFile,
    stage: Annotated[str, Form()] = "working",
    caption: Annotated[str, Form()] = "",
) -> KeptOut:
    """Keep a recording and start measuring it."""
    if not file.filename:
        raise bad_input("recording", "no file was chosen", "choose a sound file or a video")
    entry = keep_recording(desk.book, job_id, file.file, file.filename, stage=read_stage(stage), caption=caption)
    task = start_measuring(desk, *_chosen(desk, job_id, entry.id))
    return KeptOut(entry=entry.id, page=f"/job/{job_id}/shutter?recording={entry.id}", task=task)


@router.get("/tasks/{task_id}")
def task(desk: AtDesk, job_id: UUID, task_id: str) -> TaskOut:
    """Return a piece of work as it stands."""
    _own(desk, job_id, task_id)
    return _task_out(desk.pool.look(task_id))


@router.post("/tasks/{task_id}/stop", dependencies=Checked)
def stop(desk: AtDesk, job_id: UUID, task_id: str) -> TaskOut:
    """Stop a piece of work; nothing of it is kept."""
    _own(desk, job_id, task_id)
    desk.pool.stop(task_id)
    return _task_out(desk.pool.look(task_id))


@router.get("/recordings/{recording_id}")
def measured(desk: AtDesk, job_id: UUID, recording_id: UUID) -> MeasuredOut:
    """Return what was found in a recording."""
    found = must_be_measured(desk, *_chosen(desk, job_id, recording_id))
    return MeasuredOut.model_validate(found.as_json())


@router.get("/recordings/{recording_id}/firings/{number}/trace")
def trace(
    desk: AtDesk,
    job_id: UUID,
    recording_id: UUID,
    number: int,
    start_s: float | None = None,
    stop_s: float | None = None,
    columns: int = 900,
) -> TraceOut:
    """Return the outline of a firing, or of the stretch asked for."""
    id_, body, how = _chosen(desk, job_id, recording_id)
    found: Recording = must_be_measured(desk, id_, body, how)
    path = desk.book.attachment_path(body.attachment.sha256)
    return trace_json(path, found, number, start_s=start_s, stop_s=stop_s, columns=columns)


@router.post("/recordings/{recording_id}/dial", dependencies=Checked)
def dial(desk: AtDesk, job_id: UUID, recording_id: UUID, asked: DialIn) -> WrittenOut:
    """Set the firings of a recording against the dial and write the table down."""
    found = must_be_measured(desk, *_chosen(desk, job_id, recording_id))
    wanted = DialAsked(marked=asked.marked, shots=asked.shots, tolerance_stops=asked.tolerance_stops)
    made = make_dial(found.firings, wanted)
    say_firings(desk.book, job_id, recording_id, wanted, found.firings)
    entry = write_dial(desk.book, job_id, made.dial, recording=recording_id, stage=asked.stage)
    return WrittenOut(entries=(entry.id,), echo=say(entry, load_job(desk.book, job_id)).text)


def _chosen(desk: Desk, job_id: UUID, recording_id: UUID) -> Chosen:
    chosen = recording_of(load_job(desk.book, job_id), recording_id)
    assert chosen is not None
    return chosen


def _own(desk: Desk, job_id: UUID, task_id: str) -> None:
    """Refuse a task of another job."""
    tasks = {desk.memory.tasks.get(id_) for id_, _ in load_job(desk.book, job_id).recordings}
    if task_id not in tasks:
        raise NotFoundError(Problem("work", "it is not of this job, or ended long ago", "load the page anew"))


def _task_out(task: Task) -> TaskOut:
    return TaskOut(id=task.id, state=task.state, share=task.share, problems=problems_out(task.problems))
