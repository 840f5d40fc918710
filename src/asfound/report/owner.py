"""The first page, for the owner: what was found, done and proved, and what to know, in plain words."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from asfound.job import Job, cautions_for, readings_to_restore
from asfound.job.bodies import AdjusterMoved, PartArrived, PartCondition
from asfound.job.proving import proof_list
from asfound.report.record_words import why_open, words_written
from asfound.report.saying import say_list, say_reading, sentence, shorten
from asfound.report.still_open import dial_as_left, what_is_open

# What fits on the page, as tried on paper: so many lines of so many letters, with and without the picture.
LINES_ON_PAGE = {True: 23, False: 31}
LETTERS_IN_LINE = 88
LONGEST_COMPLAINT = 350

# How much of each list to print, from all of it to little: most items, longest item.
_CUTS = ((12, 350), (10, 170), (8, 170), (8, 86), (6, 86), (5, 86), (4, 86))

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


def owner_page(job: Job) -> OwnerPage:
    """Return the owner's page of a job; what does not fit is counted and stands in the record."""
    lists = {
        "found": tuple(_found(job)) or ("No fault was written down.",),
        "done": tuple(_done(job)) or ("No work was written down.",),
        "proved": tuple(_proved(job)) or ("Nothing was proved.",),
        "know": tuple(_know(job)) or ("Nothing is open.",),
    }
    complaint = shorten(job.complaint, LONGEST_COMPLAINT) or "No complaint was written down."
    room = LINES_ON_PAGE[bool(job.tables)] - _lines([complaint])
    return OwnerPage(complaint=complaint, **_fitted(lists, room))


def _fitted(lists: Mapping[str, Sequence[str]], room: int) -> dict[str, tuple[str, ...]]:
    """Return the lists cut no more than it takes to fit the page."""
    for most, longest in _CUTS:
        cut = {name: _cut(lines, most, longest) for name, lines in lists.items()}
        if sum(_lines(lines) for lines in cut.values()) <= room:
            break
    return cut


def _cut(lines: Sequence[str], most: int, longest: int) -> tuple[str, ...]:
    kept = tuple(sentence(shorten(line, longest)) for line in lines[:most])
    more = len(lines) - len(kept)
    return (*kept, f"… and {more} more in the record.") if more > 0 else kept


def _lines(texts: Iterable[str]) -> int:
    return sum(math.ceil(len(text) / LETTERS_IN_LINE) for text in texts)


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
        said = "everything is back" if back == len(job.steps) else f"{back or 'none'} of them undone again"
        yield f"Taken apart in {len(job.steps)} {'step' if len(job.steps) == 1 else 'steps'}; {said}."


def _named(words: str, parts: Iterable[str]) -> Iterable[str]:
    names = list(dict.fromkeys(parts))
    if names:
        yield f"{words}: {say_list(names)}."


def _proved(job: Job) -> Iterable[str]:
    left = dial_as_left(job)
    if left is not None and left.stale_by is None:
        rows = left.body.rows
        good = sum(row.verdict == "within" for row in rows)
        yield f"Speeds: {good} of {len(rows)} marked speeds are within their tolerance, beyond doubt of measuring."
    lines = [line for line in proof_list(job) if not line.name.startswith("speed ")]
    plainly = []
    for line in lines:
        if line.standing == "within" and line.left is not None:
            if line.left.reading is None:
                plainly.append(line.name)
            else:
                yield f"{line.name}: {say_reading(line.left.reading)}, within its tolerance."
    yield from _named("Looked at and as it should be", plainly)
    for fault in job.faults:
        if not fault.open:
            yield f"{fault.name}: proved gone. {fault.said[-1][1]}".strip()
    again = sum(item.restored is not None for item in readings_to_restore(job))
    if again:
        which = "One reading as found was" if again == 1 else f"{again} readings as found were"
        yield f"{which} taken again once the parts were back."
    yield from _named("Does not apply to this camera", (n.name for n in lines if n.standing == "not applicable"))


def _way_back(lines: Sequence[str]) -> Sequence[str]:
    """Return what is not done, as a number where it is much."""
    if len(lines) <= 3:
        return lines
    first = lines[0].removeprefix("Still to be done: ")
    return (f"The camera is not yet together: {len(lines)} things are still to be done, first: {first}",)


def _not_proved(names: Sequence[str]) -> Iterable[str]:
    kinds = dict.fromkeys("apertures" if name.startswith("aperture ") else name for name in names)
    if kinds:
        yield f"Not proved, so treat as not known: {say_list(kinds)}."


def _know(job: Job) -> Iterable[str]:
    items = what_is_open(job)
    yield from (item.plain for item in items if item.about in ("speeds", "proofs"))
    yield from _not_proved([item.words.partition(":")[0] for item in items if item.about == "not proved"])
    yield from (item.plain for item in items if item.about in ("faults", "readings", "waiting"))
    yield from _way_back([item.plain for item in items if item.about == "way back"])
    why = why_open(job)
    if why:
        yield f"Why it goes out like this: {why}"
    for caution in cautions_for(*words_written(job)):
        if caution.hazard in _GOES_HOME:
            yield f"{caution.hazard}: {caution.advice}"
