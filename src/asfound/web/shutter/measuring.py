"""Measuring a recording in the pool: started, looked at, and what it found, between requests."""

import contextlib
from uuid import UUID

from asfound.bench.live import Walked, told_of, walked_by
from asfound.bench.measured import How, found_in, kept_at
from asfound.bench.pool import Task
from asfound.bench.recordings import measure
from asfound.bench.said import how_of
from asfound.capture import Recording
from asfound.job import Job
from asfound.job.bodies import Recording as RecordingEntry
from asfound.problems import ConflictError, NotFoundError, Problem
from asfound.web.desk import Desk

Chosen = tuple[UUID, RecordingEntry, How]


def recording_of(job: Job, wanted: UUID | None) -> Chosen | None:
    """Return the recording asked for, else the latest, with how it was made; None where the job has none."""
    if wanted is None and job.recordings:
        wanted = job.recordings[-1][0]
    if wanted is None:
        return None
    found = next((body for id_, body in job.recordings if id_ == wanted), None)
    if found is None:
        raise NotFoundError(Problem("recording", "it is not in this job", "choose one from the shutter page"))
    return wanted, found, how_of(job, wanted)


def start_measuring(desk: Desk, recording: UUID, body: RecordingEntry, how: How) -> str:
    """Let the pool measure a recording, unless it is doing so; return the task's identifier.

    What is being measured as it was said before is stopped.
    """
    running = task_of(desk, recording, how)
    if running is not None and running.state in ("waiting", "running"):
        return running.id
    stop_measuring(desk, recording)
    kept = body.attachment
    task = desk.pool.submit(
        measure,
        desk.book.attachment_path(kept.sha256),
        name=kept.name,
        how=how,
        keep_in=kept_at(desk.book, kept.sha256, how),
    )
    desk.memory.tasks[recording], desk.memory.asked[recording] = task, how
    return task


def task_of(desk: Desk, recording: UUID, how: How) -> Task | None:
    """Return the task that measures a recording made so, as it stands, if there is one."""
    known = desk.memory.tasks.get(recording)
    if known is None or desk.memory.asked.get(recording) != how:
        return None
    try:
        return desk.pool.look(known)
    except NotFoundError:
        desk.memory.tasks.pop(recording, None)
        return None


def stop_measuring(desk: Desk, recording: UUID) -> None:
    """Stop the measuring of a recording; nothing of it is kept."""
    known = desk.memory.tasks.get(recording)
    if known is not None:
        with contextlib.suppress(NotFoundError):
            desk.pool.stop(known)


def measured_of(desk: Desk, body: RecordingEntry, how: How) -> Recording | None:
    """Return what was found in a recording made so, now or before this server began; None while it is not measured."""
    sha256 = body.attachment.sha256
    if (sha256, how) not in desk.memory.measured:
        before = found_in(desk.book, sha256, how)
        if before is None:
            return None
        desk.memory.keep_measured(sha256, how, before)
    return desk.memory.measured[sha256, how]


def gather(desk: Desk, recording: UUID, body: RecordingEntry, how: How) -> Recording | None:
    """Take what a finished task found into memory; None where there is nothing yet."""
    task = task_of(desk, recording, how)
    if task is not None and task.state == "done":
        desk.memory.keep_measured(body.attachment.sha256, how, task.result)
        desk.memory.tasks.pop(recording, None)
    return measured_of(desk, body, how)


def walked_of(desk: Desk, body: RecordingEntry, measured: Recording | None) -> Walked | None:
    """Return what was walked while a recording was fired live; None for any other, or while it is not measured."""
    told = told_of(desk.book, body.attachment.sha256) if measured is not None else None
    return walked_by(measured.firings, told) if measured is not None and told is not None else None


def must_be_measured(desk: Desk, recording: UUID, body: RecordingEntry, how: How) -> Recording:
    """Return what was found in a recording.

    Raises
    ------
    ConflictError
        If it is not measured yet.
    """
    found = gather(desk, recording, body, how)
    if found is None:
        raise ConflictError(Problem("recording", "it is not measured yet", "measure it first"))
    return found
