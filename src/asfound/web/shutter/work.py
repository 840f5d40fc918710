"""What is done on the shutter page: recordings kept, measured, stopped, and set against the dial."""

from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends, Form, Request, UploadFile
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from asfound.bench.jobs import load_job
from asfound.bench.recordings import keep_recording, write_dial
from asfound.bench.said import say_firings, say_how
from asfound.bench.shutter import make_dial
from asfound.job import Job
from asfound.problems import AsfoundError, NotFoundError, Problem, bad_input
from asfound.web.desk import AtDesk, TypedForm
from asfound.web.errors import status_of
from asfound.web.security import check_form_token
from asfound.web.shutter import frames
from asfound.web.shutter.dial import dial_fields, read_dial_asked
from asfound.web.shutter.how import FIELDS, read_how
from asfound.web.shutter.measuring import (
    Chosen,
    must_be_measured,
    recording_of,
    start_measuring,
    stop_measuring,
    walked_of,
)
from asfound.web.shutter.page import DialTyped, show_shutter
from asfound.web.stage_field import read_stage

router = APIRouter(prefix="/job/{job_id}")
router.include_router(frames.router)
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
def measure_again(request: Request, desk: AtDesk, job_id: UUID, form: TypedForm) -> Response:
    """Write down how a recording of the job was made, and start measuring it so."""
    job = load_job(desk.book, job_id)
    chosen = _chosen(job, form)
    typed = {one.name: str(form[one.name]) for one in FIELDS if one.name in form}
    try:
        how = read_how(typed) if typed else None
    except AsfoundError as error:
        problems = error.problems
        return show_shutter(request, desk, job, chosen[0], how=typed, how_problems=problems, status=status_of(error))
    if how is not None:
        say_how(desk.book, job_id, chosen[0], how)
        chosen = _chosen(load_job(desk.book, job_id), form)
    start_measuring(desk, *chosen)
    return _to(job_id, chosen[0])


@router.post("/shutter/stop", dependencies=Checked)
def stop(desk: AtDesk, job_id: UUID, recording: Annotated[UUID, Form()]) -> Response:
    """Stop measuring a recording."""
    stop_measuring(desk, recording)
    return _to(job_id, recording)


@router.post("/shutter/dial", dependencies=Checked)
def dial(request: Request, desk: AtDesk, job_id: UUID, form: TypedForm) -> Response:
    """Set the firings of a recording against the dial and write the table down."""
    job = load_job(desk.book, job_id)
    recording, body, how = _chosen(job, form)
    struck = tuple(str(number) for number in form.getlist("struck"))
    typed: dict[str, str] = {}
    try:
        measured = must_be_measured(desk, recording, body, how)
        walked = walked_of(desk, body, measured)
        fields = dial_fields(job, len(measured.firings), walked)
        typed = {one.name: str(form.get(one.name, one.default)) for one in fields} | {"stage": str(form.get("stage"))}
        stage = read_stage(typed["stage"])
        wanted = read_dial_asked(fields, typed, struck, walked)
        made = make_dial(measured.firings, wanted)
        said = (how.sentence(), *made.remarks, *(d.what for d in made.doubts))
        remarks = tuple(f"{one[:1].upper()}{one[1:]}{'' if one[-1:] == '.' else '.'}" for one in said)
        say_firings(desk.book, job_id, recording, wanted, measured.firings)
        write_dial(desk.book, job_id, made.dial, recording=recording, stage=stage, remarks=remarks)
    except AsfoundError as error:
        asked = DialTyped(typed, struck, error.problems)
        return show_shutter(request, desk, job, recording, dial=asked, status=status_of(error))
    return RedirectResponse(f"/job/{job_id}/shutter?recording={recording}#dial", status_code=303)


def _chosen(job: Job, form: FormData) -> Chosen:
    """Return the recording that a form is about."""
    try:
        wanted = UUID(str(form.get("recording", "")))
    except ValueError:
        raise NotFoundError(Problem("recording", "none is named", "choose one from the shutter page")) from None
    chosen = recording_of(job, wanted)
    assert chosen is not None
    return chosen


def _to(job_id: UUID, recording: UUID | None = None) -> Response:
    query = f"?recording={recording}" if recording else ""
    return RedirectResponse(f"/job/{job_id}/shutter{query}", status_code=303)
