"""The part of the fold that follows photographs: the step each belongs to, and the numbered pins on it."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from uuid import UUID

from asfound.job.bodies import Annotation, Photo, PhotoPlaced, Pin
from asfound.job.entry import Entry


@dataclass(frozen=True, slots=True, kw_only=True)
class PinNow:
    """A pin or arrow on a photograph, as it stands.

    Attributes
    ----------
    id : UUID
        The entry that set it first; striking that one takes the pin off.
    entry : UUID
        The entry that says where and what it is now.
    photo : UUID
    number : int
        As shown on the photograph, from 1. A pin taken off keeps its number, so that no other one changes.
    pin : Pin
    """

    id: UUID
    entry: UUID
    photo: UUID
    number: int
    pin: Pin


def fold_photos(live: Sequence[Entry]) -> tuple[tuple[UUID, Photo], ...]:
    """Return the photographs, each with the step that was last said of it."""
    placed = {e.body.photo: e.body.step for e in live if isinstance(e.body, PhotoPlaced)}
    photos = ((e.id, e.body) for e in live if isinstance(e.body, Photo))
    return tuple(
        (id_, photo.model_copy(update={"step": placed[id_]}) if id_ in placed else photo) for id_, photo in photos
    )


def fold_pins(ordered: Sequence[Entry], struck: Collection[UUID]) -> tuple[PinNow, ...]:
    """Return the pins on all photographs, in the order of photographs' first pins, then of numbers."""
    numbers: dict[UUID, int] = {}
    first: dict[UUID, list[int]] = {}
    now: dict[UUID, tuple[PinNow, ...]] = {}
    for entry in ordered:
        body = entry.body
        if not isinstance(body, Annotation):
            continue
        root = body.instead_of or entry.id
        if body.instead_of is None:
            before = numbers.get(body.photo, 0)
            numbers[body.photo] = before + len(body.pins)
            first[root] = [before + n for n in range(1, len(body.pins) + 1)]
        if entry.id not in struck and root not in struck and root in first:
            pairs = zip(first[root], body.pins, strict=False)
            now[root] = tuple(PinNow(id=root, entry=entry.id, photo=body.photo, number=n, pin=p) for n, p in pairs)
    return tuple(pin for pins in now.values() for pin in pins)


def say_pin(pin: Pin) -> str:
    """Return what a pin points at: its label, and its fastener with the length."""
    fastener = pin.fastener.sort if pin.fastener is not None else ""
    return ", ".join(part for part in (pin.label, fastener) if part)


def length_of(pin: Pin) -> str:
    """Return the length of a pin's fastener: "2.5 mm"; empty where it is not known."""
    length = pin.fastener.length_mm if pin.fastener is not None else None
    return "" if length is None else f"{length:g} mm"
