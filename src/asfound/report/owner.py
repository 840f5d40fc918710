"""The first page, for the owner: what was found, done and proved, and what to know, in plain words."""

from collections.abc import Iterable
from dataclasses import dataclass

from asfound.job import Job, cautions_for, readings_to_restore
from asfound.job.bodies import AdjusterMoved, PartArrived, PartCondition, SpeedRow
from asfound.report.record_words import why_open, words_written
from asfound.report.saying import say_list, say_reading, say_speed, shorten
from asfound.report.still_open import dial_as_left, latest_proofs, open_items

# What fits on one page; the record has everything.
MOST_LINES = {"found": 7, "done": 8, "proved": 8, "know": 9}
LONGEST_LINE = 170
LONGEST_COMPLAINT = 420

# Hazards that stay with the camera when it goes home.
_GOES_HOME = ("mercury cell", "radioactive glass", "luminous paint", "flash capacitor")


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnerPage:
    """The owner's page; each list says so where there is nothing to say."""

    complaint: str
    found: tuple[str, ...]
    done: tuple[str, ...]
    proved: tuple[str, ...]
    know: tuple[str, ...]
    left_out: int


def owner_page(job: Job) -> OwnerPage:
    """Return the owner's page of a job; lines that do not fit are counted and stand in the record."""
    makers = {"found": _found, "done": _done, "proved": _proved, "know": _know}
    lists = {name: list(make(job)) for name, make in makers.items()}
    fitted = {name: _fit(lines, MOST_LINES[name]) for name, lines in lists.items()}
    return OwnerPage(
        complaint=shorten(job.complaint, LONGEST_COMPLAINT) or "No complaint was written down.",
        found=fitted["found"] or ("No fault was written down.",),
        done=fitted["done"] or ("No work was written down.",),
        proved=fitted["proved"] or ("Nothing was proved.",),
        know=fitted["know"] or ("Nothing is open.",),
        left_out=sum(max(0, len(lines) - MOST_LINES[name]) for name, lines in lists.items()),
    )


def _fit(lines: list[str], most: int) -> tuple[str, ...]:
    kept = tuple(shorten(line, LONGEST_LINE) for line in lines[:most])
    more = len(lines) - len(kept)
    return (*kept, f"… and {more} more in the record.") if more > 0 else kept


def _found(job: Job) -> Iterable[str]:
    for fault in job.faults:
        seen = [text for stage, text, _ in fault.said if stage in ("observed", "suspected") and text]
        yield f"{fault.name}: {seen[0]}" if seen else fault.name


def _done(job: Job) -> Iterable[str]:
    for fault in job.faults:
        work = [text for stage, text, _ in fault.said if stage == "work" and text]
        if work:
            yield f"{fault.name}: {'; '.join(work)}"
    bodies = [entry.body for entry in job.live]
    conditions = [body for body in bodies if isinstance(body, PartCondition)]
    for words, wanted in (("Cleaned", "soaking"), ("Lubricated", "lubricated")):
        yield from _named(words, (body.part for body in conditions if body.condition == wanted))
    yield from _named("Came from outside", (body.part for body in bodies if isinstance(body, PartArrived)))
    yield from _named("Adjusted", (body.adjuster for body in bodies if isinstance(body, AdjusterMoved)))
    if job.steps:
        back = sum(step.back for step in job.steps)
        said = "all are back" if back == len(job.steps) else f"{back} are back"
        yield f"Taken apart in {len(job.steps)} steps; {said}."


def _named(words: str, parts: Iterable[str]) -> Iterable[str]:
    names = list(dict.fromkeys(parts))
    if names:
        yield f"{words}: {say_list(names)}."


def _proved(job: Job) -> Iterable[str]:
    left = dial_as_left(job)
    if left is not None and left.stale_by is None:
        rows = left.body.rows
        good = sum(row.verdict == "within" for row in rows)
        yield f"Speeds: {good} of {len(rows)} marked speeds were measured to be within their tolerance."
    for kept in latest_proofs(job):
        if kept.body.verdict == "within" and kept.stale_by is None:
            result = "" if kept.body.reading is None else f" ({say_reading(kept.body.reading)})"
            yield f"{kept.body.what}: within its tolerance{result}."
    for fault in job.faults:
        if not fault.open:
            yield f"{fault.name}: gone. {fault.said[-1][1]}".strip()
    restored = sum(item.restored is not None for item in readings_to_restore(job))
    if restored:
        yield f"{restored} {'reading' if restored == 1 else 'readings'} as found taken again when the parts were back."
    absent = [kept.body.what for kept in latest_proofs(job) if kept.body.verdict == "not applicable"]
    yield from _named("This camera does not have or need", absent)


def _know(job: Job) -> Iterable[str]:
    left = dial_as_left(job)
    if left is not None:
        off = [row for row in left.body.rows if row.verdict == "outside"]
        yield from (_real_speed(row) for row in off)
    spoken_of = {f"speed {row.marked}: outside" for row in left.body.rows} if left is not None else set()
    still = [item for item in open_items(job) if item not in spoken_of]
    yield from (f"Open: {item}." for item in still)
    why = why_open(job)
    if why:
        yield f"Why it goes out like this: {why}"
    for caution in cautions_for(*words_written(job)):
        if caution.hazard in _GOES_HOME:
            yield f"{caution.hazard.capitalize()}: {caution.advice}"


def _real_speed(row: SpeedRow) -> str:
    stops = f"{abs(row.error_stops):.1f} stop {'more' if row.error_stops > 0 else 'less'} light"
    return f"The speed marked {row.marked} gives {say_speed(row.mean_s)}: {stops} than marked."
