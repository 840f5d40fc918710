"""Recordings of firings: kept, measured once, and what was found in them kept beside the book."""

import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO, Literal
from uuid import UUID

from asfound.bench.jobs import load_job
from asfound.bench.measured import How, keep_found, page_words
from asfound.book import Book
from asfound.capture import Recording as Measured
from asfound.capture import inspect_sound, read_recording
from asfound.capture.recording import VIDEO_SUFFIXES, Kind
from asfound.capture.video import has_pictures
from asfound.job import Entry
from asfound.job.bodies import Recording, ShutterTable, SpeedRow, Stage
from asfound.job.instruments import SOUND_INPUT
from asfound.problems import BadInputError, NotFoundError, Problem
from asfound.shutter import Dial, DialRow

MEDIA_TYPES = {
    ".wav": "audio/wav",
    ".flac": "audio/flac",
    ".m4a": "audio/mp4",
    ".aac": "audio/aac",
    ".mp3": "audio/mpeg",
    ".ogg": "audio/ogg",
    ".opus": "audio/ogg",
    ".mp4": "video/mp4",
    ".m4v": "video/mp4",
    ".mov": "video/quicktime",
    ".webm": "video/webm",
    ".mkv": "video/x-matroska",
    ".3gp": "video/3gpp",
}
# What a table of the dial rests on: moving any of these makes it stale.
RESTS_ON = ("shutter", "retard train", "engagement", "pallet", "main spring", "cam plate")


def keep_recording(
    book: Book,
    job_id: UUID,
    stream: BinaryIO,
    name: str,
    *,
    stage: Stage,
    caption: str = "",
    kind: Kind | None = None,
) -> Entry:
    """Keep a recording in the job, once it is sure that it is one.

    Parameters
    ----------
    book, job_id, stream, name
    stage : {"as found", "working", "as left"}
    caption : str
    kind : {"light", "sound", "video"}, optional
        Where not given, a file with pictures is a video, and any other is taken for light until it is measured.

    Raises
    ------
    BadInputError
        If it is no recording; the book's entries stay as they were.
    """
    load_job(book, job_id)
    media_type = MEDIA_TYPES.get(Path(name).suffix.lower(), "application/octet-stream")
    attached = book.attach(stream, name=name, media_type=media_type)
    with under_its_name(book.attachment_path(attached.sha256), name) as path:
        sort = kind or look_into(path)
        if sort != "video":
            inspect_sound(path)
    body = Recording(attachment=attached, sort=sort, stage=stage, caption=caption)
    return book.write(job_id, [body])[0]


def look_into(path: Path) -> Literal["light", "video"]:
    """Tell a video from what has sound alone."""
    is_video = path.suffix.lower() in VIDEO_SUFFIXES and path.stat().st_size > 0 and has_pictures(path)
    return "video" if is_video else "light"


@contextmanager
def under_its_name(path: Path, name: str) -> Iterator[Path]:
    """Give a kept file under the name it came with: readers go by its ending, and problems name it."""
    with tempfile.TemporaryDirectory(prefix="asfound-") as folder:
        shown = Path(folder) / _plain(name)
        shown.symlink_to(path.absolute())
        yield shown


def _plain(name: str) -> str:
    """Return a file's name without its folders, short, and of what can stand in a name."""
    last = "".join(letter for letter in name.replace("\\", "/").rpartition("/")[2] if letter.isprintable())
    return last.lstrip(".")[-60:] or "recording"


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


def measure(
    path: Path,
    *,
    progress: Callable[[float], None],
    cancelled: Callable[[], bool],
    name: str = "recording.wav",
    how: How | None = None,
    keep_in: Path | None = None,
) -> Measured:
    """Find and time the firings of a recording; made to run in the pool.

    Parameters
    ----------
    path : Path
        Of the attachment.
    progress, cancelled : callable
        As the pool gives them.
    name : str
        The file's own name.
    how : How, optional
        How it was recorded; all of it guessed where not given.
    keep_in : Path, optional
        File to keep the result in, so that it need not be measured again.
    """
    how = how or How()
    try:
        with under_its_name(path, name) as shown:
            found = read_recording(shown, **how.as_asked(), progress=progress, cancelled=cancelled)
    except BadInputError as error:
        raise BadInputError(*(page_words(problem) for problem in error.problems)) from None
    if keep_in is not None:
        keep_found(keep_in, found)
    return found


def write_dial(
    book: Book, job_id: UUID, dial: Dial, *, recording: UUID | None, stage: Stage, remarks: tuple[str, ...] = ()
) -> Entry:
    """Write a dial into the job as its shutter table; one from a recording of light or sound names what timed it."""
    table = ShutterTable(
        stage=stage,
        rows=speed_rows(dial),
        recording=recording,
        tolerance_source=dial.tolerance_source,
        depends_on=(*RESTS_ON, *(f"bend {row.marked}" for row in dial.rows)),
        instrument=_timed_by(book, job_id, recording),
        note=" ".join((*dial.remarks(), *remarks)),
    )
    return book.write(job_id, [table])[0]


def _timed_by(book: Book, job_id: UUID, recording: UUID | None) -> str:
    """Return what timed a recording; a film is timed by its own frames, times that were typed by nobody knows what."""
    kinds = {id_: body.sort for id_, body in load_job(book, job_id).recordings}
    return SOUND_INPUT if recording in kinds and kinds[recording] != "video" else ""


def speed_rows(dial: Dial) -> tuple[SpeedRow, ...]:
    """Return the rows of a dial that have a time, as they are written down."""
    return tuple(_speed_row(row) for row in dial.rows if row.mean_s is not None)


def _speed_row(row: DialRow) -> SpeedRow:
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
