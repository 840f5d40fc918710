"""What an entry can say: one frozen model to a kind, told apart by `kind`."""

import datetime
from decimal import Decimal
from typing import Annotated, Literal
from uuid import UUID

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, StringConstraints, model_validator

from asfound.quantity import CameraState, Reading
from asfound.quantity.tolerance import Tolerance
from asfound.teardown.fastener import FastenerGroup


def _one_line(value: object) -> object:
    return " ".join(value.split()) if isinstance(value, str) else value


Name = Annotated[str, BeforeValidator(_one_line), StringConstraints(min_length=1, max_length=200)]
Short = Annotated[str, BeforeValidator(_one_line), StringConstraints(max_length=400)]
Text = Annotated[str, StringConstraints(strip_whitespace=True, max_length=20_000)]
Sha256 = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
Stage = Literal["as found", "working", "as left"]


class Body(BaseModel):
    """Common to all kinds: frozen, and nothing that the kind does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class Attached(Body):
    """A file kept by the hash of its content."""

    sha256: Sha256
    name: Name
    media_type: Name
    size: int = Field(ge=0)


class Camera(Body):
    """What camera it is, as far as known."""

    maker: Short = ""
    model: Name
    serial: Short = ""
    film_format: Short = ""
    focal_length_mm: float | None = Field(default=None, gt=0, lt=5000)
    largest_aperture: float | None = Field(default=None, gt=0.3, lt=200)
    marked_speeds: tuple[Name, ...] = ()
    marked_apertures: tuple[float, ...] = ()
    shutter_kind: Short = ""
    focusing_kind: Short = ""


class Opened(Body):
    """A job was opened on a camera."""

    kind: Literal["opened"] = "opened"
    ticket: Name
    camera: Camera
    complaint: Text = ""


class CameraDetails(Body):
    """The camera's particulars as now known; replaces those given before."""

    kind: Literal["camera details"] = "camera details"
    camera: Camera


class Fault(Body):
    """One thing said of a fault: it was seen, suspected, decided on, worked on, proved gone."""

    kind: Literal["fault"] = "fault"
    fault: Name
    stage: Literal["observed", "suspected", "decision", "work", "proof"] = "observed"
    text: Text = ""


class StepTaken(Body):
    """A part came off, was slackened by so many turns, or was put back."""

    kind: Literal["step"] = "step"
    action: Literal["off", "slackened", "back"]
    part: Name
    turns: float | None = Field(default=None, gt=0, lt=200)
    fasteners: tuple[FastenerGroup, ...] = ()
    lies: Short = ""
    held_by: Short = ""
    freed_by: tuple[UUID, ...] | None = None
    tool: Short = ""
    pose: Short = ""
    note: Text = ""


class StepFreed(Body):
    """What freed an earlier step, said later, in place of what was said or assumed before.

    Without `freed_by` the whole order before the step stays assumed, except that `not_by` did not free it.
    """

    kind: Literal["freed"] = "freed"
    step: UUID
    freed_by: tuple[UUID, ...] | None = None
    not_by: tuple[UUID, ...] = ()


class OrderTaken(Body):
    """An order of the way back that was taken: it is shown until another one is."""

    kind: Literal["order"] = "order"
    steps: tuple[UUID, ...]


class SpacerFound(Body):
    """A spacer or shim: where it belongs, and after which step it should have been seen."""

    kind: Literal["spacer"] = "spacer"
    name: Name
    thickness: Reading | None = None
    between: tuple[Name, ...] = ()
    belongs_after: UUID | None = None
    late: bool = False
    lies: Short = ""
    note: Text = ""


class ReadingTaken(Body):
    """A measured value, what it depends on, and what it is held to."""

    kind: Literal["reading"] = "reading"
    quantity: Name
    place: Short = ""
    reading: Reading
    raw: tuple[Short, ...] = ()
    instrument: Short = ""
    stage: Stage = "as found"
    depends_on: tuple[Name, ...] = ()
    needs_off: tuple[Name, ...] | None = None
    restore: bool = False
    tolerance: Tolerance | None = None


class StateChanged(Body):
    """The camera was put into another state: dial, cocked, aperture, focus, door, struts."""

    kind: Literal["state"] = "state"
    state: CameraState


class Mark(Body):
    """An orientation mark: what lines up with what."""

    kind: Literal["mark"] = "mark"
    part: Name
    text: Text


class Expectation(Body):
    """What is expected to happen: "this ring should free the name plate"."""

    kind: Literal["expectation"] = "expectation"
    text: Text


class ExpectationOutcome(Body):
    """How an expectation turned out."""

    kind: Literal["expectation outcome"] = "expectation outcome"
    expectation: UUID
    held: bool
    text: Text = ""


class AdjusterMoved(Body):
    """An adjuster was moved: which way and, where it can be measured, how far."""

    kind: Literal["adjuster"] = "adjuster"
    adjuster: Name
    direction: Short = ""
    amount: Short = ""
    before: Short = ""
    after: Short = ""


class PartCondition(Body):
    """The condition of a part changed; a bath or a cure may be for so many minutes, from when this was written."""

    kind: Literal["condition"] = "condition"
    part: Name
    condition: Literal["dirty", "soaking", "curing", "cured", "dry", "dry-fitted", "lubricated", "fitted", "lost"]
    using: Short = ""
    minutes: int | None = Field(default=None, ge=1, le=525_600)
    note: Text = ""


class Note(Body):
    """Free text."""

    kind: Literal["note"] = "note"
    text: Text


class Photo(Body):
    """A photograph, and the step it belongs to where known."""

    kind: Literal["photo"] = "photo"
    attachment: Attached
    caption: Text = ""
    step: UUID | None = None
    taken_ms: int | None = Field(default=None, ge=0)


class PhotoPlaced(Body):
    """A photograph belongs to another step than was thought, or to none."""

    kind: Literal["photo placed"] = "photo placed"
    photo: UUID
    step: UUID | None = None


class Recording(Body):
    """A recording of firings."""

    kind: Literal["recording"] = "recording"
    attachment: Attached
    sort: Literal["light", "sound", "video"] = "light"
    stage: Stage = "working"
    caption: Text = ""


class HowRecorded(Body):
    """How a recording was made, as far as anybody knows; replaces what was said of it before."""

    kind: Literal["how recorded"] = "how recorded"
    recording: UUID
    sort: Literal["light", "sound", "video"] | None = None
    channel: int | None = Field(default=None, ge=0, lt=64)
    aperture: float | None = Field(default=None, gt=0.3, lt=200)
    whole_pupil: bool | None = None
    diffuse: bool | None = None
    agrees_when_dimmed: bool | None = None
    sensor_mm: float | None = None
    distance_mm: float | None = None
    response_s: float | None = None
    click_offset_s: float | None = None
    u_click_offset_s: float | None = None
    slow_motion: float = Field(default=1.0, gt=0)
    region: tuple[float, float, float, float] | None = None


class FiringsSet(Body):
    """How the firings of a recording are set against the dial; replaces what was said of it before.

    Firings struck as bad shots, and those left out as none, are known by when they began, in seconds.
    """

    kind: Literal["firings set"] = "firings set"
    recording: UUID
    marked: Text
    by: Literal["order shot", "nearest speed", "as walked"] = "order shot"
    shots: int = Field(default=3, ge=1, le=100)
    rested: bool = False
    exact_modern: bool = True
    tolerance_stops: float = Field(gt=0, le=4)
    top_tolerance_stops: float | None = Field(default=None, gt=0, le=4)
    own_stops: tuple[tuple[Name, float], ...] = ()
    left_out_s: tuple[float, ...] = ()
    struck_s: tuple[float, ...] = ()


class Pin(Body):
    """A place on a photograph, in shares of its width and height from the top left; with a tip, an arrow to there.

    Its fastener is one of those of `step`, or of the photograph's own step.
    """

    x: float = Field(ge=0, le=1)
    y: float = Field(ge=0, le=1)
    tip_x: float | None = Field(default=None, ge=0, le=1)
    tip_y: float | None = Field(default=None, ge=0, le=1)
    label: Short = ""
    fastener: FastenerGroup | None = None
    step: UUID | None = None


class Annotation(Body):
    """Pins on a photograph, beside those there already; or, moved or said anew, instead of an earlier entry's."""

    kind: Literal["annotation"] = "annotation"
    photo: UUID
    pins: tuple[Pin, ...]
    instead_of: UUID | None = None


class SpeedRow(Body):
    """One marked speed as measured: the mean of the times, then its error in stops."""

    marked: Name
    reference_s: float = Field(gt=0)
    times_s: tuple[float, ...]
    mean_s: float = Field(gt=0)
    spread_stops: float | None = None
    error_stops: float
    u_error_stops: float | None = None
    tolerance_stops: float = Field(gt=0)
    verdict: Literal["within", "outside", "cannot tell"]


class ShutterTable(Body):
    """The dial as measured from one recording, with the tolerance it is judged by."""

    kind: Literal["shutter table"] = "shutter table"
    stage: Stage
    rows: tuple[SpeedRow, ...]
    recording: UUID | None = None
    tolerance_source: Short
    depends_on: tuple[Name, ...] = ("shutter", "retard train")
    instrument: Short = ""
    note: Text = ""


class PartOrdered(Body):
    """A part was sent for, or sent away to be worked on."""

    kind: Literal["ordered"] = "ordered"
    part: Name
    where: Short = ""
    expected: datetime.date | None = None


class PartArrived(Body):
    """A part that was on order or away is here."""

    kind: Literal["arrived"] = "arrived"
    part: Name


class Instrument(Body):
    """An instrument, how well it reads, and when it was last checked."""

    kind: Literal["instrument"] = "instrument"
    name: Name
    sort: Short = ""
    standard_uncertainty: float | None = Field(default=None, ge=0)
    unit: Short = ""
    checked_on: datetime.date | None = None


class Tick(Body):
    """A step of the way back was done, or a tick was taken back."""

    kind: Literal["tick"] = "tick"
    step: UUID
    done: bool = True


class Proof(Body):
    """One thing proved of the camera, with what it was held to."""

    kind: Literal["proof"] = "proof"
    what: Name
    verdict: Literal["within", "outside", "cannot tell", "not applicable"]
    reading: Reading | None = None
    tolerance: Tolerance | None = None
    stage: Stage = "as left"
    depends_on: tuple[Name, ...] = ()
    needs_off: tuple[Name, ...] | None = None
    instrument: Name | None = None
    text: Text = ""


Money = Annotated[Decimal, Field(ge=0, max_digits=12, decimal_places=4)]
Currency = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=8)]


class CostLine(Body):
    """So many of one thing, at a price each."""

    what: Name
    count: Decimal = Field(default=Decimal(1), gt=0, max_digits=9, decimal_places=3)
    price: Money


class Estimate(Body):
    """What the repair is likely to take, and within what; as it was told the owner."""

    kind: Literal["estimate"] = "estimate"
    low_minutes: float = Field(ge=0, lt=1e6)
    likely_minutes: float = Field(ge=0, lt=1e6)
    high_minutes: float = Field(ge=0, lt=1e6)
    basis: Short
    per_hour: Money
    currency: Currency
    lines: tuple[CostLine, ...] = ()
    holds_until: datetime.date | None = None
    text: Text = ""

    @model_validator(mode="after")
    def _in_order(self) -> "Estimate":
        if not self.low_minutes <= self.likely_minutes <= self.high_minutes:
            raise ValueError("the likely minutes must lie between the fewest and the most")
        return self


class Account(Body):
    """What the repair took: the work and the parts that are asked for."""

    kind: Literal["account"] = "account"
    minutes: float = Field(ge=0, lt=1e6)
    per_hour: Money
    currency: Currency
    lines: tuple[CostLine, ...] = ()
    text: Text = ""


class ProofLater(Body):
    """A proof was put off; the handover asks for it."""

    kind: Literal["later"] = "later"
    what: Name
    text: Text = ""


class InstrumentWrong(Body):
    """An instrument was found to have read wrongly since a day: what was taken with it since then is stale."""

    kind: Literal["instrument wrong"] = "instrument wrong"
    instrument: Name
    since: datetime.date
    since_ms: int
    text: Text = ""


class Struck(Body):
    """An earlier entry is struck through: it stays to be seen and counts for nothing."""

    kind: Literal["struck"] = "struck"
    entry: UUID
    reason: Text = ""


class Restored(Body):
    """A struck entry counts again."""

    kind: Literal["restored"] = "restored"
    entry: UUID


class HandedOver(Body):
    """The camera left the bench; with anything open, why."""

    kind: Literal["handed over"] = "handed over"
    text: Text = ""
    why_open: Text = ""


AnyBody = Annotated[
    Opened
    | CameraDetails
    | Fault
    | StepTaken
    | StepFreed
    | OrderTaken
    | SpacerFound
    | ReadingTaken
    | StateChanged
    | Mark
    | Expectation
    | ExpectationOutcome
    | AdjusterMoved
    | PartCondition
    | Note
    | Photo
    | PhotoPlaced
    | Recording
    | HowRecorded
    | FiringsSet
    | Annotation
    | ShutterTable
    | PartOrdered
    | PartArrived
    | Instrument
    | Tick
    | Proof
    | Estimate
    | Account
    | ProofLater
    | InstrumentWrong
    | Struck
    | Restored
    | HandedOver,
    Field(discriminator="kind"),
]
