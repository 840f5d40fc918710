"""From the page into the job, and back into the form the next time."""

from collections.abc import Iterable
from dataclasses import replace

from asfound.bench.focus import Page
from asfound.bench.springs import typed_before
from asfound.job import Job
from asfound.job.bodies import Stage
from asfound.web.room import Asked
from asfound.web.room_form import Field


def page_of(asked: Asked, stage: Stage) -> Page:
    """Return where a result is written, with what was typed for it."""
    return Page(book=asked.book, job_id=asked.job.id, typed=asked.typed, stage=stage)


def filled(fields: Iterable[Field], job: Job, quantity: str) -> tuple[Field, ...]:
    """Return the fields with what was typed when the quantity was last written from this page."""
    before = typed_before(job, quantity)
    return tuple(replace(one, default=before.get(one.name, one.default)) for one in fields)
