"""The part of the record that was measured: readings restored, other readings, proofs, instruments."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from asfound.job import Job, Kept, key, readings_to_restore
from asfound.job.bodies import Instrument, ReadingTaken
from asfound.job.instruments import instruments_used
from asfound.quantity.tolerance import Tolerance, verdict
from asfound.report.saying import say_differences, say_reading, say_state, say_tolerance
from asfound.teardown.wayback import ReadingToRestore

Rows = tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class InstrumentCheck:
    """The latest check of an instrument, in words, as the bench keeps it beside its book."""

    sort: str
    uncertainty: str
    checked: str
    against: str


def restored(job: Job) -> Rows:
    """Return each reading to restore as found and as left, its tolerance, and whether it is kept."""
    return tuple(
        (
            _named(item.quantity, item.place),
            say_reading(item.reading),
            _as_left(job, item),
            held_to(item.tolerance),
            _verdict(item),
        )
        for item in readings_to_restore(job)
    )


def _named(quantity: str, place: str) -> str:
    return f"{quantity}, {place}" if place else quantity


def held_to(tolerance: Tolerance | None) -> str:
    """Return the allowed range and who says so."""
    if tolerance is None:
        return "no tolerance was given"
    return f"{say_tolerance(tolerance)}; {tolerance.source or 'no source given'}"


def _as_left(job: Job, item: ReadingToRestore) -> str:
    if item.restored is None:
        stale = _stale_as_left(job, item)
        return "not measured as left" if stale is None else f"{say_reading(stale.body.reading)}, stale"
    return say_reading(item.restored) + (", in another state (see below)" if _difference(job, item) else "")


def _stale_as_left(job: Job, item: ReadingToRestore) -> Kept[ReadingTaken] | None:
    """Return the latest reading of the same thing as left, where it no longer speaks for the camera."""
    same = [
        kept
        for kept in job.readings
        if kept.body.stage == "as left"
        and key(kept.body.quantity) == key(item.quantity)
        and key(kept.body.place) == key(item.place)
    ]
    return same[-1] if same and same[-1].stale_by is not None else None


def _difference(job: Job, item: ReadingToRestore) -> str:
    """Return in what the states as found and as left differ; empty where they do not or nothing is left."""
    if item.restored is None:
        return ""
    found = next(kept for kept in job.readings if kept.entry == item.entry)
    left = next(kept for kept in reversed(job.readings) if kept.body.reading is item.restored)
    return say_differences(found.state, left.state)


def restored_notes(job: Job) -> tuple[str, ...]:
    """Return what has to be said under the readings restored: other states, readings not taken again."""
    items = readings_to_restore(job)
    alike: dict[str, list[str]] = {}
    for item in items:
        alike.setdefault(_difference(job, item), []).append(_named(item.quantity, item.place))
    notes = [
        f"As found and as left were not taken in the same state ({difference}): {'; '.join(names)}."
        for difference, names in alike.items()
        if difference
    ]
    if any(item.restored is None for item in items):
        notes.append("A reading that was not taken again as left is not restored.")
    return tuple(notes)


def _verdict(item: ReadingToRestore) -> str:
    if item.restored is None:
        return "not restored"
    if item.tolerance is None:
        return "cannot tell: no tolerance"
    if item.restored.unit != item.tolerance.unit:
        return "cannot tell: another unit"
    return verdict(item.restored, item.tolerance)


_FOCUS = re.compile(
    r"\b(?:infinity|focus\w*|focusing|helical|scale|near distance|front cell|rangefinder|aperture)\b|off the datum",
    re.I,
)
_SPRINGS = re.compile(r"\bspring|\btorque\b", re.I)
_PLANES = re.compile(
    r"\b(?:corner|standard|tilt|defocus|height|scatter|give|round|diameter|clearance|play|rattle|film gap|gap)\b", re.I
)
WOUND = "spring rate"


def focus_readings(job: Job) -> Rows:
    """Return the readings of the focus."""
    return _readings(job, "focus")


def plane_readings(job: Job) -> Rows:
    """Return the readings of planes, rings, struts and fits."""
    return _readings(job, "planes")


def spring_readings(job: Job) -> Rows:
    """Return the readings of springs."""
    return _readings(job, "springs")


def other_readings(job: Job) -> Rows:
    """Return the readings of anything else."""
    return _readings(job, "other")


def _topic(quantity: str) -> str:
    """Return in which section of the record a quantity stands."""
    topics = (("springs", _SPRINGS), ("focus", _FOCUS), ("planes", _PLANES))
    return next((topic for topic, pattern in topics if pattern.search(quantity)), "other")


def _readings(job: Job, topic: str) -> Rows:
    """Return the readings of a topic that are neither to be restored nor the answer to one that is."""
    answers = {id(item.restored) for item in readings_to_restore(job) if item.restored is not None}
    told = {stale.entry for item in readings_to_restore(job) if (stale := _stale_as_left(job, item)) is not None}
    return tuple(
        _reading(kept)
        for kept in job.readings
        if _topic(kept.body.quantity) == topic
        and not kept.body.restore
        and id(kept.body.reading) not in answers
        and kept.entry not in told
    )


def wound(job: Job) -> Rows:
    """Return the springs whose dimensions are written down, as a new one is wound to them; the latest of each."""
    latest = {key(kept.body.place): kept for kept in job.readings if key(kept.body.quantity) == WOUND and kept.body.raw}
    return tuple(
        (kept.body.place or "spring", "; ".join(kept.body.raw), say_reading(kept.body.reading))
        for kept in latest.values()
    )


def _reading(kept: Kept[ReadingTaken]) -> tuple[str, ...]:
    body = kept.body
    ways = [word for word in (body.instrument, body.reading.how) if word]
    return (
        _named(body.quantity, body.place),
        say_reading(body.reading),
        body.stage + _stale(kept),
        ", ".join(dict.fromkeys(ways)) or "not written down",
        say_state(kept.state),
    )


def _stale(kept: Kept[ReadingTaken]) -> str:
    """Say that a reading is stale; one as found is of the past in any case."""
    return " (stale)" if kept.stale_by is not None and kept.body.stage != "as found" else ""


def instruments(job: Job, checks: Mapping[str, InstrumentCheck] | None = None) -> Rows:
    """Return the instruments written down in the job or named by readings, tables and proofs, with their checks."""
    known = {key(instrument.name): instrument for instrument in job.instruments}
    named = [*(one.name for one in job.instruments), *(used.name for used in instruments_used(job.live))]
    names = {key(name): name for name in reversed(named)}
    order = dict.fromkeys(map(key, named))
    return tuple(_instrument(names[name], known.get(name), (checks or {}).get(name)) for name in order)


def _instrument(name: str, said: Instrument | None, check: InstrumentCheck | None) -> tuple[str, ...]:
    if check is not None:
        return (name, check.sort, check.uncertainty, check.checked, check.against)
    if said is None:
        return (name, "named by readings only", "not known", "not known", "not known")
    u, unit = said.standard_uncertainty, said.unit
    size = "not known" if u is None else f"{u:.3g} {unit}".strip()
    day = said.checked_on.isoformat() if said.checked_on else "not known"
    return (name, said.sort or "not written down", size, day, "not known")
