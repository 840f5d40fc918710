"""The shutter of a job: its recordings, each firing with its trace, the dial in stops."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from asfound.bench.jobs import load_job
from asfound.bench.live import Walked, spools_of
from asfound.bench.measured import How, without_options
from asfound.bench.pool import Task
from asfound.bench.said import numbers_of
from asfound.capture import Recording
from asfound.job import Job, Kept
from asfound.job.bodies import FiringsSet, ShutterTable, SpeedRow
from asfound.job.bodies import Recording as RecordingEntry
from asfound.plots import DialSeries, Width, dial_picture, dial_series, page_svg
from asfound.problems import Problem
from asfound.quantity import counted, show_number, show_time
from asfound.shutter import read_marked
from asfound.web.desk import AtDesk, Desk
from asfound.web.job_head import JobHead, job_head
from asfound.web.kept import why_stale
from asfound.web.moments import show_clock, show_day
from asfound.web.render import render
from asfound.web.room import TaskLink
from asfound.web.room_form import Field, RoomForm, show_form, typed_into
from asfound.web.settings import show_bytes
from asfound.web.shutter.dial import dial_fields, marks_of, typed_of_set
from asfound.web.shutter.firing_rows import FiringRow, firing_row, show_stops, split_time
from asfound.web.shutter.how import FIELDS, typed_of
from asfound.web.shutter.measuring import gather, recording_of, start_measuring, task_of, walked_of
from asfound.web.shutter.tasks import task_tabs
from asfound.web.shutter.traces import trace_pictures
from asfound.web.stage_field import STAGES

router = APIRouter(prefix="/job/{job_id}/shutter")


@dataclass(frozen=True, slots=True)
class DialTyped:
    """The form of the dial as it was sent, with what is wrong with it."""

    typed: Mapping[str, str]
    struck: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordingRow:
    """One recording of the job."""

    id: UUID
    name: str
    stage: str
    when: str
    chosen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeedCells:
    """One marked speed of a stored table, as printed."""

    marked: str
    time: str
    fraction: str
    error: str
    plus_minus: str
    shots: str
    verdict: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TableSheet:
    """One stored shutter table."""

    stage: str
    when: str
    tolerance: str
    stale: str
    note: str
    rows: tuple[SpeedCells, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShutterPage:
    """What the shutter page shows."""

    head: JobHead
    tabs: tuple[TaskLink, ...]
    recordings: tuple[RecordingRow, ...]
    chosen: RecordingRow | None
    about: str
    task: Task | None
    firings: tuple[FiringRow, ...]
    firing: int
    trace_wide: str
    trace_narrow: str
    frames: str
    how_form: RoomForm
    dial_form: RoomForm
    struck: frozenset[int]
    dial_stage: str
    dial_wide: str
    dial_narrow: str
    tables: tuple[TableSheet, ...]
    stages: tuple[str, ...]
    stage: str
    problems: tuple[Problem, ...]
    limit: int
    limit_said: str
    left_live: int


@router.get("")
def shutter_page(
    request: Request, desk: AtDesk, job_id: UUID, recording: UUID | None = None, firing: int = 1
) -> Response:
    """Show the shutter of a job."""
    job = load_job(desk.book, job_id)
    if recording is not None:
        _look_into(desk, job, recording)
    return show_shutter(request, desk, job, recording, firing)


def _look_into(desk: Desk, job: Job, recording: UUID) -> None:
    """Start measuring a recording that is asked for by name, unless it was tried already."""
    chosen = recording_of(job, recording)
    if chosen is not None and gather(desk, *chosen) is None and task_of(desk, recording, chosen[2]) is None:
        start_measuring(desk, *chosen)


def show_shutter(
    request: Request,
    desk: Desk,
    job: Job,
    recording: UUID | None = None,
    firing: int = 1,
    *,
    dial: DialTyped | None = None,
    how: Mapping[str, str] | None = None,
    how_problems: tuple[Problem, ...] = (),
    problems: tuple[Problem, ...] = (),
    status: int = 200,
) -> Response:
    """Return the shutter page, with what was typed and what was wrong with it."""
    page = shutter_context(
        desk, job, recording, firing, dial=dial, how=how, how_problems=how_problems, problems=problems
    )
    return render(request, "shutter.html", page, title=f"Shutter of {job.ticket}", status=status)


def shutter_context(
    desk: Desk,
    job: Job,
    recording: UUID | None,
    firing: int,
    *,
    dial: DialTyped | None = None,
    how: Mapping[str, str] | None = None,
    how_problems: tuple[Problem, ...] = (),
    problems: tuple[Problem, ...] = (),
) -> ShutterPage:
    """Return what the shutter page shows."""
    chosen = recording_of(job, recording) if recording is not None else None
    rows = tuple(
        _recording_row(job, id_, body, chosen[0] if chosen else None) for id_, body in reversed(job.recordings)
    )
    measured = gather(desk, *chosen) if chosen else None
    task = task_of(desk, chosen[0], chosen[2]) if chosen else None
    if task is not None and task.state in ("waiting", "running", "failed"):
        measured = None
    made = chosen[2] if chosen else How()
    walked = walked_of(desk, chosen[1], measured) if chosen else None
    fields = dial_fields(job, len(measured.firings) if measured else 0, walked)
    set_so = job.firings_set.get(chosen[0]) if chosen and measured else None
    asked = dial or _dial_typed(fields, measured, walked, set_so)
    firing = min(max(firing, 1), len(measured.firings)) if measured else 1
    path = desk.book.attachment_path(chosen[1].attachment.sha256) if chosen and measured else None
    wide, narrow = trace_pictures(path, measured, firing) if path and measured else ("", "")
    series = dial_series(job)
    return ShutterPage(
        head=job_head(job, "/shutter"),
        tabs=task_tabs(job, ""),
        recordings=rows,
        chosen=next((row for row in rows if row.chosen), None),
        about=" ".join((*_about(measured, made), *_gone(measured, set_so))) if measured else "",
        task=task if not measured else None,
        firings=_firing_rows(job, measured) if measured else (),
        firing=firing,
        trace_wide=wide,
        trace_narrow=narrow,
        frames=f"/job/{job.id}/shutter/frames/{recording}/{firing}" if measured and measured.kind == "video" else "",
        how_form=show_form(FIELDS, typed_of(made) if how is None else how, how_problems),
        dial_form=show_form(fields, asked.typed, asked.problems),
        struck=frozenset(int(number) for number in asked.struck if number.isdecimal() and len(number) < 7),
        dial_stage=asked.typed.get("stage", chosen[1].stage if chosen else _next_stage(job)),
        dial_wide=dial_svg(series, "wide") if series else "",
        dial_narrow=dial_svg(series, "narrow") if series else "",
        tables=tuple(_sheet(job, kept) for kept in reversed(job.tables)),
        stages=STAGES,
        stage=_next_stage(job),
        problems=problems,
        limit=desk.settings.recording_bytes,
        limit_said=show_bytes(desk.settings.recording_bytes),
        left_live=len(spools_of(desk.book, job.id)),
    )


@lru_cache(maxsize=64)
def dial_svg(series: tuple[DialSeries, ...], width: Width) -> str:
    """Return the dial as SVG for the page; drawing takes longer than all the rest, so it is done once."""
    return page_svg(dial_picture(series, width=width))


def _recording_row(job: Job, id_: UUID, body: RecordingEntry, chosen: UUID | None) -> RecordingRow:
    at = next(entry.clock for entry in job.entries if entry.id == id_)
    when = f"{show_day(at)}, {show_clock(at)}"
    name = body.caption or body.attachment.name
    return RecordingRow(id=id_, name=name, stage=body.stage, when=when, chosen=id_ == chosen)


def _dial_typed(
    fields: tuple[Field, ...], measured: Recording | None, walked: Walked | None, set_so: FiringsSet | None
) -> DialTyped:
    """Return the form of the dial as it was last filled in, else with what is usual, or was told while firing."""
    if measured is None or set_so is None:
        return DialTyped(typed_into(fields, {}), tuple(map(str, walked.struck)) if walked else ())
    struck = numbers_of(measured.firings, set_so.struck_s)
    return DialTyped(typed_into(fields, typed_of_set(set_so, measured.firings)), tuple(map(str, struck)))


def _gone(measured: Recording, set_so: FiringsSet | None) -> tuple[str, ...]:
    """Tell of firings that were struck or left out, and are not found any more as it is measured now."""
    said = () if set_so is None else (*set_so.struck_s, *set_so.left_out_s)
    gone = len(said) - len(numbers_of(measured.firings, said))
    if not gone:
        return ()
    return (f"{gone} of the firings that were struck or left out {'is' if gone == 1 else 'are'} not among them.",)


def _about(measured: Recording, how: How) -> tuple[str, ...]:
    frames = measured.kind == "video"
    rate = f"{measured.sample_rate_hz:.4g} frames a second" if frames else f"{measured.sample_rate_hz / 1000:g} kHz"
    count = len(measured.firings)
    found = f"{counted(count, 'firing')} in {measured.duration_s:.1f} s, {rate}."
    said = () if how.aperture is None else (how.sentence(),)
    return (found, *said, *(without_options(note) for note in measured.notes))


def _firing_rows(job: Job, measured: Recording) -> tuple[FiringRow, ...]:
    marked, _ = read_marked(marks_of(job))
    return tuple(firing_row(number, firing, marked) for number, firing in enumerate(measured.firings, start=1))


def _next_stage(job: Job) -> str:
    """Return the stage of the next recording: as found until anything was measured, as left once all is back."""
    if not job.recordings and not job.tables:
        return "as found"
    return "as left" if all(step.back for step in job.steps) else "working"


def _sheet(job: Job, kept: Kept[ShutterTable]) -> TableSheet:
    body = kept.body
    stale = why_stale(job, kept.stale_by) if body.stage != "as found" else ""
    width = show_number(body.rows[0].tolerance_stops, significant=2) if body.rows else ""
    return TableSheet(
        stage=body.stage,
        when=show_day(kept.made_at),
        tolerance=f"± {width} stop, {body.tolerance_source}" if width else body.tolerance_source,
        stale=stale,
        note=body.note,
        rows=tuple(_cells(row) for row in body.rows),
    )


def _cells(row: SpeedRow) -> SpeedCells:
    time, fraction = split_time(show_time(row.mean_s))
    return SpeedCells(
        marked=row.marked,
        time=time,
        fraction=fraction,
        error=show_stops(row.error_stops).replace(" stop ", " "),
        plus_minus="" if row.u_error_stops is None else f"± {show_number(row.u_error_stops, significant=1)}",
        shots=str(len(row.times_s)),
        verdict=row.verdict,
    )
