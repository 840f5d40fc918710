"""The page of one photograph: its pins, each a fastener with its length, and the step it belongs to."""

from dataclasses import dataclass, field
from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends, Form, Request
from fastapi.responses import RedirectResponse, Response

from asfound.bench.jobs import load_job
from asfound.bench.marking import add_pin, change_pin, find_pin, strike
from asfound.bench.photographs import place_photo
from asfound.job import Job
from asfound.job.bodies import Photo, Pin
from asfound.problems import BadInputError, NotFoundError, Problem, bad_input
from asfound.web.desk import AtDesk, TypedForm
from asfound.web.job_head import JobHead, job_head
from asfound.web.kept import StepChoice, step_choices
from asfound.web.moments import show_clock, show_day
from asfound.web.photographs.fields import KEPT, read_pin
from asfound.web.photographs.rows import PhotoRow, percent, photo_row
from asfound.web.render import render
from asfound.web.security import check_form_token

router = APIRouter(prefix="/job/{job_id}/photo/{photo_id}")
Checked = [Depends(check_form_token)]
FIELDS = ("x", "y", "tip_x", "tip_y", "fastener", "label", "length")


@dataclass(frozen=True, slots=True, kw_only=True)
class FastenerChoice:
    """A fastener of the job that a pin may point at, and how many of it have their pin."""

    value: str
    name: str
    here: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PinForm:
    """The form of a pin, as typed or as it stands."""

    typed: dict[str, str]
    problems: dict[str, Problem] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoPage:
    """What the page of a photograph shows."""

    head: JobHead
    photo: PhotoRow
    number: int
    original: str
    taken: str
    at_step: str
    near: tuple[StepChoice, ...]
    steps: tuple[StepChoice, ...]
    fasteners: tuple[FastenerChoice, ...]
    new: PinForm
    forms: dict[UUID, PinForm]
    before: str
    after: str


@router.get("")
def photo_page(request: Request, desk: AtDesk, job_id: UUID, photo_id: UUID) -> Response:
    """Show a photograph with its pins."""
    return _show(request, load_job(desk.book, job_id), photo_id)


@router.post("/pins", dependencies=Checked)
def set_pin(request: Request, desk: AtDesk, job_id: UUID, photo_id: UUID, form: TypedForm) -> Response:
    """Set a pin, or an arrow."""
    typed = {name: str(form.get(name, "")) for name in FIELDS}
    job = load_job(desk.book, job_id)
    try:
        entry = add_pin(desk.book, job_id, photo_id, read_pin(job, typed))
    except BadInputError as error:
        return _show(request, job, photo_id, new=_form(typed, error), status=422)
    return _to(job_id, photo_id, f"pin-{entry.id}" if form.get("plain") else "photograph")


@router.post("/pins/{pin_id}", dependencies=Checked)
def move_pin(request: Request, desk: AtDesk, job_id: UUID, photo_id: UUID, pin_id: UUID, form: TypedForm) -> Response:
    """Move a pin, or say anew what it points at."""
    typed = {name: str(form.get(name, "")) for name in FIELDS}
    job, now = load_job(desk.book, job_id), find_pin(desk.book, job_id, pin_id)
    try:
        pin = read_pin(job, typed, now.pin)
    except BadInputError as error:
        return _show(request, job, photo_id, changed=(pin_id, _form(typed, error)), status=422)
    change_pin(desk.book, job_id, pin_id, pin)
    return _to(job_id, photo_id, "photograph")


@router.post("/pins/{pin_id}/remove", dependencies=Checked)
def remove_pin(desk: AtDesk, job_id: UUID, photo_id: UUID, pin_id: UUID) -> Response:
    """Take a pin off; it is struck through, and can be restored on the job's page."""
    find_pin(desk.book, job_id, pin_id)
    strike(desk.book, job_id, pin_id, reason="taken off the photograph")
    return _to(job_id, photo_id, "photograph")


@router.post("/step", dependencies=Checked)
def place(desk: AtDesk, job_id: UUID, photo_id: UUID, step: Annotated[str, Form()] = "") -> Response:
    """Say to which step the photograph belongs."""
    try:
        chosen = UUID(step) if step else None
    except ValueError:
        raise bad_input("step", f"{step[:40]!r} is no step", "choose one from the list") from None
    place_photo(desk.book, job_id, photo_id, chosen)
    return _to(job_id, photo_id)


@router.get("/pins")
@router.get("/pins/{pin_id}")
@router.get("/pins/{pin_id}/remove")
@router.get("/step")
def moved(job_id: UUID, photo_id: UUID) -> Response:
    """Show the photograph where a form that was refused is loaded again."""
    return _to(job_id, photo_id)


def photo_context(
    job: Job, photo_id: UUID, *, new: PinForm | None = None, changed: tuple[UUID, PinForm] | None = None
) -> PhotoPage:
    """Return what the page of a photograph shows.

    Raises
    ------
    NotFoundError
        If it is not in the job.
    """
    ids = [id_ for id_, _ in job.photos]
    if photo_id not in ids:
        raise NotFoundError(Problem("photograph", "it is not in this job", "look at the job's page again"))
    at = ids.index(photo_id)
    photo = job.photos[at][1]
    fasteners = fastener_choices(job, photo)
    forms = {now.id: PinForm(typed=_typed_of(now.pin)) for now in job.pins if now.photo == photo_id}
    row = photo_row(job, photo_id, photo)
    return PhotoPage(
        head=job_head(job, "/photo"),
        photo=row,
        number=job.number(photo_id),
        original=f"/job/{job.id}/file/{photo_id}",
        taken="" if photo.taken_ms is None else f"{show_day(photo.taken_ms)}, {show_clock(photo.taken_ms)}",
        at_step=str(photo.step or ""),
        near=_near(job, photo),
        steps=step_choices(job),
        fasteners=fasteners,
        new=new or PinForm(typed={"fastener": next((one.value for one in fasteners if one.here), "")}),
        forms=forms | dict([changed] if changed else []),
        before=f"/job/{job.id}/photo/{ids[at - 1]}" if at else "",
        after=f"/job/{job.id}/photo/{ids[at + 1]}" if at + 1 < len(ids) else "",
    )


def fastener_choices(job: Job, photo: Photo) -> tuple[FastenerChoice, ...]:
    """Return the fasteners a pin may point at: those of the photograph's step that lack a pin first."""
    choices = []
    latest_first = tuple(reversed(job.steps))
    for step in sorted(latest_first, key=lambda step: step.id != photo.step):
        pinned = [now.pin.fastener for now in job.pins if now.pin.step == step.id and now.pin.fastener]
        for index, group in enumerate(step.fasteners):
            done = sum(one.thread == group.thread and one.what == group.what for one in pinned)
            left = max(0, group.count - done)
            name = f"{group.sort}, step {step.number} {step.part} ({left} of {group.count} without a pin)"
            choices.append(
                FastenerChoice(value=f"{step.id}/{index}", name=name, here=step.id == photo.step and left > 0)
            )
    return tuple(choices)


def _near(job: Job, photo: Photo) -> tuple[StepChoice, ...]:
    """Return the steps just before and after the photograph's own: most likely it belongs to one of these."""
    steps = job.steps
    at = next((n for n, step in enumerate(steps) if step.id == photo.step), None)
    wanted = steps[:2] if at is None else [*steps[max(0, at - 1) : at], *steps[at + 1 : at + 2]]
    return tuple(StepChoice(str(step.id), f"{step.number}: {step.part}") for step in wanted)


def _typed_of(pin: Pin) -> dict[str, str]:
    """Return the form of a pin as it stands."""
    where = {name: percent(getattr(pin, name)) for name in ("x", "y", "tip_x", "tip_y")}
    length = pin.fastener.length_mm if pin.fastener is not None else None
    return where | {
        "fastener": KEPT if pin.fastener is not None else "",
        "label": pin.label,
        "length": "" if length is None else f"{length:g}",
    }


def _form(typed: dict[str, str], error: BadInputError) -> PinForm:
    return PinForm(typed=typed, problems={problem.where: problem for problem in error.problems})


def _show(
    request: Request,
    job: Job,
    photo_id: UUID,
    *,
    new: PinForm | None = None,
    changed: tuple[UUID, PinForm] | None = None,
    status: int = 200,
) -> Response:
    page = photo_context(job, photo_id, new=new, changed=changed)
    return render(request, "photo.html", page, title=f"{job.ticket}, {page.photo.caption}", status=status)


def _to(job_id: UUID, photo_id: UUID, place: str = "") -> Response:
    return RedirectResponse(f"/job/{job_id}/photo/{photo_id}{'#' + place if place else ''}", status_code=303)
