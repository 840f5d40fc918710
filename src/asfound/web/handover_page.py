"""Handing over: what is open, why it goes out like this, the report."""

from dataclasses import dataclass
from typing import Annotated
from urllib.parse import urlencode
from uuid import UUID

from fastapi import APIRouter, Depends, Form, Request
from fastapi.responses import RedirectResponse, Response

from asfound.bench.handover import card, hand_over, labels, report
from asfound.bench.jobs import load_job
from asfound.bench.springs import RATE
from asfound.job import Job, key
from asfound.job.bodies import HandedOver, ReadingTaken
from asfound.job.proving import proof_list
from asfound.problems import AsfoundError, Problem
from asfound.report.still_open import About, what_is_open
from asfound.web.desk import AtDesk
from asfound.web.errors import status_of
from asfound.web.job_head import JobHead, job_head
from asfound.web.moments import show_clock, show_day
from asfound.web.papers import paper, paper_name
from asfound.web.proofs_page import proofs_svg
from asfound.web.render import render
from asfound.web.security import check_form_token

router = APIRouter(prefix="/job/{job_id}/handover")

SORTS: dict[str, tuple[About, ...]] = {
    "Not right, or not fresh": ("speeds", "proofs"),
    "Not proved": ("not proved",),
    "Faults": ("faults",),
    "Readings to come back to": ("readings",),
    "Way back and parts": ("way back", "waiting"),
}


@dataclass(frozen=True, slots=True)
class OpenGroup:
    """What is open of one sort."""

    name: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Paper:
    """A paper to print."""

    name: str
    href: str
    hint: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HandoverPage:
    """What the handover shows."""

    head: JobHead
    wide: str
    narrow: str
    open: tuple[OpenGroup, ...]
    count: int
    text: str
    why_open: str
    problems: tuple[Problem, ...]
    went: str
    said: str
    why_it_went: str
    entry: UUID | None
    report_name: str
    papers: tuple[Paper, ...]


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
    return paper(report(desk.book, job_id), name)


@router.get("/card.pdf")
def card_pdf(desk: AtDesk, job_id: UUID) -> Response:
    """Return the card for the camera bag."""
    name = paper_name("card", load_job(desk.book, job_id).ticket)
    return paper(card(desk.book, job_id), name, shown=True)


@router.get("/labels.pdf")
def labels_pdf(request: Request, desk: AtDesk, job_id: UUID) -> Response:
    """Return a sheet of labels: one of the job, one to each tray cell in use; their codes lead to the job's page."""
    # A label is read with a telephone: it needs the address by which that reaches the bench.
    address = (desk.settings.address or str(request.base_url).rstrip("/")) + f"/job/{job_id}"
    name = paper_name("labels", load_job(desk.book, job_id).ticket)
    return paper(labels(desk.book, job_id, address=address), name, shown=True)


def report_name(job: Job) -> str:
    """Return the report's file name, in letters that every system keeps."""
    return paper_name("handover", job.ticket)


def papers_of(job: Job) -> tuple[Paper, ...]:
    """Return what can be printed beside the report: card, labels, and a winding sheet to each spring known by size."""
    here = f"/job/{job.id}"
    latest = {key(kept.body.place): kept.body for kept in job.readings if kept.body.quantity == RATE and kept.body.raw}
    sheets = (
        Paper(
            f"Winding sheet: {body.place or 'spring'}",
            f"{here}/springs/winding?{urlencode({'hand': 'right', **_typed(body)})}",
            "drawn to scale",
        )
        for body in latest.values()
    )
    return (
        Paper("The card", f"{here}/handover/card.pdf", "85.60 by 53.98 mm, for the camera bag"),
        Paper("Labels", f"{here}/handover/labels.pdf", "of the job and its tray cells, on A4"),
        *sheets,
    )


def _typed(body: ReadingTaken) -> dict[str, str]:
    return {name: text for name, found, text in (line.partition(": ") for line in body.raw) if found}


def open_groups(job: Job) -> tuple[OpenGroup, ...]:
    """Return what is open, sort by sort."""
    items = what_is_open(job)
    groups = (
        OpenGroup(name, tuple(item.words for item in items if item.about in abouts)) for name, abouts in SORTS.items()
    )
    return tuple(group for group in groups if group.lines)


def handover_context(
    job: Job, *, text: str = "", why_open: str = "", problems: tuple[Problem, ...] = ()
) -> HandoverPage:
    """Return what the handover shows."""
    entry = job.handed_over
    body = entry.body if entry is not None and isinstance(entry.body, HandedOver) else None
    groups, lines = open_groups(job), proof_list(job)
    went = f"{show_day(entry.clock)}, {show_clock(entry.clock)}" if entry is not None else ""
    return HandoverPage(
        head=job_head(job, "/handover"),
        wide=proofs_svg(lines, "wide"),
        narrow=proofs_svg(lines, "narrow"),
        open=groups,
        count=sum(len(group.lines) for group in groups),
        text=text,
        why_open=why_open,
        problems=problems,
        went=went,
        said=body.text if body else "",
        why_it_went=body.why_open if body else "",
        entry=entry.id if entry is not None else None,
        report_name=report_name(job),
        papers=papers_of(job),
    )
