"""What the book remembers between one line and the next, so that a repeat is one number."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from uuid import UUID

from asfound.job.bodies import AnyBody, Mark, PartCondition, ReadingTaken, Stage, StateChanged, StepTaken
from asfound.quantity import CameraState


@dataclass(frozen=True, slots=True, kw_only=True)
class LineMemory:
    """What a line may leave out.

    Attributes
    ----------
    step : UUID or None
        The step at hand.
    quantity, place, instrument, unit : str
        Of the last reading.
    units : mapping of str to str
        The unit that each quantity was last read in, by its name in small letters.
    places : tuple of str
        Stations of that quantity in the order they are walked.
    stage : {"as found", "working", "as left"}
        Where the job stands.
    depends_on : tuple of str
        Of the last reading.
    last : ReadingTaken or None
        The last reading itself: ``=`` repeats it, ``>`` repeats it at the next station.
    leaves_mm : tuple of float
        The feeler set at hand; empty: the usual one, 0.05 to 1.00 mm by 0.05.
    parts : tuple of str
        Parts that this job knows.
    steps : mapping of str to UUID
        Steps by the number shown: "7", "7a".
    step_parts : mapping of UUID to str
        The part of each step, so that the echo can name it.
    entries : mapping of int to UUID
        Entries by the number shown.
    expectations : tuple of UUID
        Those still open, newest last.
    state : CameraState
        What the camera is in now, carried forward: a reading is taken in it unless its line says otherwise.
    due : tuple of str
        Checks due on the way back and not made: ``later`` alone puts the first of them off.
    last_entry : UUID or None
        What ``undo`` strikes.
    """

    step: UUID | None = None
    quantity: str = ""
    place: str = ""
    places: tuple[str, ...] = ()
    instrument: str = ""
    unit: str = ""
    units: Mapping[str, str] = field(default_factory=dict)
    stage: Stage = "as found"
    depends_on: tuple[str, ...] = ()
    last: ReadingTaken | None = None
    leaves_mm: tuple[float, ...] = ()
    parts: tuple[str, ...] = ()
    steps: Mapping[str, UUID] = field(default_factory=dict)
    step_parts: Mapping[UUID, str] = field(default_factory=dict)
    entries: Mapping[int, UUID] = field(default_factory=dict)
    expectations: tuple[UUID, ...] = ()
    state: CameraState = field(default_factory=CameraState)
    due: tuple[str, ...] = ()
    last_entry: UUID | None = None


def remember(memory: LineMemory, body: AnyBody) -> LineMemory:
    """Return the memory after `body`: the reading to repeat, its stations, the parts met.

    Numbers of steps and entries are the book's to give; they stay as they were.
    """
    if isinstance(body, ReadingTaken):
        return _with_reading(memory, body)
    if isinstance(body, StateChanged):
        return replace(memory, state=memory.state.then(body.state))
    if isinstance(body, StepTaken | Mark | PartCondition) and body.part not in memory.parts:
        return replace(memory, parts=(*memory.parts, body.part))
    return memory


def _with_reading(memory: LineMemory, taken: ReadingTaken) -> LineMemory:
    walked = memory.places if taken.quantity == memory.quantity else ()
    new = bool(taken.place) and taken.place not in walked
    return replace(
        memory,
        quantity=taken.quantity,
        place=taken.place,
        places=(*walked, taken.place) if new else walked,
        instrument=taken.instrument,
        unit=taken.reading.unit,
        units={**memory.units, taken.quantity.casefold(): taken.reading.unit},
        stage=taken.stage,
        depends_on=taken.depends_on,
        last=taken,
    )
