"""The list of jobs: what each waits for; opening a job; search."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Annotated

from fastapi import APIRouter, Depends, Form, Request
from fastapi.responses import RedirectResponse, Response
from pydantic import ValidationError

from asfound.bench.jobs import open_job
from asfound.bench.practice import write_practice_job
from asfound.book import JobLine
from asfound.book.projections import DAMAGED
from asfound.problems import AsfoundError, Problem
from asfound.web.camera_form import FIELDS, KINDS, CameraForm, read_camera_form
from asfound.web.desk import AtDesk, Desk, TypedForm
from asfound.web.errors import problems_of, status_of
from asfound.web.finding import MOST_LETTERS, Found, FoundPage, look_for
from asfound.web.render import THEMES, local_path, render
from asfound.web.security import check_form_token
from asfound.web.waits import DateRow, WaitRow, day_of, waits_of

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
    """One job of the list; with something to do, or something over, it could be taken up today."""

    href: str
    ticket: str
    camera: str
    complaint: str
    to_do: str
    waits: tuple[WaitRow, ...]
    counts: tuple[tuple[int, str], ...]
    touched: str
    today: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class JobsPage:
    """What the list of jobs shows."""

    today: tuple[JobRow, ...]
    waiting: tuple[JobRow, ...]
    gone: tuple[JobRow, ...]
    counts: tuple[int, int, int]
    dates: tuple[DateRow, ...]
    left_out: int
    found: Found | None
    form: CameraForm
    form_open: bool
    problems: dict[str, Problem] = field(default_factory=dict)
    fields: tuple[tuple[str, str, str, str], ...] = FIELDS
    kinds: dict[str, tuple[str, ...]] = field(default_factory=lambda: dict(KINDS))


@router.get("/")
def jobs_page(request: Request, desk: AtDesk, q: str = "", whole: str = "") -> Response:
    """Show the list of jobs, those touched last or the whole of it, and what a search found."""
    page = jobs_context(desk, asked=q.strip()[:MOST_LETTERS], most=None if whole else SHOWN)
    return render(request, "jobs.html", page, title="Jobs")


@router.get("/search")
def search(request: Request, desk: AtDesk, q: str = "") -> Response:
    """Show what a search finds, without the page around it: asked for while it is typed."""
    return render(request, "found.html", FoundPage(found=look_for(desk.book, q.strip()[:MOST_LETTERS])), title="Found")


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
    """Return what the list shows: what could be done today, then what waits, then what is gone."""
    now_ms = desk.now_ms()
    rows = [(line, job_row(line, now_ms)) for line in desk.book.jobs()]
    on_bench = [(line, row) for line, row in rows if not line.handed_over]
    today = sorted((row for _, row in on_bench if row.today), key=lambda row: not any(w.over for w in row.waits))
    waiting = sorted((row for _, row in on_bench if not row.today), key=_first_end)
    gone = [row for line, row in rows if line.handed_over]
    lists = (today, waiting, gone)
    return JobsPage(
        today=tuple(today[:most]),
        waiting=tuple(waiting[:most]),
        gone=tuple(gone[:most]),
        counts=(len(today), len(waiting), len(gone)),
        dates=dates_of([row for _, row in on_bench], now_ms)[:SHOWN],
        left_out=sum(len(rows) - len(rows[:most]) for rows in lists),
        found=look_for(desk.book, asked) if asked else None,
        form=form or CameraForm(),
        form_open=form_open,
        problems=problems or {},
    )


def job_row(line: JobLine, now_ms: int) -> JobRow:
    """Return a job's row in the list."""
    said, waits = line.summary, waits_of(line, now_ms)
    counts = [(int(str(said.get(name, 0))), one, more) for name, one, more in _COUNTED]
    to_do = str(said.get("to_do", ""))
    return JobRow(
        href=f"/job/{line.id}",
        ticket=line.ticket,
        camera=line.camera,
        complaint=line.complaint,
        to_do=line.waits_for if line.waits_for == DAMAGED else to_do,
        waits=waits,
        counts=tuple((n, one if n == 1 else more) for n, one, more in counts if n),
        touched=day_of(line.touched_ms, now_ms),
        today=bool(to_do) or line.waits_for == DAMAGED or any(wait.over for wait in waits),
    )


def dates_of(rows: Sequence[JobRow], now_ms: int) -> tuple[DateRow, ...]:
    """Return everything that ends or comes on a date, in order, with the job that waits for it."""
    dated = [(wait.ends_ms, row, wait) for row in rows for wait in row.waits if wait.ends_ms is not None]
    return tuple(
        DateRow(day=day_of(ends, now_ms), wait=wait, href=row.href, ticket=row.ticket, camera=row.camera)
        for ends, row, wait in sorted(dated, key=lambda one: one[0])
    )


def _first_end(row: JobRow) -> tuple[bool, int]:
    ends = [wait.ends_ms for wait in row.waits if wait.ends_ms is not None]
    return (not ends, min(ends, default=0))
