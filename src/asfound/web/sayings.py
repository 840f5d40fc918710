"""An entry in plain words: what sort it is, and what it says."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from asfound.job import Entry, Job
from asfound.job import bodies as b
from asfound.job.costing import show_account, show_estimate
from asfound.job.line import describe
from asfound.job.pinning import say_pin
from asfound.job.recorded import tell_firings, tell_how
from asfound.job.remembering import memory_of
from asfound.job.waits import show_minutes
from asfound.quantity import show_reading
from asfound.teardown import FastenerGroup
from asfound.web.kept import say_tolerance

TOLD_BY_LINE = (
    b.StepTaken,
    b.SpacerFound,
    b.StepFreed,
    b.OrderTaken,
    b.ReadingTaken,
    b.StateChanged,
    b.PartCondition,
    b.Fault,
    b.Mark,
    b.Expectation,
    b.AdjusterMoved,
    b.PartOrdered,
    b.PartArrived,
    b.Instrument,
    b.Note,
)


@dataclass(frozen=True, slots=True)
class Saying:
    """An entry's sort in a word or two, its text, and what else it says, a line each."""

    kind: str
    text: str
    details: tuple[str, ...] = ()


def say(entry: Entry, job: Job) -> Saying:
    """Return what an entry says."""
    body = entry.body
    if isinstance(body, b.Struck | b.Restored):
        return _about(body, job)
    if isinstance(body, b.Tick):
        return _tick(body, job)
    if isinstance(body, b.StepFreed):
        return _freed(body, job)
    if isinstance(body, b.Photo):
        return _photo(entry, job)
    if isinstance(body, b.PhotoPlaced):
        return _photo_placed(body, job)
    if isinstance(body, b.OrderTaken):
        return _order(body, job)
    if isinstance(body, b.HowRecorded | b.FiringsSet):
        return _said_of(body, job)
    return _SAYINGS[type(body)](body)


def tell_back(entry: Entry, job: Job) -> str:
    """Return an entry in one line: as the quick line tells it back, with mm and thou, where it knows the kind."""
    if isinstance(entry.body, b.Struck | b.Restored):
        return say(entry, job).text
    if isinstance(entry.body, TOLD_BY_LINE):
        state = job.states.get(entry.id, job.state)
        return describe(entry.body, replace(memory_of(job), state=state))
    said = say(entry, job)
    more = f", {said.details[0]}" if isinstance(entry.body, b.Photo) else ""
    return f"{said.kind}: {said.text}{more}"


def say_fasteners(groups: tuple[FastenerGroup, ...]) -> str:
    """Return groups of fasteners in one line."""
    return "; ".join(str(group) for group in groups)


def _about(body: b.Struck | b.Restored, job: Job) -> Saying:
    found = next(((n, e) for n, e in enumerate(job.entries, start=1) if e.id == body.entry), None)
    what = "struck through" if isinstance(body, b.Struck) else "restored"
    reason = body.reason if isinstance(body, b.Struck) and body.reason != "undo" else ""
    if found is None:
        return Saying(what, "an entry that is not in this book", _lines(reason))
    said = say(found[1], job)
    return Saying(what, f"entry {found[0]}, {said.kind}: {said.text}", _lines(reason))


def _tick(body: b.Tick, job: Job) -> Saying:
    step = next((s for s in job.steps if s.id == body.step), None)
    name = f"step {step.number}, {step.part}" if step else "a step since struck through"
    return Saying("done" if body.done else "not done after all", name)


def _freed(body: b.StepFreed, job: Job) -> Saying:
    parts = {step.id: step.part for step in job.steps}
    step = parts.get(body.step, "a step struck through")
    by, not_by = (
        ", ".join(parts.get(id_, "a step struck through") for id_ in ids) for ids in (body.freed_by or (), body.not_by)
    )
    if body.freed_by is None:
        return Saying("freed", f"{step}, not by {not_by}" if not_by else f"{step}, by all before it, as assumed")
    return Saying("freed", f"{step}, by {by or 'nothing'}")


def _order(body: b.OrderTaken, job: Job) -> Saying:
    parts = {step.id: step.part for step in job.steps}
    order = ", then ".join(parts[id_] for id_ in body.steps if id_ in parts)
    return Saying("order of the way back", order or "nothing of it is left")


def _photo(entry: Entry, job: Job) -> Saying:
    body = next((photo for id_, photo in job.photos if id_ == entry.id), entry.body)
    assert isinstance(body, b.Photo)
    step = next((f"with step {s.number}, {s.part}" for s in job.steps if s.id == body.step), "with no step")
    return Saying("photograph", body.caption or body.attachment.name, (step,))


def _photo_placed(body: b.PhotoPlaced, job: Job) -> Saying:
    step = next((f"step {s.number}, {s.part}" for s in job.steps if s.id == body.step), "no step")
    photo = next((p.caption or p.attachment.name for id_, p in job.photos if id_ == body.photo), "a photograph")
    return Saying("photograph moved", f"{photo}: to {step}")


def _said_of(body: b.HowRecorded | b.FiringsSet, job: Job) -> Saying:
    recording = next((r.caption or r.attachment.name for id_, r in job.recordings if id_ == body.recording), "")
    if isinstance(body, b.HowRecorded):
        return Saying("how recorded", tell_how(body), _lines(recording))
    return Saying("set against the dial", tell_firings(body), _lines(recording))


def _opened(body: b.Opened) -> Saying:
    return Saying("job opened", _camera(body.camera), _lines(body.complaint and f"“{body.complaint}”"))


def _camera(camera: b.Camera) -> str:
    words = " ".join(word for word in (camera.maker, camera.model) if word)
    return f"{words}, no. {camera.serial}" if camera.serial else words


def _fault(body: b.Fault) -> Saying:
    return Saying(f"fault, {body.stage}", body.fault, _lines(body.text))


def _step(body: b.StepTaken) -> Saying:
    turns = f" by {body.turns:g} turns" if body.turns else ""
    details = _lines(
        say_fasteners(body.fasteners),
        body.lies and f"lies in {body.lies}",
        body.held_by and f"held by {body.held_by}",
        body.tool and f"tool: {body.tool}",
        body.pose and f"held so: {body.pose}",
        body.note,
    )
    return Saying({"off": "off", "slackened": "slackened", "back": "put back"}[body.action], body.part + turns, details)


def _spacer(body: b.SpacerFound) -> Saying:
    thickness = f", {show_reading(body.thickness)}" if body.thickness else ""
    details = _lines(
        body.between and f"between {' and '.join(body.between)}", body.lies and f"lies in {body.lies}", body.note
    )
    return Saying("spacer, found late" if body.late else "spacer", body.name + thickness, details)


def _reading(body: b.ReadingTaken) -> Saying:
    where = f", {body.place}" if body.place else ""
    details = _lines(
        str(body.reading.state),
        body.instrument and f"with {body.instrument}",
        body.restore and "to be restored",
        say_tolerance(body.tolerance),
    )
    return Saying(f"reading, {body.stage}", f"{body.quantity}{where}: {show_reading(body.reading)}", details)


def _table(body: b.ShutterTable) -> Saying:
    bad = [f"{row.marked}: {row.error_stops:+.2f} stops" for row in body.rows if row.verdict != "within"]
    text = f"{len(body.rows)} speeds measured, {len(body.rows) - len(bad)} within tolerance"
    return Saying(f"shutter table, {body.stage}", text, _lines("; ".join(bad)))


def _proof(body: b.Proof) -> Saying:
    value = f", {show_reading(body.reading)}" if body.reading else ""
    return Saying(
        "proof", f"{body.what}: {body.verdict}{value}", _lines(body.instrument and f"with {body.instrument}", body.text)
    )


def _ordered(body: b.PartOrdered) -> Saying:
    by = f"expected {body.expected:%d %B %Y}" if body.expected else ""
    return Saying("sent for", body.part, _lines(body.where, by))


def _instrument(body: b.Instrument) -> Saying:
    known = "" if body.standard_uncertainty is None else f"reads to ± {body.standard_uncertainty:g} {body.unit}".strip()
    return Saying("instrument", body.name, _lines(body.sort, known))


def _lasting(body: b.PartCondition) -> str:
    lasts = show_minutes(body.minutes)
    return lasts and f"for {lasts}"


def _lines(*lines: object) -> tuple[str, ...]:
    return tuple(str(line) for line in lines if line)


_SAYINGS: dict[type[b.Body], Callable[[Any], Saying]] = {
    b.Opened: _opened,
    b.CameraDetails: lambda body: Saying("camera's particulars", _camera(body.camera)),
    b.Fault: _fault,
    b.StepTaken: _step,
    b.SpacerFound: _spacer,
    b.ReadingTaken: _reading,
    b.StateChanged: lambda body: Saying("state", str(body.state)),
    b.Mark: lambda body: Saying("mark", f"{body.part}: {body.text}"),
    b.Expectation: lambda body: Saying("expected", body.text),
    b.ExpectationOutcome: lambda body: Saying("came true" if body.held else "did not come true", body.text),
    b.AdjusterMoved: lambda body: Saying(
        "adjuster moved",
        " ".join(_lines(body.adjuster, body.direction, body.amount)),
        _lines(body.before and f"before: {body.before}", body.after and f"after: {body.after}"),
    ),
    b.PartCondition: lambda body: Saying(
        body.condition,
        ", ".join(_lines(body.part, body.using and f"with {body.using}", _lasting(body))),
        _lines(body.note),
    ),
    b.Note: lambda body: Saying("note", body.text),
    b.Recording: lambda body: Saying(f"recording, {body.stage}", body.caption or body.attachment.name),
    b.Annotation: lambda body: Saying(
        "pin moved" if body.instead_of else "pin on a photograph",
        "; ".join(say_pin(pin) or "without a name" for pin in body.pins),
    ),
    b.ShutterTable: _table,
    b.PartOrdered: _ordered,
    b.PartArrived: lambda body: Saying("arrived", body.part),
    b.Instrument: _instrument,
    b.Proof: _proof,
    b.Estimate: lambda body: Saying("estimate", show_estimate(body), _lines(body.basis, body.text)),
    b.Account: lambda body: Saying("account", show_account(body), _lines(body.text)),
    b.ProofLater: lambda body: Saying("put off", f"proof of {body.what}", _lines(body.text)),
    b.InstrumentWrong: lambda body: Saying(
        "instrument wrong", f"{body.instrument}, since {body.since.isoformat()}", _lines(body.text)
    ),
    b.HandedOver: lambda body: Saying("handed over", body.text, _lines(body.why_open and f"open: {body.why_open}")),
}
