"""What is still open on a job: not done, not proved, not fresh."""

from asfound.job import Job, Kept, key, readings_to_restore, way_back_of
from asfound.job.bodies import Proof, ShutterTable


def open_items(job: Job) -> tuple[str, ...]:
    """Return what is not done, not proved or not fresh, in plain words; empty when nothing is open."""
    return (
        *_parts_off(job),
        *(
            f"{item.quantity} {item.place}".strip() + " not restored"
            for item in readings_to_restore(job)
            if item.restored is None
        ),
        *(f"fault not proved gone: {fault.name}" for fault in job.faults if fault.open),
        *_speeds(job),
        *_proofs(job),
        *(f"waits for {waiting.part}: {waiting.why}" for waiting in job.waiting),
    )


def dial_as_found(job: Job) -> Kept[ShutterTable] | None:
    """Return the first dial table as found."""
    return next((kept for kept in job.tables if kept.body.stage == "as found"), None)


def dial_as_left(job: Job) -> Kept[ShutterTable] | None:
    """Return the last dial table as left."""
    return next((kept for kept in reversed(job.tables) if kept.body.stage == "as left"), None)


def latest_proofs(job: Job) -> tuple[Kept[Proof], ...]:
    """Return the latest proof of each thing, in the order the things were first proved."""
    return tuple({key(kept.body.what): kept for kept in job.proofs}.values())


def _parts_off(job: Job) -> list[str]:
    back = way_back_of(job)
    return [f"not done: {step.title}" for step in back.open] + [
        f"not accounted for: {line}" for line in back.unaccounted
    ]


def _speeds(job: Job) -> list[str]:
    last = dial_as_left(job)
    if last is None:
        return ["speeds not measured as left"] if job.tables or job.camera.marked_speeds else []
    stale = ["the speeds as left are stale: something was touched since"] if last.stale_by else []
    return stale + [f"speed {row.marked}: {row.verdict}" for row in last.body.rows if row.verdict != "within"]


def _proofs(job: Job) -> list[str]:
    latest = latest_proofs(job)
    stale = [f"proof of {kept.body.what} is stale" for kept in latest if kept.stale_by]
    good = ("within", "not applicable")
    return stale + [f"{kept.body.what}: {kept.body.verdict}" for kept in latest if kept.body.verdict not in good]
