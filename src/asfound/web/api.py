"""The JSON routes of jobs, lines and ticks: the same bench functions as the pages."""

from uuid import UUID

from fastapi import APIRouter, Depends, Request

from asfound.bench.elsewhere import coming, elsewhere
from asfound.bench.jobs import load_job
from asfound.bench.line import preview_line, write_line
from asfound.bench.marking import tick, undo
from asfound.book import JobLine
from asfound.job import Job, way_back_of
from asfound.report import open_items
from asfound.web.api_models import (
    ERRORS,
    ComingOut,
    EntryOut,
    HitOut,
    JobLineOut,
    JobOut,
    LineIn,
    PartOut,
    StepBackOut,
    TickIn,
    TokenOut,
    UnderstoodOut,
    WayBackOut,
    WrittenOut,
    problems_out,
)
from asfound.web.desk import AtDesk
from asfound.web.sayings import say
from asfound.web.security import check_header_token, token_of

router = APIRouter(prefix="/api", tags=["bench"], responses=ERRORS)
Checked = [Depends(check_header_token)]


@router.get("/token")
def token(request: Request) -> TokenOut:
    """Return the token for writing requests of this session."""
    return TokenOut(token=token_of(request))


@router.get("/jobs")
def jobs(desk: AtDesk, open_only: bool = False) -> list[JobLineOut]:
    """Return the list of jobs, last touched first."""
    return [_line_out(line) for line in desk.book.jobs(handed_over=False if open_only else None)]


@router.get("/search")
def search(desk: AtDesk, q: str) -> list[HitOut]:
    """Return the entries that have these words."""
    return [HitOut(entry=h.entry, job=h.job, kind=h.kind, text=h.text) for h in desk.book.search(q)]


@router.get("/jobs/{job_id}")
def job(desk: AtDesk, job_id: UUID) -> JobOut:
    """Return one job as it stands."""
    return _job_out(load_job(desk.book, job_id))


@router.get("/jobs/{job_id}/coming")
def coming_next(desk: AtDesk, job_id: UUID) -> ComingOut:
    """Return which parts came off next on the other cameras of the model."""
    found = load_job(desk.book, job_id)
    notes = elsewhere(desk.book, found)
    parts = tuple(part.part for part in coming(desk.book, found)[:4])
    return ComingOut(cameras=0 if notes is None else notes.cameras, parts=parts)


@router.get("/jobs/{job_id}/line")
def preview(desk: AtDesk, job_id: UUID, text: str = "") -> UnderstoodOut:
    """Return how a line would be understood now; nothing is written."""
    understood = preview_line(load_job(desk.book, job_id), text, book=desk.book)
    return UnderstoodOut(
        echo=understood.echo,
        as_note=understood.as_note,
        problems=problems_out(understood.problems),
        hints=understood.hints,
    )


@router.post("/jobs/{job_id}/line", dependencies=Checked)
def write(desk: AtDesk, job_id: UUID, line: LineIn) -> WrittenOut:
    """Write a line down."""
    written = write_line(desk.book, job_id, line.text, as_note=line.as_note)
    return WrittenOut(entries=tuple(e.id for e in written.entries), echo=written.understood.echo)


@router.post("/jobs/{job_id}/undo", dependencies=Checked)
def undo_last(desk: AtDesk, job_id: UUID) -> WrittenOut:
    """Strike the latest entry that counts."""
    entry = undo(desk.book, job_id)
    return WrittenOut(entries=() if entry is None else (entry.id,), echo="" if entry is None else "struck through")


@router.get("/jobs/{job_id}/wayback")
def wayback(desk: AtDesk, job_id: UUID) -> WayBackOut:
    """Return the way back in the order reckoned now."""
    back = way_back_of(load_job(desk.book, job_id))
    steps = tuple(
        StepBackOut(
            step=s.step.id,
            number=s.step.number,
            title=s.title,
            done=s.step.back,
            lies=s.step.lies,
            fasteners=tuple(str(group) for group in s.step.fasteners),
            state=str(s.state),
            marks=s.marks,
            cautions=s.cautions,
            waits_for=s.waits_for,
        )
        for s in back.steps
    )
    return WayBackOut(steps=steps, unaccounted=back.unaccounted)


@router.post("/jobs/{job_id}/tick", dependencies=Checked)
def tick_step(desk: AtDesk, job_id: UUID, ticked: TickIn) -> WrittenOut:
    """Tick a step off, or take the tick back."""
    entry = tick(desk.book, job_id, ticked.step, done=ticked.done)
    return WrittenOut(entries=(entry.id,), echo=say(entry, load_job(desk.book, job_id)).text)


def _line_out(line: JobLine) -> JobLineOut:
    counts = {name: int(str(line.summary.get(name, 0))) for name in ("off", "open_faults", "to_restore", "stale")}
    return JobLineOut(
        id=line.id,
        ticket=line.ticket,
        camera=line.camera,
        complaint=line.complaint,
        waits_for=line.waits_for,
        handed_over=line.handed_over,
        **counts,
    )


def _job_out(job: Job) -> JobOut:
    return JobOut(
        id=job.id,
        ticket=job.ticket,
        camera=job.camera,
        complaint=job.complaint,
        state=str(job.state),
        parts=tuple(
            PartOut(name=p.name, whereabouts=p.whereabouts, lies=p.lies, condition=p.condition)
            for p in job.parts.values()
        ),
        open_faults=tuple(fault.name for fault in job.faults if fault.open),
        open_items=open_items(job),
        entries=_entries_out(job),
    )


def _entries_out(job: Job) -> tuple[EntryOut, ...]:
    said = ((number, entry, say(entry, job)) for number, entry in enumerate(job.entries, start=1))
    return tuple(
        EntryOut(
            id=entry.id,
            number=number,
            wall_ms=entry.clock.wall_ms,
            kind=entry.kind,
            text=saying.text,
            details=saying.details,
            struck=entry.id in job.struck,
        )
        for number, entry, saying in said
    )
