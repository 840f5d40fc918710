"""What one tap does on the way back beside a tick: a check put off, an assumed freeing loosened, an undo."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends, Form
from fastapi.responses import RedirectResponse, Response

from asfound.bench import order
from asfound.bench.marking import undo
from asfound.job import Entry, Job
from asfound.teardown import Step, WayBack
from asfound.teardown.freeing import just_before
from asfound.web.desk import AtDesk
from asfound.web.security import check_form_token

router = APIRouter()


@dataclass(frozen=True, slots=True, kw_only=True)
class DueRow:
    """A check whose place has come: what, and what its being left to the end would cost."""

    what: str
    told: str


@dataclass(frozen=True, slots=True)
class FreedChip:
    """A step by which another was freed, as one can loosen it."""

    id: UUID
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FreedRow:
    """What freed a step: said, or assumed and to be loosened by a tap each."""

    id: UUID
    words: str
    said: str
    assumed: tuple[FreedChip, ...]


def due_rows(back: WayBack) -> tuple[DueRow, ...]:
    """Return the checks that are due: their step is done, and they are neither made nor put off."""
    proofs = (proof for step in back.steps for proof in step.proofs)
    due = (proof for proof in proofs if proof.overdue and not proof.put_off)
    return tuple(DueRow(what=proof.what, told=str(proof).partition(": ")[2]) for proof in due)


def freed_rows(job: Job) -> tuple[FreedRow, ...]:
    """Return what freed each step that is still off, the one freed last first; nothing where all was free."""
    named = {step.id: f"{step.number} {step.part}" for step in job.steps}
    just = just_before(job.steps)
    rows = (_freed_row(step, named, just[step.id]) for step in reversed(job.steps) if not step.back)
    return tuple(row for row in rows if row.assumed or row.said)


def _freed_row(step: Step, named: dict[UUID, str], just: Iterable[UUID]) -> FreedRow:
    chips = tuple(FreedChip(id_, named[id_]) for id_ in just)
    said = "" if step.assumed else " and ".join(chip.words for chip in chips) or "nothing"
    return FreedRow(id=step.id, words=named[step.id], said=said, assumed=chips if step.assumed else ())


@router.get("/later")
@router.get("/loosen")
@router.get("/free")
@router.get("/undo")
def moved(job_id: UUID) -> Response:
    """Show the way back where a form that was refused is loaded again."""
    return _to(job_id)


@router.post("/later", dependencies=[Depends(check_form_token)])
def put_off(desk: AtDesk, job_id: UUID, what: Annotated[str, Form()]) -> Response:
    """Leave a check for later."""
    order.keep_order(desk.book, job_id)
    return _wrote(job_id, order.put_off(desk.book, job_id, what))


@router.post("/loosen", dependencies=[Depends(check_form_token)])
def loosen(desk: AtDesk, job_id: UUID, step: Annotated[UUID, Form()], freed_by: Annotated[UUID, Form()]) -> Response:
    """Say that one step did not free another."""
    return _wrote(job_id, order.loosen(desk.book, job_id, step, freed_by))


@router.post("/free", dependencies=[Depends(check_form_token)])
def free_from_the_start(desk: AtDesk, job_id: UUID, step: Annotated[UUID, Form()]) -> Response:
    """Say that nothing had to come off before a step."""
    return _wrote(job_id, order.say_freed(desk.book, job_id, step, []))


@router.post("/undo", dependencies=[Depends(check_form_token)])
def undo_last(desk: AtDesk, job_id: UUID) -> Response:
    """Strike the latest entry that counts."""
    struck = undo(desk.book, job_id)
    return _to(job_id, f"?struck={struck.id}" if struck else "")


def _wrote(job_id: UUID, entry: Entry) -> Response:
    return _to(job_id, f"?wrote={entry.id}")


def _to(job_id: UUID, query: str = "") -> Response:
    return RedirectResponse(f"/job/{job_id}/wayback{query}", status_code=303)
