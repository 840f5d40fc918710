"""Photographs taken at the bench."""

import os
from pathlib import Path
from typing import BinaryIO
from uuid import UUID

from asfound.bench.jobs import load_job
from asfound.book import Book
from asfound.capture.picture import identify, write_thumbnail
from asfound.job import Entry
from asfound.job.bodies import Photo

WIDTHS = (320, 1280)


def add_photo(
    book: Book, job_id: UUID, stream: BinaryIO, name: str, *, caption: str = "", step: UUID | None = None
) -> Entry:
    """Keep a photograph with the step at hand (the latest one, if none is named).

    Raises
    ------
    BadInputError
        If it is no photograph; the book stays as it was.
    """
    media_type = identify(stream, name)
    job = load_job(book, job_id)
    if step is None and job.steps:
        step = max(job.steps, key=lambda s: job.number(s.id)).id
    attached = book.attach(stream, name=name, media_type=media_type)
    return book.write(job_id, [Photo(attachment=attached, caption=caption, step=step)])[0]


def thumbnail(book: Book, sha256: str, *, width: int) -> Path:
    """Return a small JPEG of a photograph, made once and kept beside the attachments."""
    width = next((w for w in WIDTHS if w >= width), WIDTHS[-1])
    source = book.attachment_path(sha256)
    target = book.location.folder / "thumbnails" / f"{sha256}-{width}.jpg"
    if not target.exists():
        target.parent.mkdir(parents=True, exist_ok=True)
        beside = target.with_name(f"{target.name}.{os.getpid()}")
        write_thumbnail(source, beside, width=width)
        beside.replace(target)
    return target
