"""What was understood, in words: always what, the state if given, mm and thou."""

import re
from collections.abc import Iterable, Mapping
from typing import Any
from uuid import UUID

from asfound.job.bodies import (
    AdjusterMoved,
    AnyBody,
    Expectation,
    ExpectationOutcome,
    Fault,
    FiringsSet,
    HandedOver,
    HowRecorded,
    Instrument,
    InstrumentWrong,
    Mark,
    Note,
    OrderTaken,
    PartArrived,
    PartCondition,
    PartOrdered,
    Proof,
    ProofLater,
    ReadingTaken,
    Restored,
    SpacerFound,
    StateChanged,
    StepFreed,
    StepTaken,
    Struck,
    Tick,
)
from asfound.job.line.memory import LineMemory
from asfound.job.line.words import WAYS
from asfound.job.recorded import tell_firings, tell_how
from asfound.job.waits import show_minutes
from asfound.quantity import CameraState, Reading, show_length, show_reading
from asfound.quantity.tolerance import Tolerance


def describe(body: AnyBody, memory: LineMemory | None = None) -> str:
    """Return one body as a line for people."""
    memory = memory or LineMemory()
    match body:
        case StepTaken():
            return _step(body, memory)
        case SpacerFound():
            return _spacer(body, memory)
        case ReadingTaken():
            return _reading(body, memory)
        case Proof():
            return _proof(body, memory)
        case ExpectationOutcome():
            outcome = "held" if body.held else "did not hold"
            return f"expectation {_entry(body.expectation, memory)} {outcome}{_colon(body.text)}"
        case Tick():
            return f"step {_named_step(body.step, memory)} {'done' if body.done else 'not done after all'}"
        case StepFreed():
            return f"step {_named_step(body.step, memory)} {_freed_later(body, memory)}"
        case OrderTaken():
            order = ", then ".join(_named_step(step, memory) for step in body.steps)
            return f"way back in this order: {order}" if order else "way back in no order that was said"
        case Struck():
            return f"entry {_entry(body.entry, memory)} struck through{_colon(body.reason)}"
        case Restored():
            return f"entry {_entry(body.entry, memory)} counts again"
        case _:
            return _other(body)


def _other(body: AnyBody) -> str:
    match body:
        case StateChanged():
            return f"state: {body.state}" if str(body.state) else "state: nothing said"
        case Mark():
            return f"mark on {body.part}: {body.text}"
        case Fault():
            return f"fault {body.stage}: {body.fault}{_colon(body.text)}"
        case Expectation():
            return f"expected: {body.text}"
        case AdjusterMoved():
            way = _from_to(body.before, body.after)
            return _list(f"{body.adjuster} moved", f"{body.direction} {body.amount}".strip(), way)
        case PartCondition():
            lasts = _after("for ", show_minutes(body.minutes))
            return _list(f"{body.part}: {body.condition}", _after("using ", body.using), lasts, body.note)
        case PartOrdered():
            due = f"due {body.expected.isoformat()}" if body.expected else ""
            return _list(f"ordered: {body.part}", _after("from ", body.where), due)
        case PartArrived():
            return f"arrived: {body.part}"
        case Instrument():
            return _instrument(body)
        case HandedOver():
            return _list(f"handed over{_colon(body.text)}", _after("still open because ", body.why_open))
        case Note():
            return f"note: {body.text}"
        case ProofLater():
            return f"proof of {body.what} put off{_colon(body.text)}"
        case HowRecorded():
            return f"how it was recorded: {tell_how(body)}"
        case FiringsSet():
            return f"set against the dial: {tell_firings(body)}"
        case InstrumentWrong():
            return f"{body.instrument} found to read wrongly since {body.since.isoformat()}{_colon(body.text)}"
        case _:
            return body.kind


def _step(body: StepTaken, memory: LineMemory) -> str:
    turns = f"by {body.turns:g} {'turn' if body.turns == 1 else 'turns'}" if body.turns else ""
    return _list(
        f"{body.part} {body.action}",
        turns,
        *(_group(str(group), group.length_mm) for group in body.fasteners),
        _lies(body.lies),
        _after("held by ", body.held_by),
        _freed(body.freed_by, memory),
        _after("with ", body.tool),
        _after("pose: ", body.pose),
        _after("note: ", body.note),
    )


def _lies(lies: str) -> str:
    """Return where a part lies: a tray's cell, or the place in its own words."""
    if lies.isalnum() and any(character.isdigit() for character in lies):
        return f"lies in tray {lies}"
    return _after("lies " if re.match(r"(?:in|at|on|under|with)\s", lies) else "lies in ", lies)


def _group(shown: str, length_mm: float | None) -> str:
    return shown if length_mm is None else shown.replace(f"{length_mm:g} mm", show_length(length_mm))


def _freed(freed_by: Iterable[UUID] | None, memory: LineMemory) -> str:
    if freed_by is None:
        return ""
    return f"freed by {' and '.join(_named_step(step, memory) for step in freed_by) or 'nothing'}"


def _freed_later(body: StepFreed, memory: LineMemory) -> str:
    said = _freed(body.freed_by, memory)
    refused = " and ".join(_named_step(step, memory) for step in body.not_by)
    if body.freed_by is None and not refused:
        return "freed by all before it, as assumed"
    return _list(said, f"not freed by {refused}" if refused else "")


def _spacer(body: SpacerFound, memory: LineMemory) -> str:
    after = f"belongs after step {_step_number(body.belongs_after, memory)}" if body.belongs_after else ""
    return _list(
        body.name if body.name in ("spacer", "shim") else f"spacer {body.name}",
        ""
        if body.thickness is None
        else _list(show_reading(body.thickness), _after("in state ", str(body.thickness.state))),
        _after("between ", " and ".join(body.between)),
        after,
        "found late" if body.late else "",
        _lies(body.lies),
        _after("note: ", body.note),
    )


def _reading(body: ReadingTaken, memory: LineMemory) -> str:
    return _list(
        f"{body.quantity}{_place(body.place)}: {_value(body.reading, memory.state)}",
        _after("tried ", ", ".join(body.raw)),
        _after("with ", body.instrument),
        body.stage,
        _after("depends on ", ", ".join(body.depends_on)),
        _needs_off(body.needs_off),
        "to be restored" if body.restore else "",
        _held_to(body.tolerance),
    )


def _needs_off(parts: tuple[str, ...] | None) -> str:
    """Return which parts must be off for it; nothing where nobody said."""
    return "" if parts is None else f"needs off {', '.join(parts) or 'nothing'}"


def _place(place: str) -> str:
    if place.startswith("between "):
        return f" {place}"
    return _after(" going " if place in WAYS else " at ", place)


def _held_to(tolerance: Tolerance | None) -> str:
    if tolerance is None:
        return ""
    low, high = tolerance.lower, tolerance.upper
    limits = f"{low:.7g} to {high:.7g}" if low is not None and high is not None else "no bound"
    if (low is None) != (high is None):
        limits = f"at most {high:.7g}" if low is None else f"at least {low:.7g}"
    return f"held to {limits} {tolerance.unit} ({tolerance.source})"


def _value(reading: Reading | None, carried: CameraState) -> str:
    """Return a value and the state it is taken in: what the line says over what the camera is in."""
    if reading is None:
        return ""
    state = str(carried.then(reading.state))
    return _list(show_reading(reading), f"in state {state}" if state else "state not said")


def _proof(body: Proof, memory: LineMemory) -> str:
    return _list(
        f"proof of {body.what}: {body.verdict}",
        _value(body.reading, memory.state),
        _after("with ", body.instrument or ""),
        _held_to(body.tolerance),
        body.stage,
        _after("depends on ", ", ".join(body.depends_on)),
        _needs_off(body.needs_off),
        body.text,
    )


def _instrument(body: Instrument) -> str:
    uncertain = body.standard_uncertainty
    reads = "" if uncertain is None else f"reads to ± {uncertain:g} {body.unit}".strip()
    checked = f"checked {body.checked_on.isoformat()}" if body.checked_on else ""
    return _list(f"instrument {body.name}", body.sort, reads, checked)


def _named_step(step: UUID, memory: LineMemory) -> str:
    """Return a step's number and, where it is known, its part: "7 name plate"."""
    return f"{_step_number(step, memory)} {memory.step_parts.get(step, '')}".strip()


def _step_number(step: UUID, memory: LineMemory) -> str:
    return _number(step, memory.steps)


def _entry(entry: UUID, memory: LineMemory) -> str:
    return _number(entry, memory.entries)


def _number(wanted: UUID, numbers: Mapping[Any, UUID]) -> str:
    return next((str(number) for number, found in numbers.items() if found == wanted), str(wanted))


def _from_to(before: str, after: str) -> str:
    return f"{_after('from ', before)} {_after('to ', after)}".strip()


def _after(words: str, text: str) -> str:
    return f"{words}{text}" if text else ""


def _colon(text: str) -> str:
    return _after(": ", text)


def _list(*parts: str) -> str:
    return ", ".join(part for part in parts if part)
