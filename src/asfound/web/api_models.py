"""What the JSON routes take and give, typed for the OpenAPI description."""

from typing import Any, Literal
from uuid import UUID

from pydantic import BaseModel, ConfigDict, Field

from asfound.job.bodies import Camera, Stage
from asfound.problems import Problem


class Out(BaseModel):
    """Common to all answers."""

    model_config = ConfigDict(frozen=True)


class TokenOut(Out):
    """The token that every writing request carries in the header `X-Asfound-Token`."""

    token: str


class ProblemOut(Out):
    """What is wrong, where, what to do; `span` counts characters of the text."""

    where: str
    what: str
    remedy: str
    span: tuple[int, int] | None = None


class ProblemsOut(Out):
    """Why a request was refused."""

    problems: tuple[ProblemOut, ...]


# How a request may end otherwise than well, for the OpenAPI description.
REFUSALS = {
    403: "the token is missing or of another session, or the request comes from another site's page",
    404: "no such job, entry, recording or address",
    409: "it does not fit what is in the book already",
    413: "the body is larger than its route takes",
    422: "what was sent cannot be used as it is",
    507: "the disk or the database refuses; nothing was written",
}
ERRORS: dict[int | str, dict[str, Any]] = {
    status: {"model": ProblemsOut, "description": words} for status, words in REFUSALS.items()
}


class JobLineOut(Out):
    """One job of the list."""

    id: UUID
    ticket: str
    camera: str
    complaint: str
    waits_for: str
    handed_over: bool
    off: int
    open_faults: int
    to_restore: int
    stale: int


class PartOut(Out):
    """A part: where it is, where it lies, its condition."""

    name: str
    whereabouts: str
    lies: str
    condition: str


class EntryOut(Out):
    """One entry, in words."""

    id: UUID
    number: int
    wall_ms: int
    kind: str
    text: str
    details: tuple[str, ...]
    struck: bool


class JobOut(Out):
    """One job as it stands."""

    id: UUID
    ticket: str
    camera: Camera
    complaint: str
    state: str
    parts: tuple[PartOut, ...]
    open_faults: tuple[str, ...]
    open_items: tuple[str, ...]
    entries: tuple[EntryOut, ...]


class UnderstoodOut(Out):
    """How a line would be understood; nothing is written."""

    echo: str
    as_note: bool
    problems: tuple[ProblemOut, ...]
    hints: tuple[str, ...]


class LineIn(Out):
    """A line for the job."""

    text: str = Field(max_length=20_000)
    as_note: bool = False


class ComingOut(Out):
    """Which parts came off next on so many other cameras of the model."""

    cameras: int
    parts: tuple[str, ...]


class WrittenOut(Out):
    """Entries written, and what was understood."""

    entries: tuple[UUID, ...]
    echo: str


class TickIn(Out):
    """A step of the way back, done or not done after all."""

    step: UUID
    done: bool = True


class StepBackOut(Out):
    """One step of the way back."""

    step: UUID
    number: str
    title: str
    done: bool
    lies: str
    fasteners: tuple[str, ...]
    state: str
    marks: tuple[str, ...]
    cautions: tuple[str, ...]
    waits_for: str


class WayBackOut(Out):
    """The way back in the order reckoned now."""

    steps: tuple[StepBackOut, ...]
    unaccounted: tuple[str, ...]


class KeptOut(Out):
    """A file was kept: its entry, the page that shows it, the task that measures it."""

    entry: UUID
    page: str
    task: str | None = None


class TaskOut(Out):
    """A piece of work as it stands."""

    id: str
    state: Literal["waiting", "running", "done", "failed", "stopped"]
    share: float
    problems: tuple[ProblemOut, ...]


class FiringOut(Out):
    """One firing; null where this kind of recording cannot know."""

    start_s: float
    total_open_s: float | None
    half_level_s: float | None
    effective_s: float | None
    opening_s: float | None
    closing_s: float | None
    efficiency: float | None
    u_random_s: float | None
    u_effective_s: float | None
    open_s: float | None
    u_open_s: float | None
    flags: tuple[str, ...]


class AboutRecording(Out):
    """What was measured."""

    path: str
    kind: str
    sample_rate_hz: float
    duration_s: float
    channel: int
    notes: tuple[str, ...]


class MeasuredOut(Out):
    """A recording and its firings."""

    recording: AboutRecording
    firings: tuple[FiringOut, ...]


class DialIn(Out):
    """How the firings of a recording are set against the dial."""

    marked: str = Field(max_length=2000)
    shots: int = Field(ge=1, le=100)
    tolerance_stops: float = Field(default=1 / 3, gt=0, le=4)
    stage: Stage


class TraceOut(Out):
    """The outline of a stretch of a recording: extremes of each column, full scale 1."""

    firing: int
    start_s: float
    stop_s: float
    whole_start_s: float
    whole_stop_s: float
    first_light_s: float
    open_s: float | None
    base: float | None
    plateau: float | None
    time_s: list[float]
    lowest: list[float]
    highest: list[float]


class HitOut(Out):
    """An entry that a search found."""

    entry: UUID
    job: UUID
    kind: str
    text: str


def problems_out(problems: tuple[Problem, ...]) -> tuple[ProblemOut, ...]:
    """Return problems as they are answered."""
    return tuple(ProblemOut(where=p.where, what=p.what, remedy=p.remedy, span=p.span) for p in problems)
