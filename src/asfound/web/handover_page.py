"""Handing over: what is open, why it goes out like this, the report."""

import re
from dataclasses import dataclass
from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends, Form, Request
from fastapi.responses import RedirectResponse, Response

from asfound.bench.handover import hand_over, report
from asfound.bench.jobs import load_job
from asfound.book import Book
from asfound.job import Job
from asfound.job.bodies import HandedOver
from asfound.problems import AsfoundError, Problem
from asfound.report import open_items
from asfound.web.desk import AtDesk
from asfound.web.errors import status_of
from asfound.web.job_head import JobHead, job_head
from asfound.web.moments import show_clock, show_day
from asfound.web.render import render
from asfound.web.security import check_form_token

router = APIRouter(prefix="/job/{job_id}/handover")


@dataclass(frozen=True, slots=True, kw_only=True)
class HandoverPage:
    """What the handover shows."""

    head: JobHead
    open: tuple[str, ...]
    text: str
    why_open: str
    problems: tuple[Problem, ...]
    went: str
    said: str
    why_it_went: str
    entry: UUID | None
    report_name: str


@router.get("")
def handover_page(request: Request, desk: AtDesk, job_id: UUID) -> Response:
    """Show what is open, and the report."""
    job = load_job(desk.book, job_id)
    return render(request, "handover.html", handover_context(job), title=f"Handover of {job.ticket}")


@router.post("", dependencies=[Depends(check_form_token)])
def hand_it_over(
    request: Request,
    desk: AtDesk,
    job_id: UUID,
    text: Annotated[str, Form()] = "",
    why_open: Annotated[str, Form()] = "",
) -> Response:
    """Write that the camera left the bench."""
    try:
        hand_over(desk.book, job_id, text=text, why_open=why_open)
    except AsfoundError as error:
        job = load_job(desk.book, job_id)
        page = handover_context(job, text=text, why_open=why_open, problems=error.problems)
        return render(request, "handover.html", page, title=f"Handover of {job.ticket}", status=status_of(error))
    return RedirectResponse(f"/job/{job_id}/handover", status_code=303)


@router.get("/report.pdf")
def report_pdf(desk: AtDesk, job_id: UUID) -> Response:
    """Return the handover report."""
    name = report_name(load_job(desk.book, job_id))
    return pdf_answer(desk.book, job_id, name)


def pdf_answer(book: Book, job_id: UUID, name: str) -> Response:
    """Return the report as a file to be kept."""
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(report(book, job_id), media_type="application/pdf", headers=headers)


def report_name(job: Job) -> str:
    """Return the report's file name, in letters that every system keeps."""
    return f"handover-{re.sub(r'[^A-Za-z0-9]+', '-', job.ticket).strip('-') or 'job'}.pdf"


def handover_context(
    job: Job, *, text: str = "", why_open: str = "", problems: tuple[Problem, ...] = ()
) -> HandoverPage:
    """Return what the handover shows."""
    entry = job.handed_over
    body = entry.body if entry is not None and isinstance(entry.body, HandedOver) else None
    went = f"{show_day(entry.clock)}, {show_clock(entry.clock)}" if entry is not None else ""
    return HandoverPage(
        head=job_head(job, "/handover"),
        open=open_items(job),
        text=text,
        why_open=why_open,
        problems=problems,
        went=went,
        said=body.text if body else "",
        why_it_went=body.why_open if body else "",
        entry=entry.id if entry is not None else None,
        report_name=report_name(job),
    )
