"""The checks of a job, each at the point of the way back where it is cheapest."""

from collections.abc import Sequence
from dataclasses import replace
from uuid import UUID

from asfound.job.bodies import Proof, ProofLater, ReadingTaken, ShutterTable
from asfound.job.job import Job, Kept, key
from asfound.job.minutes import step_minutes
from asfound.teardown.proving import Check, PlacedProof, place_proofs
from asfound.teardown.step import Step


def checks_of(job: Job) -> tuple[Check, ...]:
    """Return what is to be measured or proved on the way back, the latest of each thing.

    Readings to be restored, speeds that were measured as found, and proofs. One that depends on no part that came
    off has no place among the steps and is left out.
    """
    wanted = [kept for kept in job.readings if kept.body.restore]
    readings = [
        _check(job, kept, _name(kept.body), kept.body.needs_off, _reading_missing(job, kept)) for kept in wanted
    ]
    found = next((kept for kept in job.tables if kept.body.stage == "as found"), None)
    tables = [] if found is None else [_check(job, found, "speeds", None, _table_missing(job))]
    latest = {key(kept.body.what): kept for kept in job.proofs}.values()
    proofs = [
        _check(job, kept, kept.body.what, kept.body.needs_off, "stale" if kept.stale_by else "") for kept in latest
    ]
    later = put_off(job)
    found_checks = (check for check in (*readings, *tables, *proofs) if check is not None)
    return tuple(replace(check, put_off=key(check.what) in later) for check in found_checks)


def put_off(job: Job) -> frozenset[str]:
    """Return the keys of the checks that were put off and not made since."""
    later: set[str] = set()
    for entry in job.live:
        body = entry.body
        if isinstance(body, ProofLater):
            later.add(key(body.what))
        elif isinstance(body, ReadingTaken) and body.stage == "as left":
            later.discard(key(_name(body)))
        elif isinstance(body, ShutterTable) and body.stage == "as left":
            later.discard("speeds")
        elif isinstance(body, Proof):
            later.discard(key(body.what))
    return frozenset(later)


def proofs_of(job: Job, order: Sequence[Step]) -> tuple[PlacedProof, ...]:
    """Return the checks of a job at their places in an order of the way back."""
    return place_proofs(order, job.steps, checks_of(job), step_minutes(job))


def _name(body: ReadingTaken) -> str:
    return f"{body.quantity} {body.place}".strip()


def _check(
    job: Job,
    kept: Kept[ReadingTaken] | Kept[ShutterTable] | Kept[Proof],
    what: str,
    said_off: Sequence[str] | None,
    missing: str,
) -> Check | None:
    names = {key(name) for name in kept.body.depends_on}
    on = frozenset(step.id for step in job.steps if key(step.part) in names)
    if not on:
        return None
    off = _off_when(job, kept) if said_off is None else _named(job, said_off)
    return Check(
        what=what,
        needs_on=on,
        needs_off=off - on,
        off_assumed=said_off is None,
        entry=kept.entry,
        missing=missing,
    )


def _named(job: Job, names: Sequence[str]) -> frozenset[UUID]:
    wanted = {key(name) for name in names}
    return frozenset(step.id for step in job.steps if key(step.part) in wanted)


def _off_when(job: Job, kept: Kept[ReadingTaken] | Kept[ShutterTable] | Kept[Proof]) -> frozenset[UUID]:
    """Return the steps that had been taken when something was measured as found."""
    if kept.body.stage != "as found":
        return frozenset()
    place = {entry.id: n for n, entry in enumerate(job.entries)}
    return frozenset(s.id for s in job.steps if s.action == "off" and place[s.id] < place[kept.entry])


def _reading_missing(job: Job, wanted: Kept[ReadingTaken]) -> str:
    same = [
        kept
        for kept in job.readings
        if kept.body.stage == "as left" and key(_name(kept.body)) == key(_name(wanted.body))
    ]
    return _freshness([kept.stale_by for kept in same])


def _table_missing(job: Job) -> str:
    return _freshness([kept.stale_by for kept in job.tables if kept.body.stage == "as left"])


def _freshness(stale: Sequence[UUID | None]) -> str:
    if not stale:
        return "missing"
    return "stale" if stale[-1] is not None else ""
