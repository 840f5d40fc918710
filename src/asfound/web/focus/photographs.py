"""Photographs of the ground glass: uploaded with their settings, measured in the pool, handed to the infinity page."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated
from urllib.parse import urlencode
from uuid import UUID

from fastapi import APIRouter, Depends, Form, Request, UploadFile
from fastapi.responses import JSONResponse, RedirectResponse, Response

from asfound.bench.ground_glass import keep_series, measure_series, series_of
from asfound.bench.jobs import load_job
from asfound.bench.pool import Task as PoolTask
from asfound.job import Job
from asfound.plots.focus_how_more import ground_glass
from asfound.problems import AsfoundError, NotFoundError, Problem, bad_input
from asfound.web.desk import AtDesk, Desk, TypedForm
from asfound.web.errors import status_of
from asfound.web.focus.infinity import TASK as INFINITY
from asfound.web.focus.lists import setting
from asfound.web.focus.tasks import task_tabs
from asfound.web.job_head import JobHead, job_head
from asfound.web.render import render
from asfound.web.room import How, TaskLink, both
from asfound.web.room_form import typed_into
from asfound.web.security import check_form_token
from asfound.web.settings import show_bytes

LEAST = 6
router = APIRouter(prefix="/job/{job_id}/focus/photos")
Checked = [Depends(check_form_token)]


@dataclass(frozen=True, slots=True)
class KeptGlass:
    """A photograph of the ground glass in the book."""

    id: str
    number: int
    setting: str
    thumbnail: str
    chosen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotographsPage:
    """What the page of the photographs shows."""

    head: JobHead
    tasks: tuple[TaskLink, ...]
    here: str
    settings: str
    limit: str
    least: int
    problems: tuple[Problem, ...]
    task: PoolTask | None
    follow: str
    kept: tuple[KeptGlass, ...]
    how: How


@router.get("")
def look(request: Request, desk: AtDesk, job_id: UUID, task: str = "", photos: str = "") -> Response:
    """Show what is kept; once the measuring is done, go on to the infinity page."""
    job = load_job(desk.book, job_id)
    running = _look_at(desk, task) if task else None
    if running is not None and running.state == "done":
        return RedirectResponse(_infinity(job, photos, running.result), status_code=303)
    problems = () if running is None or running.state != "failed" else running.problems
    if task and running is None:
        problems = (Problem("photographs", "the measuring is not known any more", "measure them again"),)
    follow = f"{_address(job)}/task/{task}" if running is not None and running.state in ("waiting", "running") else ""
    return _show(request, desk, job, task=running, follow=follow, problems=problems)


@router.post("", dependencies=Checked)
def upload(
    request: Request,
    desk: AtDesk,
    job_id: UUID,
    file: list[UploadFile] | None = None,
    settings: Annotated[str, Form()] = "",
) -> Response:
    """Keep photographs with the settings they were taken at."""
    job = load_job(desk.book, job_id)
    given = sorted((one for one in file or [] if one.filename), key=lambda one: one.filename or "")
    lines = [line.strip() for line in settings.splitlines() if line.strip()]
    try:
        if not given:
            raise bad_input("files", "no file was chosen", "choose the photographs of one series")
        _readable(lines)
        keep_series(desk.book, job_id, [(one.filename or "", one.file) for one in given], lines)
    except AsfoundError as error:
        return _show(request, desk, job, settings=settings, problems=error.problems, status=status_of(error))
    return RedirectResponse(f"{_address(job)}#kept", status_code=303)


def _readable(lines: list[str]) -> None:
    for line in lines:
        if len(line) > 40:
            raise bad_input("settings", f"{line[:40]!r}… is no setting", "write it as in 0.10 mm")
        setting(1.0)(line, "settings")


@router.post("/measure", dependencies=Checked)
def measure(request: Request, desk: AtDesk, job_id: UUID, form: TypedForm) -> Response:
    """Start measuring the chosen photographs."""
    job = load_job(desk.book, job_id)
    wanted = {str(value) for value in form.getlist("photo")}
    chosen = [one for one in series_of(job) if str(one[0]) in wanted]
    if len(chosen) < LEAST:
        problem = Problem(
            "photographs", f"{len(chosen)} are too few for a peak", f"choose {LEAST} or more, on both sides of it"
        )
        return _show(request, desk, job, problems=(problem,), status=422)
    paths = [desk.book.attachment_path(photo.attachment.sha256) for _, photo, _, _ in chosen]
    names = [f"photograph {job.number(entry)}" for entry, _, _, _ in chosen]
    task = desk.pool.submit(measure_series, paths, names)
    query = {"task": task, "photos": ",".join(str(job.number(entry)) for entry, _, _, _ in chosen)}
    return RedirectResponse(f"{_address(job)}?{urlencode(query)}", status_code=303)


@router.get("/task/{task_id}")
def told(desk: AtDesk, job_id: UUID, task_id: str) -> Response:
    """Tell how far the measuring is."""
    load_job(desk.book, job_id)
    task = desk.pool.look(task_id)
    return JSONResponse({"state": task.state, "share": task.share})


@router.post("/stop", dependencies=Checked)
def stop(desk: AtDesk, job_id: UUID, task: Annotated[str, Form()] = "") -> Response:
    """Stop measuring."""
    desk.pool.stop(task)
    return RedirectResponse(f"/job/{job_id}/focus/photos", status_code=303)


@router.get("/measure")
@router.get("/stop")
def moved(job_id: UUID) -> Response:
    """Show the photographs where a form that was refused is loaded again."""
    return RedirectResponse(f"/job/{job_id}/focus/photos", status_code=303)


def _look_at(desk: Desk, task: str) -> PoolTask | None:
    try:
        return desk.pool.look(task)
    except NotFoundError:
        return None


def _address(job: Job) -> str:
    return f"/job/{job.id}/focus/photos"


def _infinity(job: Job, photos: str, sharpness: object) -> str:
    """Return the address of the infinity page with the series filled in, everything else as it stands there."""
    numbers = set(photos.split(","))
    settings = [told for entry, _, told, _ in series_of(job) if str(job.number(entry)) in numbers]
    assert isinstance(sharpness, tuple)
    lines = [f"{told} = {value:.6g}" for told, value in zip(settings, sharpness, strict=False)]
    typed: Mapping[str, str] = typed_into(INFINITY.fields(job), {})
    return f"/job/{job.id}/focus/infinity?{urlencode({**typed, 'sharpest': '', 'series': chr(10).join(lines)})}"


def _show(
    request: Request,
    desk: Desk,
    job: Job,
    *,
    settings: str = "",
    problems: tuple[Problem, ...] = (),
    task: PoolTask | None = None,
    follow: str = "",
    status: int = 200,
) -> Response:
    page = PhotographsPage(
        head=job_head(job, "/focus"),
        tasks=task_tabs(job, "photos"),
        here=_address(job),
        settings=settings,
        limit=show_bytes(desk.settings.photo_bytes),
        least=LEAST,
        problems=problems,
        task=task,
        follow=follow,
        kept=tuple(
            KeptGlass(str(entry), job.number(entry), told, f"/photo/{photo.attachment.sha256}/320", fresh)
            for entry, photo, told, fresh in series_of(job)
        ),
        how=how(),
    )
    return render(request, "focus_photographs.html", page, title=f"Photographs, {job.ticket}", status=status)


def how() -> How:
    """Say how the photographs are taken."""
    return How(
        steps=(
            "Ground glass on the film rails, largest aperture, a target full of fine detail, far away.",
            "Clamp the telephone behind the glass; fix its focus on the ground side, its exposure and its zoom.",
            "Start well on one side of the sharpest setting and go through it in equal steps of about half a focus "
            "budget: six photographs at least, always turning the same way.",
            "Note the setting of each: mm of travel, or degrees of the ring.",
        ),
        pictures=both(ground_glass),
        cautions=("never look at the sun through the lens, and do not leave it open towards the sun",),
    )
