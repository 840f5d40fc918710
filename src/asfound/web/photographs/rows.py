"""A photograph as every page shows it: with its pins over it, at any size."""

from dataclasses import dataclass
from uuid import UUID

from asfound.job import Job
from asfound.job.bodies import Photo
from asfound.job.pinning import PinNow, length_of, say_pin


@dataclass(frozen=True, slots=True, kw_only=True)
class PinShown:
    """A pin over a photograph: where, in hundredths of its width and height, and what it says."""

    id: UUID
    number: int
    x: str
    y: str
    tip_x: str
    tip_y: str
    says: str
    length: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoRow:
    """A photograph: its picture, what it shows, its own page, and the pins on it."""

    sha256: str
    caption: str
    page: str
    pins: tuple[PinShown, ...]


def photo_rows(job: Job, *, step: UUID | None = None) -> tuple[PhotoRow, ...]:
    """Return the photographs of a job, or those of one of its steps."""
    return tuple(photo_row(job, id_, photo) for id_, photo in job.photos if step is None or photo.step == step)


def photo_row(job: Job, id_: UUID, photo: Photo) -> PhotoRow:
    """Return a photograph with its pins."""
    return PhotoRow(
        sha256=photo.attachment.sha256,
        caption=photo.caption or photo.attachment.name,
        page=f"/job/{job.id}/photo/{id_}",
        pins=tuple(pin_shown(pin) for pin in job.pins if pin.photo == id_),
    )


def pin_shown(now: PinNow) -> PinShown:
    """Return a pin as it is drawn and listed."""
    pin = now.pin
    return PinShown(
        id=now.id,
        number=now.number,
        x=percent(pin.x),
        y=percent(pin.y),
        tip_x=percent(pin.tip_x),
        tip_y=percent(pin.tip_y),
        says=say_pin(pin),
        length=length_of(pin),
    )


def percent(share: float | None) -> str:
    """Return a share of width or height in hundredths: "12.5"; empty for none."""
    return "" if share is None else f"{100 * share:.4g}"
