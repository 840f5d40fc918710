"""The photographs of a job: caption, step, and the small copies that are printed."""

from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from asfound.capture.picture import draw_pins, write_thumbnail
from asfound.job import Job
from asfound.job.bodies import Photo
from asfound.job.pinning import PinNow, say_pin
from asfound.problems import BadInputError

PRINTED_PIXELS = 760
# Number, place and, of an arrow, tip.
PinPlace = tuple[int, float, float, float | None, float | None]


@dataclass(frozen=True, slots=True)
class PhotoLine:
    """A photograph in the report."""

    sha256: str
    caption: str
    belongs_to: str
    entry: int
    pins: tuple[PinPlace, ...] = ()


def photo_lines(job: Job) -> tuple[PhotoLine, ...]:
    """Return the photographs in the order they came, each with its step and its number in the book."""
    numbers = {entry.id: n for n, entry in enumerate(job.entries, start=1)}
    steps = {step.id: f"step {step.number}, {step.part}" for step in job.steps}
    return tuple(
        PhotoLine(
            photo.attachment.sha256,
            _caption(photo, tuple(now for now in job.pins if now.photo == id_)),
            steps.get(photo.step, "at no step") if photo.step is not None else "at no step",
            numbers[id_],
            tuple(_place(now) for now in job.pins if now.photo == id_),
        )
        for id_, photo in job.photos
    )


def small_copies(lines: tuple[PhotoLine, ...], photos: Mapping[str, Path], folder: Path) -> dict[str, str]:
    """Write a small upright copy of each photograph that can be read; return file names by hash.

    A photograph that is not there or cannot be read is left out: the report says so in its place.
    """
    pins = {line.sha256: line.pins for line in lines}
    names = {sha256: f"photo-{n}.jpg" for n, sha256 in enumerate(dict.fromkeys(line.sha256 for line in lines))}
    with ThreadPoolExecutor(max_workers=4) as threads:
        good = threads.map(lambda sha256: _copied(photos.get(sha256), folder / names[sha256], pins[sha256]), names)
    return {sha256: name for (sha256, name), there in zip(names.items(), good, strict=True) if there}


def _caption(photo: Photo, pins: tuple[PinNow, ...]) -> str:
    """Return what a photograph shows, and what each pin on it points at."""
    told = "; ".join(f"{now.number} {say_pin(now.pin) or 'not named'}" for now in pins)
    return f"{photo.caption or 'no caption'}{f' · pins: {told}' if told else ''}"


def _place(now: PinNow) -> PinPlace:
    return now.number, now.pin.x, now.pin.y, now.pin.tip_x, now.pin.tip_y


def _copied(source: Path | None, target: Path, pins: tuple[PinPlace, ...]) -> bool:
    if source is None:
        return False
    try:
        write_thumbnail(source, target, width=PRINTED_PIXELS)
    except BadInputError:
        return False
    if pins:
        draw_pins(target, pins)
    return True
