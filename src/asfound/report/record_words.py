"""The part of the record that is words: faults with all their stages, cautions, what is open."""

from asfound.job import Job, cautions_for
from asfound.job.bodies import HandedOver
from asfound.report.saying import say_day
from asfound.report.still_open import open_items

Rows = tuple[tuple[str, ...], ...]


def faults(job: Job) -> Rows:
    """Return every stage of every fault; the fault's name stands at its first, with whether it is open."""
    entries = {entry.id: (n, entry) for n, entry in enumerate(job.entries, start=1)}
    rows = []
    for fault in job.faults:
        for place, (stage, text, id_) in enumerate(fault.said):
            number, entry = entries[id_]
            name = f"{fault.name} ({'open' if fault.open else 'proved gone'})" if place == 0 else ""
            rows.append((name, stage, text or "nothing further said", say_day(entry.clock), str(number)))
    return tuple(rows)


def cautions(job: Job) -> Rows:
    """Return the cautions called for by the words of the job."""
    return tuple((caution.hazard, caution.advice) for caution in cautions_for(*words_written(job)))


def words_written(job: Job) -> tuple[str, ...]:
    """Return every word written on the job in which a hazard could be named."""
    names = ("text", "note", "part", "using", "fault", "complaint")
    return tuple(str(getattr(entry.body, name)) for entry in job.live for name in names if hasattr(entry.body, name))


def still_open(job: Job) -> Rows:
    """Return what is open, a line each."""
    return tuple((item,) for item in open_items(job))


def why_open(job: Job) -> str:
    """Return why the camera was handed over with something open; empty where nobody said, or it is still here."""
    body = job.handed_over.body if job.handed_over is not None else None
    return body.why_open if isinstance(body, HandedOver) else ""


def handover_text(job: Job) -> str:
    """Return what was written at the handover."""
    body = job.handed_over.body if job.handed_over is not None else None
    return body.text if isinstance(body, HandedOver) else ""
