"""Which pins speak of a step's fasteners: what a tray label and a tray map say of them."""

from uuid import UUID

from asfound.job.job import Job
from asfound.job.pinning import PinNow, length_of, say_pin


def pins_of_step(job: Job, step: UUID) -> tuple[PinNow, ...]:
    """Return the pins that point at fasteners of a step: said to, or on a photograph of it."""
    steps = {id_: photo.step for id_, photo in job.photos}
    found = (now for now in job.pins if now.pin.fastener is not None and now.photo in steps)
    return tuple(now for now in found if (now.pin.step or steps[now.photo]) == step)


def say_pins(job: Job, step: UUID) -> tuple[str, ...]:
    """Return a line for each photograph with pins of a step: "photograph 31: 1 is 2.5 mm, 2 is 3 mm".

    The number of the photograph is that of its entry.
    """
    by_photo: dict[UUID, list[str]] = {}
    for now in pins_of_step(job, step):
        by_photo.setdefault(now.photo, []).append(f"{now.number} is {length_of(now.pin) or say_pin(now.pin)}")
    return tuple(f"photograph {job.number(photo)}: {', '.join(said)}" for photo, said in by_photo.items())
