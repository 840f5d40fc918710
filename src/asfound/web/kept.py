"""Readings, tables and proofs as rows: with their meaning, their state, and whether they still count."""

from dataclasses import dataclass
from uuid import UUID

from asfound.job import Job, Kept, readings_to_restore
from asfound.job.bodies import Proof, ReadingTaken
from asfound.quantity import Reading, show_number, show_reading
from asfound.quantity.tolerance import Tolerance, verdict
from asfound.teardown import ReadingToRestore


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptRow:
    """Something measured or to be measured, in words."""

    name: str
    value: str
    meaning: str = ""
    verdict: str = ""
    stage: str = ""
    state: str = ""
    stale: str = ""
    differs: str = ""
    entry: UUID | None = None


@dataclass(frozen=True, slots=True)
class StepChoice:
    """A step that a photograph can be laid with."""

    id: str
    name: str


def step_choices(job: Job) -> tuple[StepChoice, ...]:
    """Return the steps of a job, the latest first."""
    return tuple(StepChoice(str(s.id), f"{s.number}: {s.part}") for s in reversed(job.steps))


def stale_rows(job: Job) -> tuple[KeptRow, ...]:
    """Return what no longer speaks for the camera: proofs, tables and readings, as-found ones left out.

    How a camera came is never stale: it says what was, whatever was touched since.
    """
    proofs = [proof_row(job, kept) for kept in job.proofs if kept.stale_by]
    tables = [
        KeptRow(
            name="shutter table",
            value=f"{len(k.body.rows)} speeds",
            stage=k.body.stage,
            stale=why_stale(job, k.stale_by),
        )
        for k in job.tables
        if k.stale_by and k.body.stage != "as found"
    ]
    readings = [reading_row(job, kept) for kept in job.readings if kept.stale_by and kept.body.stage != "as found"]
    return (*proofs, *tables, *readings)


def outstanding(job: Job) -> tuple[KeptRow, ...]:
    """Return the readings that are to be come back to and have not been."""
    return tuple(restore_row(job, item) for item in readings_to_restore(job) if item.restored is None)


def reading_row(job: Job, kept: Kept[ReadingTaken]) -> KeptRow:
    """Return a reading as a row."""
    body = kept.body
    return KeptRow(
        name=f"{body.quantity}, {body.place}" if body.place else body.quantity,
        value=show_reading(body.reading),
        meaning=say_tolerance(body.tolerance),
        verdict=judge(body.reading, body.tolerance),
        stage=body.stage,
        state=str(kept.state),
        stale=why_stale(job, kept.stale_by) if body.stage != "as found" else "",
        entry=kept.entry,
    )


def proof_row(job: Job, kept: Kept[Proof]) -> KeptRow:
    """Return a proof as a row; a stale one is no pass."""
    body = kept.body
    return KeptRow(
        name=body.what,
        value=show_reading(body.reading) if body.reading else "",
        meaning=say_tolerance(body.tolerance) or body.text,
        verdict=body.verdict,
        stage=body.stage,
        state=str(kept.state),
        stale=why_stale(job, kept.stale_by),
        entry=kept.entry,
    )


def restore_row(job: Job, item: ReadingToRestore) -> KeptRow:
    """Return a reading to be come back to, with the one that did so, and whether the two can be compared."""
    found = show_reading(item.reading)
    now = f"found {found}" + (f", now {show_reading(item.restored)}" if item.restored else "")
    return KeptRow(
        name=f"{item.quantity}, {item.place}" if item.place else item.quantity,
        value=now,
        meaning=say_tolerance(item.tolerance),
        verdict=judge(item.restored, item.tolerance) if item.restored else "",
        differs=_other_state(job, item),
        entry=item.entry,
    )


def _other_state(job: Job, item: ReadingToRestore) -> str:
    """Say where the camera was in another state when the reading was restored: the two are not alike."""
    found = next((kept.state for kept in job.readings if kept.entry == item.entry), None)
    left = next((kept.state for kept in reversed(job.readings) if kept.body.reading is item.restored), None)
    if found is None or left is None:
        return ""
    changes = (f"{name} {getattr(found, name)}, then {getattr(left, name)}" for name in found.differences(left))
    said = "; ".join(changes)
    return f"not in one state: {said}" if said else ""


def say_tolerance(tolerance: Tolerance | None) -> str:
    """Return what a reading is held to, and who says so."""
    return f"held to {say_bounds(tolerance)} ({tolerance.source})" if tolerance else ""


def say_bounds(tolerance: Tolerance) -> str:
    """Return the bounds to the digit that tells them apart: "63.37 to 63.47 mm"."""
    if tolerance.lower is None or tolerance.upper is None:
        return str(tolerance)
    width = float(f"{tolerance.upper - tolerance.lower:.2g}")  # 0.1 and not 0.0999999
    if abs(tolerance.lower + tolerance.upper) < 1e-9 * abs(tolerance.upper):
        return f"± {show_number(tolerance.upper, width)} {tolerance.unit}"
    return f"{show_number(tolerance.lower, width)} to {show_number(tolerance.upper, width)} {tolerance.unit}"


def judge(reading: Reading, tolerance: Tolerance | None) -> str:
    """Return the verdict, or nothing where a reading is held to nothing."""
    return verdict(reading, tolerance) if tolerance is not None and tolerance.unit == reading.unit else ""


def why_stale(job: Job, by: UUID | None) -> str:
    """Return which later entry touched what this depends on."""
    return "" if by is None else f"stale since entry {job.number(by)}"
