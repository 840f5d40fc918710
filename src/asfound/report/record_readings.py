"""The part of the record that was measured: readings restored, other readings, proofs, instruments."""

from asfound.job import Job, Kept, key, readings_to_restore
from asfound.job.bodies import Proof, ReadingTaken
from asfound.quantity.tolerance import Tolerance, verdict
from asfound.report.saying import say_differences, say_reading, say_state, say_tolerance
from asfound.teardown.wayback import ReadingToRestore

Rows = tuple[tuple[str, ...], ...]


def restored(job: Job) -> Rows:
    """Return each reading to restore as found and as left, its tolerance, and whether it is kept."""
    return tuple(
        (
            _named(item.quantity, item.place),
            say_reading(item.reading),
            _as_left(job, item),
            _held_to(item.tolerance),
            _verdict(item),
        )
        for item in readings_to_restore(job)
    )


def _named(quantity: str, place: str) -> str:
    return f"{quantity}, {place}" if place else quantity


def _held_to(tolerance: Tolerance | None) -> str:
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


def other_readings(job: Job) -> Rows:
    """Return the readings that are neither to be restored nor the answer to one that is."""
    answers = {id(item.restored) for item in readings_to_restore(job) if item.restored is not None}
    told = {stale.entry for item in readings_to_restore(job) if (stale := _stale_as_left(job, item)) is not None}
    return tuple(
        _reading(kept)
        for kept in job.readings
        if not kept.body.restore and id(kept.body.reading) not in answers and kept.entry not in told
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


def _stale(kept: Kept[ReadingTaken] | Kept[Proof]) -> str:
    """Say that a reading is stale; one as found is of the past in any case."""
    return " (stale)" if kept.stale_by is not None and kept.body.stage != "as found" else ""


def proofs(job: Job) -> Rows:
    """Return every proof with what it was held to; a stale one is not a pass and says so."""
    return tuple(_proof(kept) for kept in job.proofs)


def _proof(kept: Kept[Proof]) -> tuple[str, ...]:
    body = kept.body
    result = [say_reading(body.reading)] if body.reading is not None else []
    return (
        f"{body.what} ({body.stage})",
        "; ".join([*result, *([body.text] if body.text else [])]) or "no value",
        "does not apply" if body.verdict == "not applicable" else _held_to(body.tolerance),
        f"stale, was {body.verdict}" if _stale(kept) else body.verdict,
        say_state(kept.state),
    )


def instruments(job: Job) -> Rows:
    """Return the instruments written down, and those named by readings alone."""
    known = {instrument.name.casefold() for instrument in job.instruments}
    named = dict.fromkeys(
        kept.body.instrument for kept in job.readings if kept.body.instrument.casefold() not in known | {""}
    )
    return (
        *(
            (
                instrument.name,
                instrument.sort or "not written down",
                "not known"
                if instrument.standard_uncertainty is None
                else f"{instrument.standard_uncertainty:.3g} {instrument.unit}".strip(),
                instrument.checked_on.isoformat() if instrument.checked_on else "not known",
            )
            for instrument in job.instruments
        ),
        *((name, "named by a reading only", "not known", "not known") for name in named),
    )
