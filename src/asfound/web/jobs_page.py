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
from asfound.job import Waiting
from asfound.problems import AsfoundError, Problem
from asfound.web.camera_form import FIELDS, KINDS, CameraForm, read_camera_form
from asfound.web.desk import AtDesk, Desk, TypedForm
from asfound.web.errors import problems_of, status_of
from asfound.web.finding import MOST_LETTERS, Found, FoundPage, look_for
from asfound.web.lengths import LENGTHS
from asfound.web.render import THEMES, local_path, render
from asfound.web.security import check_form_token
from asfound.web.waits import DateRow, WaitRow, day_of, end_of, wait_row, waiting_from, waits_of

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
    to_do: str
    waits: tuple[WaitRow, ...]
    counts: tuple[tuple[int, str], ...]
    touched: str


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


@router.post("/lengths", dependencies=[Depends(check_form_token)])
def lengths(lengths: Annotated[str, Form()] = "mm", back: Annotated[str, Form()] = "/") -> Response:
    """Choose whether lengths are shown in mm or in thou."""
    response = RedirectResponse(local_path(back), status_code=303)
    chosen = lengths if lengths in LENGTHS else "mm"
    response.set_cookie("asfound_lengths", chosen, max_age=31536000, samesite="lax", httponly=True)
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
    standing = [stand(line, now_ms) for line in desk.book.jobs(handed_over=False)]
    # Only what is shown is put into words: there may be a thousand jobs.
    today = [one.line for one in sorted((s for s in standing if s.today), key=lambda one: not one.over)]
    waiting = [one.line for one in sorted((s for s in standing if not s.today), key=lambda one: one.first_end)]
    # Years of jobs are gone: only those shown are read.
    gone = desk.book.jobs(handed_over=True, limit=most)
    lists, counts = (today, waiting, gone), (len(today), len(waiting), desk.book.number_gone())
    today_rows, waiting_rows, gone_rows = (tuple(job_row(line, now_ms) for line in rows[:most]) for rows in lists)
    return JobsPage(
        today=today_rows,
        waiting=waiting_rows,
        gone=gone_rows,
        counts=counts,
        dates=dates_of(standing, now_ms),
        left_out=sum(counts) - len(today_rows) - len(waiting_rows) - len(gone_rows),
        found=look_for(desk.book, asked) if asked else None,
        form=form or CameraForm(),
        form_open=form_open,
        problems=problems or {},
    )


@dataclass(frozen=True, slots=True)
class Standing:
    """How a job on the bench stands, before it is put into words: whether it could be taken up, and what ends when."""

    line: JobLine
    ends: tuple[tuple[int, Waiting], ...]
    today: bool
    over: bool

    @property
    def first_end(self) -> tuple[bool, int]:
        """By which those that wait are sorted: what ends first, then what has no end."""
        return (not self.ends, min((end for end, _ in self.ends), default=0))


def stand(line: JobLine, now_ms: int) -> Standing:
    """Return how a job stands at this moment."""
    waits = [waiting_from(said) for said in line.summary.get("waits", ())]
    ends = tuple((end, wait) for wait in waits if (end := end_of(wait)) is not None)
    over = any(end <= now_ms for end, _ in ends)
    return Standing(line, ends, over or bool(line.summary.get("to_do")) or line.waits_for == DAMAGED, over)


def job_row(line: JobLine, now_ms: int) -> JobRow:
    """Return a job's row in the list."""
    said = line.summary
    counts = [(int(str(said.get(name, 0))), one, more) for name, one, more in _COUNTED]
    return JobRow(
        href=f"/job/{line.id}",
        ticket=line.ticket,
        camera=line.camera,
        complaint=line.complaint,
        to_do=line.waits_for if line.waits_for == DAMAGED else str(said.get("to_do", "")),
        waits=waits_of(line, now_ms),
        counts=tuple((n, one if n == 1 else more) for n, one, more in counts if n),
        touched=day_of(line.touched_ms, now_ms),
    )


def dates_of(standing: Sequence[Standing], now_ms: int) -> tuple[DateRow, ...]:
    """Return what ends or comes on a date, in order, with the job that waits for it; the first of many."""
    dated = sorted(((end, one.line, wait) for one in standing for end, wait in one.ends), key=lambda date: date[0])
    return tuple(
        DateRow(
            day=day_of(end, now_ms),
            wait=wait_row(wait, now_ms),
            href=f"/job/{line.id}",
            ticket=line.ticket,
            camera=line.camera,
        )
        for end, line, wait in dated[:SHOWN]
    )
