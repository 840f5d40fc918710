"""What is done on the shutter page: recordings kept, measured, stopped, and set against the dial."""

from dataclasses import replace
from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends, Form, Request, UploadFile
from fastapi.responses import RedirectResponse, Response

from asfound.bench.jobs import load_job
from asfound.bench.recordings import keep_recording, write_dial
from asfound.problems import AsfoundError, bad_input
from asfound.web.desk import AtDesk
from asfound.web.dial_form import DialForm, read_dial_form, read_stage
from asfound.web.errors import status_of
from asfound.web.measuring import must_be_measured, recording_of, start_measuring, stop_measuring
from asfound.web.security import check_form_token
from asfound.web.shutter_page import show_shutter

router = APIRouter(prefix="/job/{job_id}")
Checked = [Depends(check_form_token)]


@router.get("/recordings")
@router.get("/shutter/measure")
@router.get("/shutter/stop")
@router.get("/shutter/dial")
def moved(job_id: UUID) -> Response:
    """Show the shutter where a form that was refused is loaded again."""
    return _to(job_id)


@router.post("/recordings", dependencies=Checked)
def upload(
    request: Request,
    desk: AtDesk,
    job_id: UUID,
    file: UploadFile | None = None,
    stage: Annotated[str, Form()] = "working",
    caption: Annotated[str, Form()] = "",
) -> Response:
    """Keep a recording and start measuring it."""
    try:
        if file is None or not file.filename:
            raise bad_input("recording", "no file was chosen", "choose a sound file or a video")
        entry = keep_recording(desk.book, job_id, file.file, file.filename, stage=read_stage(stage), caption=caption)
    except AsfoundError as error:
        job = load_job(desk.book, job_id)
        return show_shutter(request, desk, job, problems=error.problems, status=status_of(error))
    chosen = recording_of(load_job(desk.book, job_id), entry.id)
    assert chosen is not None
    start_measuring(desk, *chosen)
    return _to(job_id, entry.id)


@router.post("/shutter/measure", dependencies=Checked)
def measure_again(desk: AtDesk, job_id: UUID, recording: Annotated[UUID, Form()]) -> Response:
    """Start measuring a recording of the job."""
    chosen = recording_of(load_job(desk.book, job_id), recording)
    assert chosen is not None
    start_measuring(desk, *chosen)
    return _to(job_id, recording)


@router.post("/shutter/stop", dependencies=Checked)
def stop(desk: AtDesk, job_id: UUID, recording: Annotated[UUID, Form()]) -> Response:
    """Stop measuring a recording."""
    stop_measuring(desk, recording)
    return _to(job_id, recording)


@router.post("/shutter/dial", dependencies=Checked)
def dial(
    request: Request,
    desk: AtDesk,
    job_id: UUID,
    recording: Annotated[UUID, Form()],
    marked: Annotated[str, Form()] = "",
    shots: Annotated[str, Form()] = "",
    tolerance: Annotated[str, Form()] = "",
    stage: Annotated[str, Form()] = "",
    leave_out: Annotated[str, Form()] = "",
) -> Response:
    """Set the firings of a recording against the dial and write the table down."""
    job = load_job(desk.book, job_id)
    form = DialForm(marked=marked, shots=shots, tolerance=tolerance, stage=stage, leave_out=leave_out)
    try:
        chosen = recording_of(job, recording)
        assert chosen is not None
        made = read_dial_form(form, must_be_measured(desk, *chosen))
        write_dial(desk.book, job_id, made, recording=recording, stage=read_stage(stage))
    except AsfoundError as error:
        form = replace(form, problems=error.problems)
        return show_shutter(request, desk, job, recording, form=form, status=status_of(error))
    return RedirectResponse(f"/job/{job_id}/shutter?recording={recording}#dial", status_code=303)


def _to(job_id: UUID, recording: UUID | None = None) -> Response:
    query = f"?recording={recording}" if recording else ""
    return RedirectResponse(f"/job/{job_id}/shutter{query}", status_code=303)
