"""What is said of a recording, kept as entries of its job: how it was made, and how its firings are set to the dial."""

from collections.abc import Collection, Sequence
from dataclasses import asdict, fields
from typing import Any
from uuid import UUID

from asfound.bench.jobs import load_job
from asfound.bench.measured import How
from asfound.bench.shutter import DialAsked
from asfound.book import Book
from asfound.job import Entry, Job
from asfound.job.bodies import FiringsSet, HowRecorded
from asfound.shutter import Firing

# Within this a firing begins when it is measured otherwise: by another channel, or with another response.
SAME_S = 0.01


def how_of(job: Job, recording: UUID) -> How:
    """Return how a recording was made, as last said; nothing said where nobody did."""
    said = job.how_recorded.get(recording)
    if said is None:
        return How()
    values = {name: getattr(said, name) for name in _shared()}
    return How(kind=said.sort, **values)


def say_how(book: Book, job_id: UUID, recording: UUID, how: How) -> Entry | None:
    """Write down how a recording was made; None where just that is said already."""
    if how_of(load_job(book, job_id), recording) == how:
        return None
    values: dict[str, Any] = {name: value for name, value in asdict(how).items() if name != "kind"}
    return book.write(job_id, [HowRecorded(recording=recording, sort=how.kind, **values)])[0]


def say_firings(book: Book, job_id: UUID, recording: UUID, asked: DialAsked, firings: Sequence[Firing]) -> Entry | None:
    """Write down how the firings of a recording are set against the dial; None where just that is said already."""
    body = FiringsSet(
        recording=recording,
        marked=asked.marked,
        by="as walked" if asked.walked else "nearest speed" if asked.nearest else "order shot",
        shots=asked.shots,
        rested=asked.rested,
        exact_modern=asked.exact_modern,
        tolerance_stops=asked.tolerance_stops,
        top_tolerance_stops=asked.top_tolerance_stops,
        own_stops=tuple(asked.own_stops.items()),
        left_out_s=_starts(firings, asked.left_out),
        struck_s=_starts(firings, asked.struck),
    )
    if load_job(book, job_id).firings_set.get(recording) == body:
        return None
    return book.write(job_id, [body])[0]


def numbers_of(firings: Sequence[Firing], starts_s: Sequence[float]) -> tuple[int, ...]:
    """Return the numbers, from 1, of the firings that began at these seconds; one that is not found has none."""
    near = (min(enumerate(firings, start=1), key=lambda one: abs(one[1].start_s - s), default=None) for s in starts_s)
    pairs = zip(near, starts_s, strict=True)
    return tuple(one[0] for one, s in pairs if one is not None and abs(one[1].start_s - s) <= SAME_S)


def _starts(firings: Sequence[Firing], numbers: Collection[int]) -> tuple[float, ...]:
    return tuple(round(firings[number - 1].start_s, 6) for number in sorted(numbers))


def _shared() -> tuple[str, ...]:
    """Return the names that the entry and `How` have in common."""
    return tuple(field.name for field in fields(How) if field.name != "kind")
