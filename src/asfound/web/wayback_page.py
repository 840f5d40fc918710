"""The way back as a list to tick off: the next action large, everything that it must know, the order held."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends, Form, Request
from fastapi.responses import RedirectResponse, Response

from asfound.bench import order
from asfound.bench.jobs import load_job
from asfound.bench.marking import tick
from asfound.job import Entry, Job, offer_of, way_back_of
from asfound.job.cautions import DEFERENCE
from asfound.quantity import CameraState
from asfound.teardown import FastenerGroup, StepBack, fastener_count
from asfound.web.desk import AtDesk, Desk
from asfound.web.job_head import JobHead, job_head
from asfound.web.job_page import echo_of
from asfound.web.kept import KeptRow, restore_row
from asfound.web.line_form import Echo
from asfound.web.photographs.rows import PhotoRow, photo_rows
from asfound.web.render import render
from asfound.web.security import check_form_token
from asfound.web.wayback_moves import DueRow, FreedRow, due_rows, freed_rows
from asfound.web.wayback_moves import router as moves_router

router = APIRouter(prefix="/job/{job_id}/wayback")
router.include_router(moves_router)
# The page must not keep anyone waiting: a search cut short gives a bound instead of a proof.
_MOST_STATES = 20_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Fasteners:
    """One group of fasteners: how many, and what they are."""

    count: int
    what: str
    remarks: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BackRow:
    """One step of the way back."""

    id: UUID
    number: str
    title: str
    done: bool
    lies: str
    needs_place: bool
    fasteners: tuple[Fasteners, ...]
    fastening: tuple[str, ...]
    count_before: tuple[tuple[str, int], ...]
    proofs: tuple[str, ...]
    held_by: str
    tool: str
    pose: str
    note: str
    state: str
    state_differs: str
    marks: tuple[str, ...]
    restore: tuple[KeptRow, ...]
    cautions: tuple[tuple[str, str], ...]
    waits_for: str
    photos: tuple[PhotoRow, ...]
    more: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WayBackPage:
    """What the way back shows."""

    head: JobHead
    echo: Echo | None
    due: tuple[DueRow, ...]
    freed: tuple[FreedRow, ...]
    next: BackRow | None
    done: int
    rows: tuple[BackRow, ...]
    last_done: BackRow | None
    better: str
    unaccounted: tuple[str, ...]
    fasteners_off: tuple[tuple[str, int], ...]
    deference: str


@router.get("")
def wayback_page(request: Request, desk: AtDesk, job_id: UUID, wrote: str = "", struck: str = "") -> Response:
    """Show the way back."""
    job = load_job(desk.book, job_id)
    page = wayback_context(desk, job, echo_of(job, wrote, struck))
    return render(request, "wayback.html", page, title=f"Way back of {job.ticket}")


@router.get("/tick")
@router.get("/order")
def moved(job_id: UUID) -> Response:
    """Show the way back where a form that was refused is loaded again."""
    return _to(job_id)


@router.post("/tick", dependencies=[Depends(check_form_token)])
def tick_step(
    desk: AtDesk, job_id: UUID, step: Annotated[UUID, Form()], done: Annotated[str, Form()] = "yes"
) -> Response:
    """Tick a step off, or take the tick back; ticking it twice is ticking it once."""
    mark_step(desk, job_id, step, done=done == "yes")
    return _to(job_id)


@router.post("/order", dependencies=[Depends(check_form_token)])
def take_order(desk: AtDesk, job_id: UUID) -> Response:
    """Take the better order that was offered; the book keeps it."""
    order.take_order(desk.book, job_id)
    return _to(job_id)


def mark_step(desk: Desk, job_id: UUID, step: UUID, *, done: bool) -> tuple[Entry, ...]:
    """Tick a step off or take its tick back, in the order that was shown; nothing where it is so already."""
    job = load_job(desk.book, job_id)
    if any(s.id == step and s.back == done for s in job.steps):
        return ()
    order.keep_order(desk.book, job_id)
    return (tick(desk.book, job_id, step, done=done),)


def _to(job_id: UUID) -> Response:
    return RedirectResponse(f"/job/{job_id}/wayback", status_code=303)


def wayback_context(desk: Desk, job: Job, echo: Echo | None = None) -> WayBackPage:
    """Return what the way back shows."""
    back = way_back_of(job)
    rows = tuple(back_row(job, step) for step in back.steps)
    left = [row for row in rows if not row.done]
    done = [row for row in rows if row.done]
    return WayBackPage(
        head=job_head(job, "/wayback"),
        echo=echo,
        due=due_rows(back),
        freed=freed_rows(job),
        next=left[0] if left else None,
        done=len(done),
        rows=rows,
        last_done=_last_ticked(job, rows),
        better=_better(desk, job),
        unaccounted=back.unaccounted,
        fasteners_off=tuple(sorted(fastener_count(job.steps).items())),
        deference=DEFERENCE,
    )


def _better(desk: Desk, job: Job) -> str:
    """Return what a better order would begin with and save, looked for once; nothing where none was found."""
    before = desk.memory.offers.get(job.id)
    if before is None or before[0] != len(job.entries):
        before = desk.memory.offers[job.id] = (len(job.entries), _look_for_better(job))
    return before[1]


def _look_for_better(job: Job) -> str:
    offer = offer_of(job, most_states=_MOST_STATES)
    if not offer.better:
        return ""
    begins = ", ".join(step.part for step in offer.order[:3]) + (", …" if len(offer.order) > 3 else "")
    return f"{begins}: {offer}"


def _last_ticked(job: Job, rows: Sequence[BackRow]) -> BackRow | None:
    """Return the row that was ticked last, to be taken back by one key."""
    by_id = {row.id: row for row in rows}
    steps = (getattr(entry.body, "step", None) for entry in reversed(job.live) if entry.kind == "tick")
    found = (by_id[step] for step in steps if step in by_id)
    return next((row for row in found if row.done), None)


def back_row(job: Job, back: StepBack) -> BackRow:
    """Return one step of the way back in words."""
    step = back.step
    groups = tuple(_fasteners(group) for group in step.fasteners)
    photos = photo_rows(job, step=step.id)
    return BackRow(
        id=step.id,
        number=step.number,
        title=back.title[:1].upper() + back.title[1:],
        done=step.back,
        lies=step.lies,
        needs_place=step.action != "slackened",
        fasteners=groups,
        fastening=back.fastening,
        count_before=back.count_before,
        proofs=tuple(str(proof) for proof in back.proofs if proof.missing),
        held_by=step.held_by,
        tool=step.tool,
        pose=step.pose,
        note=step.note,
        state=str(back.state),
        state_differs=_differs(job.state, back.state),
        marks=back.marks,
        restore=tuple(restore_row(job, item) for item in back.restore),
        cautions=tuple(_caution(text) for text in back.cautions),
        waits_for=back.waits_for,
        photos=photos,
        more=_more(back, len(photos)),
    )


def _more(back: StepBack, photos: int) -> str:
    """Return in a few words what belongs to a step, so that a closed row says what is in it."""
    step = back.step
    words = (
        _counted(len(back.marks), "mark", "marks"),
        _counted(len(back.restore), "reading", "readings"),
        _counted(sum(bool(proof.missing) for proof in back.proofs), "to prove", "to prove"),
        _counted(photos, "photograph", "photographs"),
        "how to fasten" if back.fastening else "",
        "count before closing" if back.count_before else "",
        "caution" if back.cautions else "",
        "note" if step.note or step.held_by or step.pose or step.tool else "",
    )
    return " · ".join(word for word in words if word)


def _caution(text: str) -> tuple[str, str]:
    """Return a caution's hazard and what to mind."""
    hazard, _, advice = text.partition(": ")
    return hazard, advice


def _counted(n: int, one: str, more: str) -> str:
    return "" if n == 0 else f"1 {one}" if n == 1 else f"{n} {more}"


def _fasteners(group: FastenerGroup) -> Fasteners:
    words = (group.place, f"{group.damaged} damaged" if group.damaged else "", "lacquered" if group.lacquered else "")
    return Fasteners(count=group.count, what=group.sort, remarks=", ".join(word for word in words if word))


def _differs(now: CameraState, wanted: CameraState) -> str:
    """Return what the camera is now, where that is not what this step was made in."""
    names = now.differences(wanted)
    return ", ".join(f"{name} {getattr(now, name)}" for name in names)
