"""The list of jobs: what each waits for; opening a job; search."""

from dataclasses import dataclass, field
from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends, Form, Request
from fastapi.responses import RedirectResponse, Response
from pydantic import ValidationError

from asfound.bench.jobs import open_job
from asfound.bench.practice import write_practice_job
from asfound.book import JobLine
from asfound.problems import AsfoundError, Problem
from asfound.web.camera_form import FIELDS, KINDS, CameraForm, read_camera_form
from asfound.web.desk import AtDesk, Desk, TypedForm
from asfound.web.errors import problems_of, status_of
from asfound.web.moments import show_day
from asfound.web.render import THEMES, local_path, render
from asfound.web.security import check_form_token

router = APIRouter()
# So many jobs of each list are shown before the rest is asked for.
SHOWN = 50
_COUNTED = (
    ("off", "part off", "parts off"),
    ("open_faults", "fault open", "faults open"),
    ("to_restore", "reading to restore", "readings to restore"),
    ("stale", "proof stale", "proofs stale"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class JobRow:
    """One job of the list."""

    href: str
    ticket: str
    camera: str
    complaint: str
    waits_for: str
    counts: tuple[tuple[int, str], ...]
    touched: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HitRow:
    """One entry that a search found."""

    href: str
    ticket: str
    camera: str
    kind: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JobsPage:
    """What the list of jobs shows."""

    on_bench: tuple[JobRow, ...]
    gone: tuple[JobRow, ...]
    gone_count: int
    left_out: int
    asked: str
    hits: tuple[HitRow, ...]
    form: CameraForm
    form_open: bool
    problems: dict[str, Problem] = field(default_factory=dict)
    fields: tuple[tuple[str, str, str, str], ...] = FIELDS
    kinds: dict[str, tuple[str, ...]] = field(default_factory=lambda: dict(KINDS))


@router.get("/")
def jobs_page(request: Request, desk: AtDesk, q: str = "", whole: str = "") -> Response:
    """Show the list of jobs, those touched last or the whole of it, and what a search found."""
    page = jobs_context(desk, asked=q.strip()[:200], most=None if whole else SHOWN)
    return render(request, "jobs.html", page, title="Jobs")


@router.post("/jobs", dependencies=[Depends(check_form_token)])
def open_a_job(request: Request, desk: AtDesk, typed: TypedForm) -> Response:
    """Open a job on a camera; with problems, show the form as it was typed."""
    form = CameraForm.typed({name: str(typed.get(name, "")) for name in CameraForm.names()})
    camera, problems = read_camera_form(form)
    try:
        if camera is not None:
            job = open_job(desk.book, camera=camera, complaint=form.complaint, ticket=form.ticket.strip() or None)
            return RedirectResponse(f"/job/{job.id}", status_code=303)
        status = 422
    except ValidationError as error:
        status, problems = 422, {problem.where: problem for problem in problems_of(error)}
    except AsfoundError as error:
        status, problems = status_of(error), {problem.where: problem for problem in error.problems}
    page = jobs_context(desk, form=form, problems=problems, form_open=True)
    return render(request, "jobs.html", page, title="Open a job", status=status)


@router.get("/jobs")
def list_moved() -> Response:
    """Show the list where a form that was refused is loaded again."""
    return RedirectResponse("/", status_code=303)


@router.post("/practice", dependencies=[Depends(check_form_token)])
def practice(desk: AtDesk) -> Response:
    """Write the practice job and show it."""
    return RedirectResponse(f"/job/{write_practice_job(desk.book).id}", status_code=303)


@router.post("/theme", dependencies=[Depends(check_form_token)])
def theme(theme: Annotated[str, Form()] = "auto", back: Annotated[str, Form()] = "/") -> Response:
    """Choose paper, lamp off, or as the device."""
    response = RedirectResponse(local_path(back), status_code=303)
    chosen = theme if theme in THEMES else "auto"
    response.set_cookie("asfound_theme", chosen, max_age=31536000, samesite="lax", httponly=True)
    return response


def jobs_context(
    desk: Desk,
    *,
    asked: str = "",
    form: CameraForm | None = None,
    problems: dict[str, Problem] | None = None,
    form_open: bool = False,
    most: int | None = SHOWN,
) -> JobsPage:
    """Return what the list shows."""
    lines = desk.book.jobs()
    rows = {line.id: job_row(line) for line in lines}
    on_bench = [rows[line.id] for line in lines if not line.handed_over]
    gone = [rows[line.id] for line in lines if line.handed_over]
    return JobsPage(
        on_bench=tuple(on_bench[:most]),
        gone=tuple(gone[:most]),
        gone_count=len(gone),
        left_out=len(on_bench) + len(gone) - len(on_bench[:most]) - len(gone[:most]),
        asked=asked,
        hits=_hits(desk, asked, rows) if asked else (),
        form=form or CameraForm(),
        form_open=form_open,
        problems=problems or {},
    )


def job_row(line: JobLine) -> JobRow:
    """Return a job's row in the list."""
    said = line.summary
    counts = [(int(str(said.get(name, 0))), one, more) for name, one, more in _COUNTED]
    return JobRow(
        href=f"/job/{line.id}",
        ticket=line.ticket,
        camera=line.camera,
        complaint=line.complaint,
        waits_for=line.waits_for,
        counts=tuple((n, one if n == 1 else more) for n, one, more in counts if n),
        touched=show_day(line.touched_ms),
    )


def _hits(desk: Desk, asked: str, rows: dict[UUID, JobRow]) -> tuple[HitRow, ...]:
    return tuple(
        HitRow(
            href=f"{rows[hit.job].href}?whole=yes#entry-{hit.entry}",
            ticket=rows[hit.job].ticket,
            camera=rows[hit.job].camera,
            kind=hit.kind,
            text=hit.text if len(hit.text) < 300 else hit.text[:297] + "…",
        )
        for hit in desk.book.search(asked)
        if hit.job in rows
    )
