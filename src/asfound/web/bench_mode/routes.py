"""The routes of the page at arm's length; each does one thing and shows what is next."""

from typing import Annotated
from urllib.parse import urlencode
from uuid import UUID

from fastapi import APIRouter, Depends, Form, Request
from fastapi.responses import RedirectResponse, Response

from asfound.bench.jobs import load_job
from asfound.bench.line import preview_line, write_line
from asfound.bench.marking import undo
from asfound.job import Entry
from asfound.problems import AsfoundError
from asfound.web.bench_mode import timer
from asfound.web.bench_mode.page import BenchPage, bench_context
from asfound.web.desk import AtDesk, TypedForm
from asfound.web.errors import status_of
from asfound.web.job_page import echo_of
from asfound.web.line_form import line_form
from asfound.web.render import render
from asfound.web.security import check_form_token
from asfound.web.wayback_page import mark_step

router = APIRouter(prefix="/job/{job_id}/bench")
Checked = [Depends(check_form_token)]
At = Annotated[int, Form()]
Turned = Annotated[str, Form()]


@router.get("")
def bench_page(
    request: Request, desk: AtDesk, job_id: UUID, at: int = 0, do: str = "", wrote: str = "", struck: str = ""
) -> Response:
    """Show what lies at hand."""
    job = load_job(desk.book, job_id)
    page = bench_context(desk, job, at=at, turned=do == "back", echo=echo_of(job, wrote, struck, book=desk.book))
    return _show(request, page)


@router.get("/line")
@router.get("/tick")
@router.get("/timer")
@router.get("/ended")
@router.get("/undo")
def moved(job_id: UUID) -> Response:
    """Show the page where a form that was refused is loaded again."""
    return _to(job_id)


@router.post("/line", dependencies=Checked)
def write(
    request: Request,
    desk: AtDesk,
    job_id: UUID,
    text: Annotated[str, Form()] = "",
    as_note: Annotated[str, Form()] = "",
    at: At = 0,
) -> Response:
    """Write a line down and stay; one that is not understood comes back with its problems."""
    try:
        written = write_line(desk.book, job_id, text, as_note=bool(as_note))
    except AsfoundError as error:
        job = load_job(desk.book, job_id)
        form = line_form(job, text, preview_line(job, text), error.problems)
        return _show(request, bench_context(desk, job, at=at, line=form), status=status_of(error))
    return _to(job_id, at, written.entries)


@router.post("/tick", dependencies=Checked)
def tick_step(
    desk: AtDesk, job_id: UUID, step: Annotated[UUID, Form()], done: Annotated[str, Form()] = "yes"
) -> Response:
    """Tick the step at hand off and show the next, or take the last tick back."""
    return _to(job_id, 0, mark_step(desk, job_id, step, done=done == "yes"), do="back")


@router.post("/timer", dependencies=Checked)
def begin_timer(request: Request, desk: AtDesk, job_id: UUID, typed: TypedForm) -> Response:
    """Begin a bath or a cure that is counted down."""
    given = {name: str(value) for name, value in typed.items()}
    try:
        return _to(job_id, _number(given.get("at", "")), timer.begin(desk.book, job_id, given))
    except AsfoundError as error:
        page = bench_context(desk, load_job(desk.book, job_id), typed=given, problems=error.problems)
        return _show(request, page, status=status_of(error))


@router.post("/ended", dependencies=Checked)
def end_timer(desk: AtDesk, job_id: UUID, part: Annotated[str, Form()] = "", at: At = 0) -> Response:
    """Take a part out of its bath, or say that it is cured."""
    return _to(job_id, at, timer.end(desk.book, job_id, part))


@router.post("/undo", dependencies=Checked)
def undo_last(desk: AtDesk, job_id: UUID, at: At = 0) -> Response:
    """Strike the latest entry that counts."""
    entry = undo(desk.book, job_id)
    return _to(job_id, at, (entry,) if entry else (), name="struck")


def _to(job_id: UUID, at: int = 0, entries: tuple[Entry, ...] = (), *, do: str = "", name: str = "wrote") -> Response:
    said = {"at": str(at) if at else "", "do": do, name: ",".join(str(entry.id) for entry in entries)}
    query = urlencode({key: value for key, value in said.items() if value})
    return RedirectResponse(f"/job/{job_id}/bench" + (f"?{query}" if query else ""), status_code=303)


def _number(text: str) -> int:
    return int(text) if text.isdecimal() and len(text) < 6 else 0


def _show(request: Request, page: BenchPage, *, status: int = 200) -> Response:
    return render(request, "bench_mode.html", page, title=f"{page.head.ticket} at arm's length", status=status)
