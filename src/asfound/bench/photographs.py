"""Photographs taken at the bench: kept, each with the step at hand when it was taken, and shown small."""

import datetime
import secrets
from collections.abc import Sequence
from pathlib import Path
from typing import BinaryIO
from uuid import UUID

from asfound.bench.jobs import load_job
from asfound.book import Book
from asfound.book.failures import told_plainly
from asfound.book.store import wall_clock_ms
from asfound.capture.picture import look_at, write_thumbnail
from asfound.job import Entry, Job, key
from asfound.job.bodies import Photo, PhotoPlaced, StepTaken, Tick
from asfound.problems import NotFoundError, Problem

WIDTHS = (320, 1280, 2560)
# The clocks of a telephone and of the bench's computer may differ by so much.
CLOCKS_DIFFER_MS = 600_000


def add_photo(
    book: Book, job_id: UUID, stream: BinaryIO, name: str, *, caption: str = "", step: UUID | None = None
) -> Entry:
    """Keep one photograph; as `add_photos`."""
    return add_photos(book, job_id, [(stream, name)], caption=caption, step=step)[0]


def add_photos(
    book: Book,
    job_id: UUID,
    files: Sequence[tuple[BinaryIO, str]],
    *,
    caption: str = "",
    step: UUID | None = None,
    now_ms: int | None = None,
) -> tuple[Entry, ...]:
    """Keep photographs, all of them or none; each with the step at hand when it was taken, if none is named.

    When it was taken is what the photograph says; where it says nothing, or what cannot be, it is now.

    Parameters
    ----------
    files : sequence of (file, name)
    caption : str
    step : UUID, optional
    now_ms : int, optional
        Milliseconds since 1970 UTC.

    Raises
    ------
    BadInputError
        If one is no photograph, or is damaged; the book's entries stay as they were.
    """
    job, now_ms = load_job(book, job_id), wall_clock_ms() if now_ms is None else now_ms
    seen = [look_at(stream, name) for stream, name in files]
    bodies = []
    for (stream, name), found in zip(files, seen, strict=True):
        taken_ms = _believable(found.taken, job, now_ms)
        attached = book.attach(stream, name=name, media_type=found.media_type)
        _small_one(book, attached.sha256, WIDTHS[0], called=name)
        at_hand = step_at(job, now_ms if taken_ms is None else taken_ms) if step is None else step
        bodies.append(Photo(attachment=attached, caption=caption, step=at_hand, taken_ms=taken_ms))
    return book.write(job_id, bodies)


def step_at(job: Job, moment_ms: int) -> UUID | None:
    """Return the step at hand at a moment: the one written, ticked or put back last by then; None before the first."""
    steps, at_hand = {step.id: step for step in job.steps}, None
    for entry in job.live:
        if entry.clock.wall_ms > moment_ms:
            continue
        body = entry.body
        if entry.id in steps:
            at_hand = entry.id
        elif isinstance(body, Tick) and body.done and body.step in steps:
            at_hand = body.step
        elif isinstance(body, StepTaken) and body.action == "back":
            back = [step.id for step in job.steps if key(step.part) == key(body.part)]
            at_hand = back[-1] if back else at_hand
    return at_hand


def place_photo(book: Book, job_id: UUID, photo: UUID, step: UUID | None) -> Entry:
    """Say to which step of the job a photograph belongs; None: to none of them.

    Raises
    ------
    NotFoundError
        If there is no such photograph or step.
    """
    job = load_job(book, job_id)
    if all(id_ != photo for id_, _ in job.photos):
        raise NotFoundError(Problem("photograph", "it is not in this job", "look at the job's page again"))
    if step is not None and all(known.id != step for known in job.steps):
        raise NotFoundError(Problem("step", "there is no such step in this job", "choose one from the list"))
    return book.write(job_id, [PhotoPlaced(photo=photo, step=step)])[0]


def thumbnail(book: Book, sha256: str, *, width: int) -> Path:
    """Return a small JPEG of a photograph, made once and kept beside the attachments."""
    return _small_one(book, sha256, next((w for w in WIDTHS if w >= width), WIDTHS[-1]))


def _small_one(book: Book, sha256: str, width: int, called: str = "") -> Path:
    source = book.attachment_path(sha256)
    target = book.location.folder / "thumbnails" / f"{sha256}-{width}.jpg"
    if not target.exists():
        with told_plainly(target.parent):
            target.parent.mkdir(parents=True, exist_ok=True)
            beside = target.with_name(f"{target.name}.{secrets.token_hex(4)}")
            write_thumbnail(source, beside, width=width, called=called)
            beside.replace(target)
    return target


def _believable(taken: datetime.datetime | None, job: Job, now_ms: int) -> int | None:
    """Return when a photograph was taken; None where it cannot be: a telephone whose clock was never set."""
    if taken is None:
        return None
    try:
        # Without its offset it is the time of day here.
        taken_ms = round(taken.astimezone(datetime.UTC).timestamp() * 1000)
    except (OverflowError, ValueError, OSError):
        return None
    day_before = job.opened_at.wall_ms - 86_400_000
    return min(taken_ms, now_ms) if day_before <= taken_ms <= now_ms + CLOCKS_DIFFER_MS else None
