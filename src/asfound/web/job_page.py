"""One job: the quick line at hand, the entries as they came, where every part lies, what is open."""

from dataclasses import dataclass
from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends, Form, Request
from fastapi.responses import RedirectResponse, Response

from asfound.bench.elsewhere import told_elsewhere
from asfound.bench.jobs import load_job
from asfound.bench.line import preview_line, write_line
from asfound.bench.marking import restore, strike, undo
from asfound.book import Book
from asfound.job import Job, way_back_of
from asfound.job.bodies import ReadingTaken
from asfound.problems import AsfoundError
from asfound.quantity import show_reading
from asfound.web.desk import AtDesk, Desk
from asfound.web.entry_rows import Day, entry_days
from asfound.web.errors import status_of
from asfound.web.faults import FaultRow, fault_rows
from asfound.web.job_head import JobHead, job_head
from asfound.web.kept import KeptRow, StepChoice, outstanding, stale_rows, step_choices
from asfound.web.line_form import EXAMPLES, Echo, LineForm, line_form
from asfound.web.photographs.rows import PhotoRow, photo_rows
from asfound.web.render import render
from asfound.web.sayings import tell_back
from asfound.web.security import check_form_token
from asfound.web.settings import show_bytes
from asfound.web.tray import Cell, tray_of
from asfound.web.waits import WaitRow, in_time, wait_row

router = APIRouter(prefix="/job/{job_id}")
# So many entries are shown before the rest is asked for.
SHOWN = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class JobPage:
    """What the page of one job shows."""

    head: JobHead
    line: LineForm
    echo: Echo | None
    again: str
    state: str
    next: str
    progress: str
    days: tuple[Day, ...]
    entries: int
    older: int
    examples: tuple[tuple[str, str], ...]
    photos: tuple[PhotoRow, ...]
    tray: tuple[Cell, ...]
    lying: int
    faults: tuple[FaultRow, ...]
    stale: tuple[KeptRow, ...]
    outstanding: tuple[KeptRow, ...]
    waiting: tuple[WaitRow, ...]
    expected: tuple[str, ...]
    steps: tuple[StepChoice, ...]
    photo_limit: int
    photo_limit_said: str


@router.get("")
def job_page(
    request: Request, desk: AtDesk, job_id: UUID, wrote: str = "", struck: str = "", whole: str = ""
) -> Response:
    """Show one job: its latest entries, or the whole of it."""
    job = load_job(desk.book, job_id)
    echo = echo_of(job, wrote, struck, book=desk.book)
    return _show(request, desk, job, line_form(job), echo, most=len(job.entries) if whole else SHOWN)


@router.get("/line")
@router.get("/photos")
def moved(job_id: UUID) -> Response:
    """Show the job where a form that was refused is loaded again."""
    return _to(job_id)


@router.post("/line", dependencies=[Depends(check_form_token)])
def write(
    request: Request,
    desk: AtDesk,
    job_id: UUID,
    text: Annotated[str, Form()] = "",
    as_note: Annotated[str, Form()] = "",
) -> Response:
    """Write a line down; one that is not understood comes back with its problems, and can be kept as a note."""
    try:
        written = write_line(desk.book, job_id, text, as_note=bool(as_note))
    except AsfoundError as error:
        job = load_job(desk.book, job_id)
        form = line_form(job, text, preview_line(job, text), error.problems)
        return _show(request, desk, job, form, None, status=status_of(error))
    names = ",".join(str(entry.id) for entry in written.entries)
    return _to(job_id, f"?wrote={names}")


@router.post("/undo", dependencies=[Depends(check_form_token)])
def undo_last(desk: AtDesk, job_id: UUID) -> Response:
    """Strike the latest entry that counts."""
    entry = undo(desk.book, job_id)
    return _to(job_id, f"?struck={entry.id}" if entry else "")


@router.post("/entry/{entry_id}/strike", dependencies=[Depends(check_form_token)])
def strike_entry(desk: AtDesk, job_id: UUID, entry_id: UUID) -> Response:
    """Strike one entry through."""
    return _to(job_id, f"?struck={strike(desk.book, job_id, entry_id).id}")


@router.post("/entry/{entry_id}/restore", dependencies=[Depends(check_form_token)])
def restore_entry(desk: AtDesk, job_id: UUID, entry_id: UUID) -> Response:
    """Let a struck entry count again."""
    restore(desk.book, job_id, entry_id)
    return _to(job_id, f"?wrote={entry_id}")


def _to(job_id: UUID, query: str = "") -> Response:
    return RedirectResponse(f"/job/{job_id}{query}", status_code=303)


def _show(
    request: Request,
    desk: Desk,
    job: Job,
    line: LineForm,
    echo: Echo | None,
    *,
    most: int = SHOWN,
    status: int = 200,
) -> Response:
    page = job_context(desk, job, line, echo, most=most)
    return render(request, "job.html", page, title=f"{job.ticket}, {page.head.camera}", status=status)


def job_context(desk: Desk, job: Job, line: LineForm, echo: Echo | None, *, most: int = SHOWN) -> JobPage:
    """Return what a job's page shows."""
    tray, back = tray_of(job), way_back_of(job)
    done = sum(step.step.back for step in back.steps)
    return JobPage(
        head=job_head(job, ""),
        line=line,
        echo=echo,
        again=_again(job),
        state=str(job.state),
        next=back.open[0].title if back.open else "",
        progress=f"{done} of {len(back.steps)} steps back" if back.steps else "",
        days=entry_days(job, most=most, new=frozenset(echo.entries) if echo else frozenset()),
        entries=len(job.entries),
        older=max(0, len(job.entries) - most),
        examples=EXAMPLES,
        photos=photo_rows(job),
        tray=tray,
        lying=sum(len(cell.parts) for cell in tray),
        faults=fault_rows(job, still_open=True),
        stale=stale_rows(job),
        outstanding=outstanding(job),
        waiting=in_time(wait_row(waiting, desk.now_ms()) for waiting in job.waiting),
        expected=tuple(text for _, text, held in job.expectations if held is None),
        steps=step_choices(job),
        photo_limit=desk.settings.photo_bytes,
        photo_limit_said=show_bytes(desk.settings.photo_bytes),
    )


def _again(job: Job) -> str:
    """Return in a word where the last reading would be taken again, and its value; nothing where none is known."""
    bodies = preview_line(job, ">").bodies
    found = bodies[0] if len(bodies) == 1 else None
    if not isinstance(found, ReadingTaken):
        return ""
    return f"{found.quantity} {found.place}, {show_reading(found.reading)}"


def echo_of(job: Job, wrote: str, struck: str, *, book: Book | None = None) -> Echo | None:
    """Return what the last form did, as told by the address; with the book, what other cameras say to a reading."""
    wanted = set((struck or wrote).split(","))
    found = [entry for entry in job.entries if str(entry.id) in wanted]
    if not found:
        return None
    words = "; ".join(tell_back(entry, job) for entry in found)
    told = () if struck or book is None else told_elsewhere(book, job, [entry.body for entry in found])
    return Echo(entries=tuple(entry.id for entry in found), said=words, is_strike=bool(struck), warnings=told)
