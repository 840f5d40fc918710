"""Photographs of the ground glass and of openings: kept with their setting, measured in the pool."""

import re
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import BinaryIO
from uuid import UUID

from asfound.bench.jobs import load_job
from asfound.book import Book
from asfound.capture.picture import identify
from asfound.focus import Opening, opening_mask, opening_shape
from asfound.focus.sharpness import sharpness_of
from asfound.job import Entry, Job
from asfound.job.bodies import AdjusterMoved, Photo, SpacerFound, StepTaken
from asfound.problems import BadInputError, NotFoundError, Problem, StoppedError, bad_input

_CAPTION = re.compile(r"ground glass at (?P<setting>.{1,40})$")


def keep_series(
    book: Book, job_id: UUID, photographs: Sequence[tuple[str, BinaryIO]], settings: Sequence[str]
) -> tuple[Entry, ...]:
    """Keep photographs of the ground glass, each with the setting it was taken at; all of them or none.

    Raises
    ------
    BadInputError
        If there is not one setting for each, or one is no photograph; the book stays as it was.
    """
    load_job(book, job_id)
    if len(settings) != len(photographs):
        what = f"{len(settings)} settings for {len(photographs)} photographs"
        raise bad_input("settings", what, "give one for each, in the order of their file names")
    kinds = [identify(stream, name) for name, stream in photographs]
    bodies = [
        Photo(
            attachment=book.attach(stream, name=name, media_type=kind),
            caption=f"ground glass at {' '.join(setting.split())}",
        )
        for (name, stream), kind, setting in zip(photographs, kinds, settings, strict=True)
    ]
    return book.write(job_id, bodies)


def series_of(job: Job) -> tuple[tuple[UUID, Photo, str, bool], ...]:
    """Return the photographs of the ground glass: entry, photograph, setting, and whether nothing was touched since."""
    touched = [e.id for e in job.live if isinstance(e.body, AdjusterMoved | SpacerFound | StepTaken)]
    last = max((job.number(entry) for entry in touched), default=0)
    found = []
    for entry, photo in job.photos:
        caption = _CAPTION.match(photo.caption)
        if caption is not None:
            found.append((entry, photo, caption["setting"], job.number(entry) > last))
    return tuple(found)


def measure_series(
    paths: Sequence[Path], names: Sequence[str], *, progress: Callable[[float], None], cancelled: Callable[[], bool]
) -> tuple[float, ...]:
    """Return how sharp each photograph is, over its middle; made to run in the pool.

    Raises
    ------
    BadInputError
        If one cannot be read, or they are of different sizes.
    StoppedError
        If it is to stop.
    """
    from asfound.capture.ground_glass import middle, read_grey  # the readers are slow to import

    found: list[float] = []
    size: tuple[int, ...] | None = None
    for path, name in zip(paths, names, strict=True):
        if cancelled():
            raise StoppedError(Problem("photographs", "it was stopped", "start it again"))
        grey = read_grey(path)
        if size is not None and grey.shape != size:
            what = f"it is {grey.shape[1]} x {grey.shape[0]} pixels, the first {size[1]} x {size[0]}"
            raise bad_input(name, what, "take all with the same telephone, zoom and orientation")
        size = grey.shape
        try:
            found.append(sharpness_of(middle(grey, share=0.5)))
        except BadInputError as error:
            raise BadInputError(*(Problem(name, p.what, p.remedy) for p in error.problems)) from None
        progress(len(found) / len(paths))
    return tuple(found)


def photograph_numbers(job: Job) -> dict[str, UUID]:
    """Return the photographs of a job by what they are called: the entry's number, and the caption's beginning."""
    return {
        " ".join(f"{job.number(entry)} {photo.caption[:40] or photo.attachment.name[:40]}".split()): entry
        for entry, photo in job.photos
    }


def read_opening(
    book: Book, job: Job, photograph: UUID, *, mm_per_pixel: float, u_scale: float, blades: int | None
) -> Opening:
    """Return the opening of a diaphragm in a photograph of the job.

    Raises
    ------
    BadInputError
        If it shows none.
    NotFoundError
        If the photograph is not in the job.
    """
    from asfound.capture.ground_glass import read_grey  # the readers are slow to import

    photo = next((body for entry, body in job.photos if entry == photograph), None)
    if photo is None:
        raise NotFoundError(Problem("photograph", "it is not in this job", "choose another"))
    mask = opening_mask(read_grey(book.attachment_path(photo.attachment.sha256)))
    return opening_shape(mask, mm_per_pixel=mm_per_pixel, u_scale=u_scale, blades=blades)
