"""The page of live firing: what is settled before it, and the sessions that were left."""

from dataclasses import dataclass
from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends, Form, Request
from fastapi.responses import RedirectResponse, Response

from asfound.bench.jobs import load_job
from asfound.bench.live import Left, throw_away
from asfound.job import Job
from asfound.plots.how_live import sensor_behind
from asfound.problems import AsfoundError, Problem
from asfound.quantity import counted
from asfound.web.desk import AtDesk, Desk
from asfound.web.errors import status_of
from asfound.web.job_head import JobHead, job_head
from asfound.web.live.setup import live_fields
from asfound.web.live.socket import keep_session
from asfound.web.moments import show_clock, show_day
from asfound.web.render import render
from asfound.web.room import How, TaskLink, both, next_stage, told
from asfound.web.room_form import RoomForm, show_form, typed_into
from asfound.web.security import check_form_token
from asfound.web.shutter.tasks import task_tabs
from asfound.web.stage_field import STAGES

PATH = "live"
router = APIRouter(prefix=f"/job/{{job_id}}/shutter/{PATH}")
Checked = [Depends(check_form_token)]


@dataclass(frozen=True, slots=True)
class LeftRow:
    """A session that was not ended, as shown."""

    session: str
    begun: str
    lasted: str
    shots: str
    rate: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LivePage:
    """What the page of live firing shows."""

    head: JobHead
    tabs: tuple[TaskLink, ...]
    form: RoomForm
    stages: tuple[str, ...]
    stage: str
    left: tuple[LeftRow, ...]
    how: How
    problems: tuple[Problem, ...]


@router.get("")
def live_page(request: Request, desk: AtDesk, job_id: UUID) -> Response:
    """Show the page of live firing."""
    return _show(request, desk, load_job(desk.book, job_id))


@router.get("/keep")
@router.get("/discard")
def moved(job_id: UUID) -> Response:
    """Show the page where a form that was refused is loaded again."""
    return RedirectResponse(f"/job/{job_id}/shutter/{PATH}", status_code=303)


@router.post("/keep", dependencies=Checked)
def keep(request: Request, desk: AtDesk, job_id: UUID, session: Annotated[str, Form()] = "") -> Response:
    """Seal a session that was left."""
    try:
        return RedirectResponse(keep_session(desk, job_id, session), status_code=303)
    except AsfoundError as error:
        job = load_job(desk.book, job_id)
        return _show(request, desk, job, problems=error.problems, status=status_of(error))


@router.post("/discard", dependencies=Checked)
def discard(desk: AtDesk, job_id: UUID, session: Annotated[str, Form()] = "") -> Response:
    """Throw a session away that was left."""
    throw_away(desk.memory.live, desk.book, load_job(desk.book, job_id).id, session)
    return RedirectResponse(f"/job/{job_id}/shutter/{PATH}", status_code=303)


def _show(request: Request, desk: Desk, job: Job, *, problems: tuple[Problem, ...] = (), status: int = 200) -> Response:
    page = live_context(job, desk.memory.live.left(desk.book, job.id), problems)
    return render(request, "live.html", page, title=f"Fire live, {job.ticket}", status=status)


def live_context(job: Job, left: tuple[Left, ...], problems: tuple[Problem, ...] = ()) -> LivePage:
    """Return what the page of live firing shows."""
    fields = live_fields(job)
    return LivePage(
        head=job_head(job, "/shutter"),
        tabs=task_tabs(job, PATH),
        form=show_form(fields, typed_into(fields, {})),
        stages=STAGES,
        stage=next_stage(job),
        left=tuple(_row(one) for one in left),
        how=told(how),
        problems=problems,
    )


def how() -> How:
    """Say where lamp, camera and sensor stand, and how it is fired."""
    return How(
        title="Where lamp and sensor stand",
        pictures=both(sensor_behind),
        steps=(
            "Camera on a stand that does not give, back open, bellows out, the aperture said above.",
            "Lamp before the lens, on direct current: a lamp on the mains flickers a hundred times a second or more.",
            "White paper close before the lens makes the light even, so that the sensor sees the whole opening.",
            "Sensor on the lens's axis, where the film lies, facing the lens; a dark cloth over back and sensor.",
            "Shutter held open at T or B: the level stays short of full. Closed, it falls to nearly nothing.",
            "Cable release, never a hand on the camera; wind and cock alike each time; three firings at each speed.",
            "With a microphone instead: on a pad against the body, always the same place, and nobody speaks.",
        ),
        cautions=(
            "a hot lamp sets paper, cloth and bellows alight: use a cold one, on a battery or a low-voltage supply, "
            "and open nothing that hangs on the mains; local rules and licensed practice come first",
        ),
    )


def _row(one: Left) -> LeftRow:
    minutes, seconds = divmod(round(one.lasted_s), 60)
    return LeftRow(
        session=one.plan.session,
        begun=f"{show_day(one.plan.started_ms)}, {show_clock(one.plan.started_ms)}",
        lasted=f"{minutes} min {seconds} s" if minutes else f"{seconds} s",
        shots=counted(one.shots, "firing"),
        rate=round(one.plan.sample_rate_hz),
    )
