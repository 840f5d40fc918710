"""The fold: the state of a job is a pure function of its entries, in whatever order they arrive."""

from collections.abc import Iterable, Sequence
from typing import TypeVar
from uuid import UUID

from asfound.job.bodies import (
    Body,
    CameraDetails,
    Expectation,
    ExpectationOutcome,
    Fault,
    FiringsSet,
    HandedOver,
    HowRecorded,
    Instrument,
    Mark,
    Opened,
    Proof,
    ReadingTaken,
    Recording,
    Restored,
    ShutterTable,
    SpacerFound,
    StateChanged,
    Struck,
)
from asfound.job.entry import Entry
from asfound.job.job import FaultNow, Job, Kept, key
from asfound.job.pinning import fold_photos, fold_pins
from asfound.job.staleness import stale_by
from asfound.job.taking_apart import fold_parts, fold_steps
from asfound.job.waits import fold_waiting
from asfound.problems import NotFoundError, Problem
from asfound.quantity import CameraState

B = TypeVar("B", bound=Body)


def fold(entries: Iterable[Entry]) -> Job:
    """Return the job that these entries make; the same entries in any order, or twice, give the same job.

    Raises
    ------
    NotFoundError
        If no entry opens a job.
    """
    ordered = tuple(sorted({entry.id: entry for entry in entries}.values(), key=lambda entry: entry.order))
    struck = fold_struck(ordered)
    live = tuple(e for e in ordered if e.id not in struck and not isinstance(e.body, Struck | Restored))
    opening = next((e for e in live if isinstance(e.body, Opened)), None)
    if opening is None or not isinstance(opening.body, Opened):
        raise NotFoundError(Problem("job", "nothing opens this job", "open a job first"))
    states = fold_states(live)
    steps = fold_steps(ordered, struck, states)
    stale = stale_by(live)

    def kept(kind: type[B]) -> tuple[Kept[B], ...]:
        return tuple(
            Kept(e.id, e.body, _state_at(e, states), e.clock, stale.get(e.id)) for e in live if isinstance(e.body, kind)
        )

    details = _of(live, CameraDetails)
    handovers = [e for e in live if isinstance(e.body, HandedOver)]
    return Job(
        id=opening.job,
        ticket=opening.body.ticket,
        camera=details[-1][1].camera if details else opening.body.camera,
        complaint=opening.body.complaint,
        opened_at=opening.clock,
        touched_at=ordered[-1].clock,
        entries=ordered,
        live=live,
        struck=frozenset(struck),
        state=states[live[-1].id],
        states=states,
        steps=steps,
        parts=fold_parts(live, steps),
        readings=kept(ReadingTaken),
        tables=kept(ShutterTable),
        proofs=kept(Proof),
        spacers=_of(live, SpacerFound),
        marks=tuple((id_, mark.part, mark.text) for id_, mark in _of(live, Mark)),
        expectations=fold_expectations(live),
        faults=fold_faults(live),
        photos=fold_photos(live),
        pins=fold_pins(ordered, struck),
        recordings=_of(live, Recording),
        how_recorded={said.recording: said for _, said in _of(live, HowRecorded)},
        firings_set={said.recording: said for _, said in _of(live, FiringsSet)},
        instruments=tuple({key(i.name): i for _, i in _of(live, Instrument)}.values()),
        waiting=fold_waiting(live),
        handed_over=handovers[-1] if handovers else None,
    )


def fold_struck(ordered: Sequence[Entry]) -> set[UUID]:
    """Return the entries that are struck through: the later of strike and restore wins. An opening stays."""
    openings = {e.id for e in ordered if isinstance(e.body, Opened)}
    struck: set[UUID] = set()
    for entry in ordered:
        if isinstance(entry.body, Struck):
            struck.add(entry.body.entry)
        elif isinstance(entry.body, Restored):
            struck.discard(entry.body.entry)
    return struck - openings


def fold_states(live: Sequence[Entry]) -> dict[UUID, CameraState]:
    """Return the state that the camera was in after each entry: carried forward until changed."""
    states: dict[UUID, CameraState] = {}
    now = CameraState()
    for entry in live:
        if isinstance(entry.body, StateChanged):
            now = now.then(entry.body.state)
        states[entry.id] = now
    return states


def fold_expectations(live: Sequence[Entry]) -> tuple[tuple[UUID, str, bool | None], ...]:
    """Return each expectation with how it turned out: True, False, or None while open."""
    outcomes = {outcome.expectation: outcome.held for _, outcome in _of(live, ExpectationOutcome)}
    return tuple((id_, said.text, outcomes.get(id_)) for id_, said in _of(live, Expectation))


def fold_faults(live: Sequence[Entry]) -> tuple[FaultNow, ...]:
    """Return the faults in the order first named, each with all that was said of it."""
    said: dict[str, list[tuple[str, str, UUID]]] = {}
    names: dict[str, str] = {}
    for id_, fault in _of(live, Fault):
        names.setdefault(key(fault.fault), fault.fault)
        said.setdefault(key(fault.fault), []).append((fault.stage, fault.text, id_))
    return tuple(FaultNow(names[name], tuple(what)) for name, what in said.items())


def _of(live: Sequence[Entry], kind: type[B]) -> tuple[tuple[UUID, B], ...]:
    return tuple((e.id, e.body) for e in live if isinstance(e.body, kind))


def _state_at(entry: Entry, states: dict[UUID, CameraState]) -> CameraState:
    """Return the state carried to an entry, with what its own reading says of it laid over."""
    carried = states[entry.id]
    reading = getattr(entry.body, "reading", None)
    return carried.then(reading.state) if reading is not None else carried
