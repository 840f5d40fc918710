"""Measuring a recording in the pool: started, looked at, and what it found, between requests."""

from uuid import UUID

from asfound.bench.live import Walked, told_of, walked_by
from asfound.bench.measured import How, found_in, how_of, kept_at
from asfound.bench.pool import Task
from asfound.bench.recordings import measure
from asfound.capture import Recording
from asfound.job import Job
from asfound.job.bodies import Recording as RecordingEntry
from asfound.problems import ConflictError, NotFoundError, Problem
from asfound.web.desk import Desk


def recording_of(job: Job, wanted: UUID | None) -> tuple[UUID, RecordingEntry] | None:
    """Return the recording asked for, else the latest; None where the job has none."""
    if wanted is None:
        return job.recordings[-1] if job.recordings else None
    found = next(((id_, body) for id_, body in job.recordings if id_ == wanted), None)
    if found is None:
        raise NotFoundError(Problem("recording", "it is not in this job", "choose one from the shutter page"))
    return found


def start_measuring(desk: Desk, recording: UUID, body: RecordingEntry, how: How | None = None) -> str:
    """Let the pool measure a recording, unless it is doing so; return the task's identifier.

    How it was recorded is as last said, where `how` does not say it anew.
    """
    running = task_of(desk, recording)
    if running is not None and running.state in ("waiting", "running"):
        return running.id
    kept = body.attachment
    task = desk.pool.submit(
        measure,
        desk.book.attachment_path(kept.sha256),
        name=kept.name,
        how=how or how_of(desk.book, kept.sha256),
        keep_in=kept_at(desk.book, kept.sha256),
    )
    desk.memory.tasks[recording] = task
    return task


def task_of(desk: Desk, recording: UUID) -> Task | None:
    """Return the measuring task of a recording as it stands, if there is one."""
    known = desk.memory.tasks.get(recording)
    if known is None:
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
        desk.pool.stop(known)


def measured_of(desk: Desk, body: RecordingEntry) -> Recording | None:
    """Return what was found in a recording, now or before the bench book was started; None while it is not measured."""
    sha256 = body.attachment.sha256
    if sha256 not in desk.memory.measured:
        before = found_in(desk.book, sha256)
        if before is None:
            return None
        desk.memory.keep_measured(sha256, before)
    found = desk.memory.measured[sha256]
    assert isinstance(found, Recording)
    return found


def gather(desk: Desk, recording: UUID, body: RecordingEntry) -> Recording | None:
    """Take what a finished task found into memory; None where there is nothing yet."""
    task = task_of(desk, recording)
    if task is not None and task.state == "done":
        desk.memory.keep_measured(body.attachment.sha256, task.result)
        desk.memory.tasks.pop(recording, None)
    return measured_of(desk, body)


def walked_of(desk: Desk, body: RecordingEntry, measured: Recording | None) -> Walked | None:
    """Return what was walked while a recording was fired live; None for any other, or while it is not measured."""
    told = told_of(desk.book, body.attachment.sha256) if measured is not None else None
    return walked_by(measured.firings, told) if measured is not None and told is not None else None


def must_be_measured(desk: Desk, recording: UUID, body: RecordingEntry) -> Recording:
    """Return what was found in a recording.

    Raises
    ------
    ConflictError
        If it is not measured yet.
    """
    found = gather(desk, recording, body)
    if found is None:
        raise ConflictError(Problem("recording", "it is not measured yet", "measure it first"))
    return found
