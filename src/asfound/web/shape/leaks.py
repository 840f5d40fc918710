"""Light leaks: photographs of the job searched in the pool, the spots ringed, and the proof written."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Literal
from urllib.parse import urlencode
from uuid import UUID

from fastapi import APIRouter, Depends, Form, Request, UploadFile
from fastapi.responses import JSONResponse, RedirectResponse, Response

from asfound.bench.jobs import load_job
from asfound.bench.leaks import LeakSearch, numbered, search_leaks, spot_of, write_leaks
from asfound.bench.photographs import add_photo
from asfound.bench.pool import Task as PoolTask
from asfound.job import Job
from asfound.job.bodies import Photo
from asfound.plots.leaks import Ring, RingState, Shown, leaks_how, leaks_svg, legend
from asfound.problems import AsfoundError, NotFoundError, Problem, bad_input
from asfound.shape.leaks_pair import Compared
from asfound.shape.leaks_told import place_words, size_words
from asfound.web.desk import AtDesk, Desk, TypedForm
from asfound.web.errors import status_of
from asfound.web.job_head import JobHead, job_head
from asfound.web.render import render
from asfound.web.room import How, Table, TaskLink, both, next_stage, said_of
from asfound.web.room_form import RoomForm, show_form, typed_into
from asfound.web.security import check_form_token
from asfound.web.settings import show_bytes
from asfound.web.shape.leaks_form import (
    depends_of,
    fields,
    named,
    photographs_of,
    proof_of,
    question_of,
    read,
)
from asfound.web.shape.tasks import task_tabs
from asfound.web.stage_field import STAGES, read_stage

router = APIRouter(prefix="/job/{job_id}/shape/leaks")
Checked = [Depends(check_form_token)]
_FORGOTTEN = Problem("photographs", "what was found is not known any more", "look for spots again")
_MOST_ROWS = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What was found, as shown."""

    verdict: str
    words: str
    pictures: tuple[str, ...]
    shapes: str
    table: Table
    remarks: tuple[str, ...]
    proves: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LeaksPage:
    """What the page of the light leaks shows."""

    head: JobHead
    tasks: tuple[TaskLink, ...]
    here: str
    form: RoomForm
    sent: tuple[tuple[str, str], ...]
    task: PoolTask | None
    follow: str
    found: Found | None
    stages: tuple[str, ...]
    stage: str
    wrote: tuple[str, ...]
    limit: str
    how: How


@router.get("")
def look(request: Request, desk: AtDesk, job_id: UUID) -> Response:
    """Show the form, how far the search is, or what was found."""
    job, query = load_job(desk.book, job_id), dict(request.query_params)
    task = _look_at(desk, query.get("task", ""))
    problems: tuple[Problem, ...] = ()
    if query.get("task") and (task is None or task.state == "stopped"):
        problems = (_FORGOTTEN,) if task is None else ()
    elif task is not None:
        problems = task.problems
    typed = typed_into(fields(job), query)
    return _show(request, desk, job, typed, task=task, problems=problems, wrote=query.get("wrote", ""))


@router.post("/search", dependencies=Checked)
def search(request: Request, desk: AtDesk, job_id: UUID, form: TypedForm) -> Response:
    """Start looking for spots."""
    job = load_job(desk.book, job_id)
    typed = _typed(job, form)
    try:
        values = read(job, typed)
        chosen, question = photographs_of(job, values), question_of(values)
        paths = tuple(desk.book.attachment_path(photo.attachment.sha256) for _, photo in chosen)
    except AsfoundError as error:
        return _show(request, desk, job, typed, problems=error.problems, status=status_of(error))
    names = tuple(f"photograph {job.number(entry)}" for entry, _ in chosen)
    task = desk.pool.submit(search_leaks, paths, names, question)
    return RedirectResponse(f"{_address(job)}?{urlencode({**typed, 'task': task})}", status_code=303)


@router.post("", dependencies=Checked)
def write(request: Request, desk: AtDesk, job_id: UUID, form: TypedForm) -> Response:
    """Write the proof, and the spots as pins on the photograph."""
    job = load_job(desk.book, job_id)
    typed, task = _typed(job, form), _look_at(desk, str(form.get("task", "")))
    try:
        if task is None or not isinstance(task.result, LeakSearch):
            raise NotFoundError(_FORGOTTEN)
        values = read(job, typed)
        entry, _ = photographs_of(job, values)[-1]
        written = write_leaks(
            desk.book, job, task.result, of=proof_of(values), photograph=entry,
            stage=read_stage(str(form.get("stage", ""))), depends_on=depends_of(values),
        )  # fmt: skip
    except AsfoundError as error:
        return _show(request, desk, job, typed, task=task, problems=error.problems, status=status_of(error))
    query = {**typed, "task": task.id, "wrote": ",".join(str(one.id) for one in written)}
    return RedirectResponse(f"{_address(job)}?{urlencode(query)}", status_code=303)


@router.post("/photos", dependencies=Checked)
def upload(
    request: Request,
    desk: AtDesk,
    job_id: UUID,
    form: TypedForm,
    file: UploadFile | None = None,
    as_: Annotated[str, Form(alias="as")] = "photo",
) -> Response:
    """Keep a photograph with the job, and choose it."""
    job = load_job(desk.book, job_id)
    typed = _typed(job, form)
    try:
        if file is None or not file.filename:
            raise bad_input("file", "no file was chosen", "choose a JPEG, PNG or HEIC file")
        caption = "light leaks, after the repair" if as_ == "after" else "light leaks"
        entry = add_photo(desk.book, job_id, file.file, file.filename, caption=caption)
    except AsfoundError as error:
        return _show(request, desk, job, typed, problems=error.problems, status=status_of(error))
    assert isinstance(entry.body, Photo)
    name = named(desk.book.job(job_id), entry.id, entry.body)
    query = {**typed, "after" if as_ == "after" else "photo": name}
    return RedirectResponse(f"{_address(job)}?{urlencode(query)}", status_code=303)


@router.get("/task/{task_id}")
def told(desk: AtDesk, job_id: UUID, task_id: str) -> Response:
    """Tell how far the search is."""
    load_job(desk.book, job_id)
    task = desk.pool.look(task_id)
    return JSONResponse({"state": task.state, "share": task.share})


@router.post("/stop", dependencies=Checked)
def stop(desk: AtDesk, job_id: UUID, form: TypedForm) -> Response:
    """Stop the search."""
    job = load_job(desk.book, job_id)
    desk.pool.stop(str(form.get("task", "")))
    return RedirectResponse(f"{_address(job)}?{urlencode(_typed(job, form))}", status_code=303)


@router.get("/search")
@router.get("/photos")
@router.get("/stop")
def moved(job_id: UUID) -> Response:
    """Show the page where a form that was refused is loaded again."""
    return RedirectResponse(f"/job/{job_id}/shape/leaks", status_code=303)


def _typed(job: Job, form: Mapping[str, object]) -> dict[str, str]:
    return typed_into(fields(job), {name: text for name, text in form.items() if isinstance(text, str)})


def _look_at(desk: Desk, task: str) -> PoolTask | None:
    try:
        return desk.pool.look(task) if task else None
    except NotFoundError:
        return None


def _address(job: Job) -> str:
    return f"/job/{job.id}/shape/leaks"


def _show(
    request: Request,
    desk: Desk,
    job: Job,
    typed: Mapping[str, str],
    *,
    task: PoolTask | None = None,
    problems: tuple[Problem, ...] = (),
    wrote: str = "",
    status: int = 200,
) -> Response:
    running = task is not None and task.state in ("waiting", "running")
    page = LeaksPage(
        head=job_head(job, "/shape"),
        tasks=task_tabs(job, "leaks"),
        here=_address(job),
        form=show_form(fields(job), typed, problems),
        sent=(*typed.items(), *((("task", task.id),) if task is not None else ())),
        task=task,
        follow=f"{_address(job)}/task/{task.id}" if running and task is not None else "",
        found=_found(job, typed, task),
        stages=STAGES,
        stage=next_stage(job),
        wrote=said_of(job, wrote),
        limit=show_bytes(desk.settings.photo_bytes),
        how=how(),
    )
    return render(request, "shape_leaks.html", page, title=f"Light leaks, {job.ticket}", status=status)


def _found(job: Job, typed: Mapping[str, str], task: PoolTask | None) -> Found | None:
    if task is None or task.state != "done" or not isinstance(task.result, LeakSearch):
        return None
    result = task.result
    try:
        values = read(job, typed)
        photo, proves = photographs_of(job, values)[-1][1], proof_of(values)
    except AsfoundError:
        return None
    rings = _rings(result)
    shown = Shown(href=f"/photo/{photo.attachment.sha256}/1280", columns=result.last.columns, rows=result.last.rows)
    widths: tuple[Literal["wide", "narrow"], ...] = ("wide", "narrow")
    remarks = (*(f"{one.what}; {one.remedy}" for one in result.unlaid), *_laid(result), *result.told.remarks)
    return Found(
        verdict=result.told.verdict,
        words=result.told.words,
        pictures=tuple(leaks_svg(rings, shown, width=width, said=result.told.words) for width in widths),
        shapes=legend([ring.state for ring in rings]),
        table=_table(result),
        remarks=remarks,
        proves=proves,
    )


def _laid(result: LeakSearch) -> tuple[str, ...]:
    if result.laid is None:
        return ()
    gone = (f"spot {n}: {one.why}" for n, one in numbered(result) if one.why)
    laid = (
        f"the first photograph was laid over the second {result.laid.how}; places are those of the second, shares of "
        f"light those of each spot's own photograph"
    )
    return (laid, *gone)


def _rings(result: LeakSearch) -> tuple[Ring, ...]:
    rings = [
        Ring(number=n, x_px=one.at_px[0], y_px=one.at_px[1], size_px=spot_of(one).fwhm_px, state=_state(result, one))
        for n, one in numbered(result)
    ]
    points = [Ring(number=0, x_px=p.x_px, y_px=p.y_px, size_px=p.fwhm_px, state="point") for p in result.last.points]
    return (*rings, *points)


def _state(result: LeakSearch, one: Compared) -> RingState:
    return one.state if result.compared else "spot"


def _table(result: LeakSearch) -> Table:
    scale, compared = result.last.mm_per_px, bool(result.compared)
    rows = []
    for n, one in numbered(result)[:_MOST_ROWS]:
        spot, (x, y) = spot_of(one), one.at_px
        rows.append(
            (
                str(n),
                *((one.state,) if compared else ()),
                place_words(x, y, scale),
                size_words(spot, scale),
                f"{100 * spot.light_share:.1f} %{', white' if spot.full else ''}",
            )
        )
    return Table(("Spot", *(("Now",) if compared else ()), "From left, top", "Size", "Of all light"), tuple(rows))


def how() -> How:
    """Say how the photographs are taken."""
    return How(
        steps=(
            "Bellows: erect the camera in a dark room, back closed or covered, and lay a small LED lamp inside. Cover "
            "lens and back so that light comes out through leaks alone.",
            "Camera or telephone on a tripod, a hand's breadth to an arm's length off, focused on the folds; fix focus "
            "and exposure. Expose until the folds just show: a second or more.",
            "Prick a pinhole in a card over the lamp and see that it shows: without that, a dark photograph proves "
            "nothing. Lay a ruler beside for the scale.",
            "One photograph of each side; bend the folds open and take the corners again.",
            "After the repair the same again: same stand, lamp and exposure, so that the two can be compared.",
            "Film strip: leave film in the camera, lens capped, in bright light, each side in turn; develop, dust off, "
            "and photograph it against an even light. On a negative, leaks are dark.",
        ),
        pictures=both(leaks_how),
        cautions=(
            "a hot lamp scorches bellows and sets them alight: use a small LED on a cell, never a filament lamp, and "
            "never a lamp on the mains inside a camera of metal. Local rules and licensed practice come first",
        ),
    )
