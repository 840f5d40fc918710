"""Recordings of firings: kept, measured, and the dial written down."""

from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO
from uuid import UUID

from asfound.bench.jobs import load_job
from asfound.book import Book
from asfound.capture import Recording as Measured
from asfound.capture import inspect_sound, read_recording
from asfound.job import Entry
from asfound.job.bodies import Recording, ShutterTable, SpeedRow, Stage
from asfound.problems import BadInputError, NotFoundError, Problem
from asfound.shutter import Dial, DialRow, Firing, read_dial, read_marked

MEDIA_TYPES = {".wav": "audio/wav", ".flac": "audio/flac"}


def keep_recording(book: Book, job_id: UUID, stream: BinaryIO, name: str, *, stage: Stage, caption: str = "") -> Entry:
    """Keep a recording in the job, once it is sure that it is one.

    Raises
    ------
    BadInputError
        If it is no sound file; the book stays as it was.
    """
    load_job(book, job_id)
    media_type = MEDIA_TYPES.get(Path(name).suffix.lower(), "application/octet-stream")
    attached = book.attach(stream, name=name, media_type=media_type)
    try:
        inspect_sound(book.attachment_path(attached.sha256))
    except BadInputError as error:
        raise BadInputError(*(Problem(name, p.what, p.remedy) for p in error.problems)) from None
    body = Recording(attachment=attached, sort="light", stage=stage, caption=caption)
    return book.write(job_id, [body])[0]


def recording_of(book: Book, job_id: UUID, entry_id: UUID) -> tuple[Recording, Path]:
    """Return a recording of a job and its file.

    Raises
    ------
    NotFoundError
    """
    found = next((body for id_, body in load_job(book, job_id).recordings if id_ == entry_id), None)
    if found is None:
        problem = Problem("recording", "there is no such recording in this job", "look at the shutter page again")
        raise NotFoundError(problem)
    return found, book.attachment_path(found.attachment.sha256)


def measure(path: Path, *, progress: Callable[[float], None], cancelled: Callable[[], bool]) -> Measured:
    """Find and time the firings of a recording; made to run in the pool."""
    return read_recording(path, progress=progress, cancelled=cancelled)


def dial_of(firings: tuple[Firing, ...], *, marked: str, shots: int, tolerance_stops: float) -> Dial:
    """Set firings, in the order shot, against the marked speeds.

    Raises
    ------
    BadInputError
        If a mark cannot be read, or the firings are not `shots` to each mark.
    """
    speeds, problems = read_marked(marked, where="marked speeds")
    if problems:
        raise BadInputError(*problems)
    dial, problems = read_dial(firings, speeds, shots=shots, tolerance_stops=tolerance_stops)
    if problems:
        raise BadInputError(*problems)
    return dial


def write_dial(book: Book, job_id: UUID, dial: Dial, *, recording: UUID | None, stage: Stage) -> Entry:
    """Write a dial into the job as its shutter table."""
    table = ShutterTable(
        stage=stage,
        rows=tuple(_speed_row(row, dial) for row in dial.rows if row.mean_s is not None),
        recording=recording,
        tolerance_source=dial.tolerance_source,
        note=" ".join(dial.remarks()),
    )
    return book.write(job_id, [table])[0]


def _speed_row(row: DialRow, dial: Dial) -> SpeedRow:
    assert row.mean_s is not None
    assert row.error_stops is not None
    return SpeedRow(
        marked=row.marked,
        reference_s=row.nominal_s,
        times_s=row.shots_s,
        mean_s=row.mean_s,
        error_stops=row.error_stops,
        u_error_stops=row.u_error_stops,
        tolerance_stops=row.tolerance_stops,
        verdict=row.verdict,
    )
