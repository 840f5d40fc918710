"""What is still open on a job: not done, not proved, not fresh."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from asfound.job import Job, Kept, key, readings_to_restore, way_back_of
from asfound.job.bodies import Proof, ShutterTable, SpeedRow
from asfound.report.saying import say_speed, sentence


@dataclass(frozen=True, slots=True)
class OpenItem:
    """Something open: what it is about, as the bench says it, and in plain words for the owner."""

    about: Literal["speeds", "proofs", "faults", "readings", "way back", "waiting"]
    words: str
    plain: str


def open_items(job: Job) -> tuple[str, ...]:
    """Return what is not done, not proved or not fresh, a line each; empty when nothing is open."""
    return tuple(item.words for item in what_is_open(job))


def what_is_open(job: Job) -> tuple[OpenItem, ...]:
    """Return what is open, the speeds first: they are what an owner sets every day."""
    return (
        *_speeds(job),
        *_proofs(job),
        *_faults(job),
        *_not_restored(job),
        *_parts(job),
    )


def dial_as_found(job: Job) -> Kept[ShutterTable] | None:
    """Return the first dial table as found."""
    return next((kept for kept in job.tables if kept.body.stage == "as found"), None)


def dial_as_left(job: Job) -> Kept[ShutterTable] | None:
    """Return the last dial table as left."""
    return next((kept for kept in reversed(job.tables) if kept.body.stage == "as left"), None)


def latest_proofs(job: Job) -> tuple[Kept[Proof], ...]:
    """Return the latest proof of each thing, in the order the things were first proved.

    What was so as found proves nothing of the camera as it is left.
    """
    return tuple({key(kept.body.what): kept for kept in job.proofs if kept.body.stage != "as found"}.values())


def _speeds(job: Job) -> Iterable[OpenItem]:
    last = dial_as_left(job)
    if last is None:
        if job.tables or job.camera.marked_speeds:
            yield OpenItem("speeds", "speeds not measured as left", "The speeds were not measured after the work.")
        return
    if last.stale_by:
        yield OpenItem(
            "speeds",
            "the speeds as left are stale: something was touched since",
            "Something was touched after the speeds were last measured, so they count as not measured.",
        )
    yield from (_speed(row) for row in last.body.rows if row.verdict != "within")


def _speed(row: SpeedRow) -> OpenItem:
    words = f"speed {row.marked}: {row.verdict}"
    if row.verdict == "cannot tell":
        plain = f"Whether the speed marked {row.marked} is near enough, the measurement cannot tell."
        return OpenItem("speeds", words, plain)
    more = "more" if row.error_stops > 0 else "less"
    stops = f"{abs(row.error_stops):.1f} stop {more} light than marked"
    return OpenItem("speeds", words, f"The speed marked {row.marked} gives {say_speed(row.mean_s)}: {stops}.")


def _proofs(job: Job) -> Iterable[OpenItem]:
    for kept in latest_proofs(job):
        what = kept.body.what
        if kept.stale_by:
            plain = f"{what} was proved, but something it depends on was touched later: it counts as not proved."
            yield OpenItem("proofs", f"proof of {what} is stale", plain)
        elif kept.body.verdict == "outside":
            yield OpenItem("proofs", f"{what}: outside", f"{what} is outside its tolerance.")
        elif kept.body.verdict == "cannot tell":
            plain = f"Whether {what} is as it should be, the measurement cannot tell."
            yield OpenItem("proofs", f"{what}: cannot tell", plain)


def _faults(job: Job) -> Iterable[OpenItem]:
    for fault in job.faults:
        if fault.open:
            plain = f"Nothing yet proves this fault gone: {fault.name}."
            yield OpenItem("faults", f"fault not proved gone: {fault.name}", plain)


def _not_restored(job: Job) -> Iterable[OpenItem]:
    for item in readings_to_restore(job):
        name = f"{item.quantity} {item.place}".strip()
        if item.restored is None:
            yield OpenItem("readings", f"{name} not restored", f"{name} was not measured again after the work.")
        elif item.verdict == "outside":
            yield OpenItem("readings", f"{name}: outside", f"{name} is not back where it was found.")
        elif item.verdict == "cannot tell":
            plain = f"Whether {name} is back where it was found, the measurement cannot tell."
            yield OpenItem("readings", f"{name}: cannot tell", plain)


def _parts(job: Job) -> Iterable[OpenItem]:
    back = way_back_of(job)
    for step in back.open:
        yield OpenItem("way back", f"not done: {step.title}", f"Still to be done: {step.title}.")
    for line in back.unaccounted:
        yield OpenItem("way back", f"not accounted for: {line}", f"Not accounted for: {line}.")
    for waiting in job.waiting:
        words = f"waits for {waiting.part}: {waiting.why}"
        yield OpenItem("waiting", words, f"{sentence(words)}.")
