"""What a quantity was on the cameras of one model: robust mean, spread, number of cameras, state."""

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

from scipy.special import stdtrit  # scipy.stats takes a second to import

from asfound.job.bodies import Stage
from asfound.job.job import key
from asfound.job.observing import CameraSeen, ReadingSeen
from asfound.quantity import CameraState, Reading, show_number
from asfound.teardown.robust import robust_mean_and_spread

# A height seated by push and one by pull are two quantities; what the dial stood at while it was read is not.
_TELLING = ("focus", "seated", "spacer", "surface")


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingNote:
    """One quantity at one place: of each camera the mean of its readings counts once.

    Attributes
    ----------
    mean : float
        Robust mean, in `unit`.
    spread : float or None
        Robust standard deviation from camera to camera; None for one camera.
    state : str
        What all cameras' states have in common.
    differs : tuple of str
        What of the state differed between them and was not held to matter.
    """

    quantity: str
    place: str
    stage: str
    unit: str
    cameras: int
    mean: float
    spread: float | None
    lowest: float
    highest: float
    state: str
    differs: tuple[str, ...]

    def __str__(self) -> str:
        what = f"{self.quantity} {self.place}".strip()
        unit = "" if self.unit == "1" else f" {self.unit}"
        if self.spread is None:
            return f"{what}: {self.mean:.6g}{unit} on one camera"
        spread = show_number(self.spread, self.spread) if self.spread else "0"
        return f"{what}: {show_number(self.mean, self.spread)}{unit} on {self.cameras} cameras, spread {spread}{unit}"

    def limits(self) -> tuple[float, float] | None:
        """Return between which values one more camera's reading is to be expected, at 99 %; None for one camera.

        Mean plus or minus t s sqrt(1 + 1/n), the prediction interval of one more value (any textbook, from memory).
        """
        if self.spread is None:
            return None
        half = float(stdtrit(self.cameras - 1, 0.995)) * self.spread * math.sqrt(1 + 1 / self.cameras)
        return self.mean - half, self.mean + half


def reading_notes(cameras: Sequence[CameraSeen]) -> tuple[ReadingNote, ...]:
    """Return the readings of all cameras, those as found first; readings without a value are left out."""
    groups: dict[tuple[str, ...], dict[str, list[ReadingSeen]]] = defaultdict(lambda: defaultdict(list))
    for camera in cameras:
        for seen in camera.readings:
            if seen.reading.value is not None:
                groups[_subject(seen)][camera.camera].append(seen)
    notes = [_note(list(by_camera.values())) for by_camera in groups.values()]
    stages = ("as found", "working", "as left")
    return tuple(sorted(notes, key=lambda note: (stages.index(note.stage), -note.cameras)))


def _subject(seen: ReadingSeen) -> tuple[str, ...]:
    state = seen.reading.state
    telling = (str(getattr(state, name) or "") for name in _TELLING)
    return (key(seen.quantity), key(seen.place), seen.stage, seen.reading.unit, *telling)


def _note(by_camera: Sequence[Sequence[ReadingSeen]]) -> ReadingNote:
    values = [math.fsum(s.reading.value or 0.0 for s in seen) / len(seen) for seen in by_camera]
    mean, spread = robust_mean_and_spread(values)
    first = by_camera[0][0]
    state, differs = _common([s.reading.state for seen in by_camera for s in seen])
    return ReadingNote(
        quantity=first.quantity,
        place=first.place,
        stage=first.stage,
        unit=first.reading.unit,
        cameras=len(values),
        mean=mean,
        spread=spread,
        lowest=min(values),
        highest=max(values),
        state=str(state),
        differs=differs,
    )


def _common(states: Sequence[CameraState]) -> tuple[CameraState, tuple[str, ...]]:
    """Return what all states say alike, and the names of what they say differently."""
    said = {field.name: {getattr(state, field.name) for state in states} for field in fields(CameraState)}
    alike = {name: next(iter(values)) for name, values in said.items() if len(values) == 1}
    differs = tuple(name for name, values in said.items() if len(values - {None}) > 1)
    return replace(CameraState(), **alike), differs


def note_of(
    notes: Sequence[ReadingNote], *, quantity: str, place: str, stage: Stage, reading: Reading
) -> ReadingNote | None:
    """Return what other cameras of the model had of the same quantity at the same place in a like state."""
    seen = ReadingSeen(quantity=quantity, place=place, stage=stage, reading=reading)
    return next((note for note in notes if _alike(note, seen)), None)


def outside(notes: Sequence[ReadingNote], *, quantity: str, place: str, stage: Stage, reading: Reading) -> str:
    """Return a warning where a new reading lies outside what other cameras of the model let expect, or nothing.

    The reading's own uncertainty, twice, widens what is expected.
    """
    note = note_of(notes, quantity=quantity, place=place, stage=stage, reading=reading)
    limits = None if note is None else note.limits()
    if note is None or limits is None or reading.value is None:
        return ""
    slack = 2 * (reading.standard_uncertainty or 0.0)
    if limits[0] - slack <= reading.value <= limits[1] + slack:
        return ""
    return f"{reading.value:g} {reading.unit} lies outside what other cameras had: {note}"


def _alike(note: ReadingNote, seen: ReadingSeen) -> bool:
    wanted = (key(note.quantity), key(note.place), note.stage, note.unit)
    if wanted != _subject(seen)[:4]:
        return False
    said = [getattr(seen.reading.state, name) for name in ("seated", "spacer", "surface", "focus")]
    return all(word is None or str(word) in note.state for word in said)
