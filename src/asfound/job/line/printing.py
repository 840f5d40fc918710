"""A body back to the line that makes it: as a hand would type it where that reads back the same, else quoted."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from asfound.job.bodies import (
    AdjusterMoved,
    AnyBody,
    Expectation,
    ExpectationOutcome,
    Fault,
    HandedOver,
    Instrument,
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
from asfound.job.line.parsing import parse_line
from asfound.job.line.quoting import quote
from asfound.job.line.words import NOUNS
from asfound.quantity import CameraState, Reading
from asfound.quantity.tolerance import Tolerance
from asfound.teardown.fastener import FastenerGroup


def print_line(body: AnyBody, memory: LineMemory | None = None) -> str:
    """Return the line that makes `body`: with the same memory it reads back to just this body.

    Names stand bare where they read back so, else every name and text is quoted.

    Raises
    ------
    ValueError
        For a kind that no line makes (a photo, a recording, a camera's particulars).
    """
    memory = memory or LineMemory()
    if type(body) not in _PRINTERS:
        raise ValueError(f"no line makes an entry of the kind {body.kind!r}")
    plain = _print(body, _Style(memory, bare=True))
    one_line = len(plain.splitlines()) == 1
    if one_line and parse_line(plain, memory).bodies == (body,):
        return plain
    return _print(body, _Style(memory, bare=False))


@dataclass(frozen=True, slots=True)
class _Style:
    """How names are written: bare, or all of them in quotes."""

    memory: LineMemory
    bare: bool

    def name(self, name: str) -> str:
        return name if self.bare and name else quote(name)

    def clause(self, keyword: str, name: str | None) -> str:
        return f"{keyword} {self.name(name)}" if name else ""

    def names(self, keyword: str, names: Iterable[str]) -> str:
        joined = " and ".join(self.name(name) for name in names)
        return f"{keyword} {joined}" if joined else ""

    def unit(self, unit: str) -> str:
        return unit if self.bare and unit else f"unit {quote(unit)}"

    def text(self, text: str, mark: str = ": ") -> str:
        return f"{mark}{text if self.bare else quote(text)}" if text else ""


def _print(body: AnyBody, style: _Style) -> str:
    return _PRINTERS[type(body)](body, style)


def _join(*parts: str, tail: str = "") -> str:
    return " ".join(part for part in parts if part) + tail


def number(value: float) -> str:
    """Return a number that reads back to the same float."""
    return repr(float(value)).removesuffix(".0")


def _reference(wanted: UUID, numbers: Mapping[Any, UUID]) -> str:
    return next((str(shown) for shown, found in numbers.items() if found == wanted), str(wanted))


# --- taking apart -------------------------------------------------------------------------------------


def _step(body: StepTaken, style: _Style) -> str:
    action = {"off": "off", "slackened": "slack", "back": "back"}[body.action]
    turns = f"{number(body.turns)} turns" if body.turns is not None else ""
    groups = ", ".join(_group(group, style) for group in body.fasteners)
    return _join(
        action,
        style.name(body.part),
        turns,
        groups,
        _lies(body.lies, style),
        style.clause("held by", body.held_by),
        _freed(body.freed_by, style),
        style.clause("with", body.tool),
        style.clause("pose", body.pose),
        tail=style.text(body.note, "; "),
    )


def _group(group: FastenerGroup, style: _Style) -> str:
    plain = style.bare and group.what in NOUNS
    plural = f"{group.count} {group.what}{'s' if group.count > 1 else ''}"
    length = f"x {number(group.length_mm)} mm" if group.length_mm is not None else ""
    return _join(
        plural if plain else f"{group.count} of {quote(group.what)}",
        _attribute("thread", group.thread, style),
        length,
        _attribute("head", group.head, style),
        _attribute("drive", group.drive, style),
        f"{group.damaged} damaged" if group.damaged else "",
        "left-hand" if group.left_hand else "",
        "lacquered" if group.lacquered else "",
        _said("painted", group.painted),
        _said("deformed head", group.deformed_head),
        style.clause("at", group.place),
        "" if group.reachable is None else f"reached only {style.name(group.reachable)}",
    )


def _said(words: str, said: bool | None) -> str:
    return "" if said is None else words if said else f"not {words}"


def _attribute(keyword: str, value: str | None, style: _Style) -> str:
    if value is None:
        return ""
    return value if style.bare and value else f"{keyword} {quote(value)}"


def _lies(lies: str, style: _Style) -> str:
    if style.bare and lies.isalnum():
        return f"tray {lies}"
    return lies if style.bare and lies.startswith("in ") else style.clause("lies", lies)


def _freed_later(body: StepFreed, style: _Style) -> str:
    return _join(
        f"freed {_reference(body.step, style.memory.steps)}",
        "" if body.freed_by is None else f"by {_references(body.freed_by, style)}",
        f"not by {_references(body.not_by, style)}" if body.not_by or body.freed_by is None else "",
    )


def _later(body: ProofLater, style: _Style) -> str:
    return _join("put off", style.name(body.what), tail=style.text(body.text))


def _order(body: OrderTaken, style: _Style) -> str:
    return f"way back {_references(body.steps, style)}"


def _references(steps: Iterable[UUID], style: _Style) -> str:
    return " ".join(_reference(step, style.memory.steps) for step in steps) or "nothing"


def _freed(freed_by: tuple[UUID, ...] | None, style: _Style) -> str:
    if freed_by is None:
        return ""
    return f"freed by {_references(freed_by, style)}"


def _spacer(body: SpacerFound, style: _Style) -> str:
    after = f"after {_reference(body.belongs_after, style.memory.steps)}" if body.belongs_after else ""
    late = "late" if body.late and not after else "in time" if after and not body.late else ""
    return _join(
        "spacer",
        "" if style.bare and body.name == "spacer" else style.name(body.name),
        _value(body.thickness, style) if body.thickness is not None else "",
        style.names("between", body.between),
        after,
        late,
        _lies(body.lies, style),
        tail=style.text(body.note, "; "),
    )


# --- readings -----------------------------------------------------------------------------------------


def _value(reading: Reading, style: _Style) -> str:
    unit = style.unit(reading.unit)
    parts = [
        number(reading.value) if reading.value is not None else "",
        unit if reading.value is not None or not style.bare else "",
        _number_clause("+-", reading.standard_uncertainty),
        _number_clause("dof", reading.degrees_of_freedom),
        _number_clause("more than", reading.lower),
        _number_clause("less than", reading.upper),
        f"unit {unit}" if style.bare and reading.value is None else "",
        style.clause("how", reading.how),
        _state_items(reading.state, style),
    ]
    return _join(*parts)


def _number_clause(keyword: str, value: float | None) -> str:
    return "" if value is None else f"{keyword} {number(value)}"


def _reading(body: ReadingTaken, style: _Style) -> str:
    memory = style.memory
    same = body.quantity == memory.quantity
    depends = style.names("depends on", body.depends_on)
    return _join(
        "reading",
        style.name(body.quantity),
        style.clause("at", body.place),
        _value(body.reading, style),
        style.clause("with", body.instrument) or ("with nothing" if same and memory.instrument else ""),
        body.stage,
        depends or ("depends on nothing" if same and memory.depends_on else ""),
        _needs_off(body.needs_off, style),
        "restore" if body.restore else "",
        _held_to(body.tolerance, style),
        f"raw {' '.join(quote(text) for text in body.raw)}" if body.raw else "",
    )


def _needs_off(names: tuple[str, ...] | None, style: _Style) -> str:
    return "" if names is None else style.names("needs off", names) or "needs off nothing"


def _held_to(tolerance: Tolerance | None, style: _Style) -> str:
    if tolerance is None:
        return ""
    limits = _limits(tolerance.lower, tolerance.upper)
    return f"held to {limits} {style.unit(tolerance.unit)} by {style.name(tolerance.source)}"


def _limits(lower: float | None, upper: float | None) -> str:
    if lower is not None and upper is not None:
        return f"{number(lower)} to {number(upper)}"
    if lower is not None:
        return f"at least {number(lower)}"
    return "no bound" if upper is None else f"at most {number(upper)}"


def _proof(body: Proof, style: _Style) -> str:
    return _join(
        "proof",
        style.name(body.what),
        body.verdict,
        _value(body.reading, style) if body.reading is not None else "",
        style.clause("with", body.instrument or ""),
        body.stage,
        style.names("depends on", body.depends_on),
        _needs_off(body.needs_off, style),
        _held_to(body.tolerance, style),
        tail=style.text(body.text),
    )


# --- state --------------------------------------------------------------------------------------------


def _state_items(state: CameraState, style: _Style) -> str:
    items = [
        "" if state.dial is None else f"dial {style.name(state.dial)}",
        state.shutter or "",
        "" if state.aperture is None else f"f/{number(state.aperture)}",
        "" if state.focus is None else f"focus {style.name(state.focus)}",
        *(f"{name} {value}" for name in ("door", "struts", "seated") if (value := getattr(state, name))),
        state.surface or "",
        f"spacer {state.spacer}," if state.spacer else "",
    ]
    return ", ".join(item for item in items if item)


def _state(body: StateChanged, style: _Style) -> str:
    items = _state_items(body.state, style).removesuffix(",")
    return f"state {items}" if items else "state nothing"


# --- the others ---------------------------------------------------------------------------------------


def _condition(body: PartCondition, style: _Style) -> str:
    using = style.clause("using", body.using)
    lasts = "" if body.minutes is None else f"for {body.minutes} min"
    return _join("condition", style.name(body.part), body.condition, using, lasts, tail=style.text(body.note, "; "))


def _fault(body: Fault, style: _Style) -> str:
    stage = "" if body.stage == "observed" else body.stage
    return _join("fault", style.name(body.fault), stage, tail=style.text(body.text))


def _mark(body: Mark, style: _Style) -> str:
    return f"mark {style.name(body.part)}: {body.text if style.bare and body.text else quote(body.text)}"


def _worded(keyword: str) -> Callable[[Any, _Style], str]:
    return lambda body, style: f"{keyword} {style.name(body.text)}"


def _outcome(body: ExpectationOutcome, style: _Style) -> str:
    reference = _reference(body.expectation, style.memory.entries)
    return _join("held" if body.held else "not held", reference, tail=style.text(body.text))


def _adjuster(body: AdjusterMoved, style: _Style) -> str:
    return _join(
        "adjust",
        style.name(body.adjuster),
        _word("direction", body.direction, style),
        _word("amount", body.amount, style),
        style.clause("from", body.before),
        style.clause("to", body.after),
    )


def _word(keyword: str, value: str, style: _Style) -> str:
    return _attribute(keyword, value or None, style)


def _ordered(body: PartOrdered, style: _Style) -> str:
    due = f"due {body.expected.isoformat()}" if body.expected else ""
    return _join("ordered", style.name(body.part), style.clause("from", body.where), due)


def _arrived(body: PartArrived, style: _Style) -> str:
    return f"arrived {style.name(body.part)}"


def _instrument(body: Instrument, style: _Style) -> str:
    checked = f"checked {body.checked_on.isoformat()}" if body.checked_on else ""
    return _join(
        "instrument",
        style.name(body.name),
        style.clause("sort", body.sort),
        _number_clause("+-", body.standard_uncertainty),
        f"unit {body.unit if style.bare else quote(body.unit)}" if body.unit else "",
        checked,
    )


def _tick(body: Tick, style: _Style) -> str:
    return f"{'tick' if body.done else 'untick'} {_reference(body.step, style.memory.steps)}"


def _struck(body: Struck, style: _Style) -> str:
    return f"strike {_reference(body.entry, style.memory.entries)}{style.text(body.reason)}"


def _restored(body: Restored, style: _Style) -> str:
    return f"restore {_reference(body.entry, style.memory.entries)}"


def _handed(body: HandedOver, style: _Style) -> str:
    if not body.why_open:
        return f"handed over{style.text(body.text)}"
    why = quote(body.why_open) if body.text or not style.bare else body.why_open
    return f"handed over open because {why}{style.text(body.text)}"


_PRINTERS: dict[type[Any], Callable[[Any, _Style], str]] = {
    StepTaken: _step,
    SpacerFound: _spacer,
    StepFreed: _freed_later,
    OrderTaken: _order,
    ProofLater: _later,
    ReadingTaken: _reading,
    StateChanged: _state,
    Mark: _mark,
    Fault: _fault,
    Expectation: _worded("expect"),
    ExpectationOutcome: _outcome,
    AdjusterMoved: _adjuster,
    PartCondition: _condition,
    Note: _worded("note"),
    PartOrdered: _ordered,
    PartArrived: _arrived,
    Instrument: _instrument,
    Tick: _tick,
    Proof: _proof,
    Struck: _struck,
    Restored: _restored,
    HandedOver: _handed,
}
