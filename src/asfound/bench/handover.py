"""Handing a camera over: what is still open, the report, and the last entry."""

import datetime
from uuid import UUID

from asfound.bench.jobs import load_job
from asfound.book import Book
from asfound.job import Entry, Job, readings_to_restore, way_back_of
from asfound.job.bodies import HandedOver
from asfound.problems import ConflictError, Problem
from asfound.report import handover_pdf


def open_items(job: Job) -> tuple[str, ...]:
    """Return what is not done, not proved or not fresh, in plain words; empty when nothing is open."""
    return (
        *_parts_off(job),
        *_not_restored(job),
        *(f"fault not proved gone: {fault.name}" for fault in job.faults if fault.open),
        *_speeds(job),
        *_proofs(job),
        *(f"waits for {waiting.part}: {waiting.why}" for waiting in job.waiting),
    )


def _parts_off(job: Job) -> list[str]:
    back = way_back_of(job)
    return [f"not done: {s.title}" for s in back.open] + [f"not accounted for: {line}" for line in back.unaccounted]


def _not_restored(job: Job) -> list[str]:
    found = [(f"{item.quantity} {item.place}".strip(), item.verdict) for item in readings_to_restore(job) if item.open]
    return [f"{name}: {verdict}" if verdict else f"{name} not restored" for name, verdict in found]


def _speeds(job: Job) -> list[str]:
    as_left = [table for table in job.tables if table.body.stage == "as left"]
    if not as_left:
        return ["speeds not measured as left"] if job.tables or job.camera.marked_speeds else []
    last = as_left[-1]
    stale = ["the speeds as left are stale: something was touched since"] if last.stale_by else []
    return stale + [f"speed {row.marked}: {row.verdict}" for row in last.body.rows if row.verdict != "within"]


def _proofs(job: Job) -> list[str]:
    latest = {kept.body.what.casefold(): kept for kept in job.proofs}
    stale = [f"proof of {kept.body.what} is stale" for kept in latest.values() if kept.stale_by]
    good = ("within", "not applicable")
    failed = [f"{kept.body.what}: {kept.body.verdict}" for kept in latest.values() if kept.body.verdict not in good]
    return stale + failed


def report(book: Book, job_id: UUID) -> bytes:
    """Return the handover report as PDF."""
    job = load_job(book, job_id)
    photos = {photo.attachment.sha256: book.attachment_path(photo.attachment.sha256) for _, photo in job.photos}
    touched = datetime.datetime.fromtimestamp(job.touched_at.wall_ms / 1000).astimezone()
    return handover_pdf(job, photos=photos, as_of=f"{touched:%d %B %Y}")


def hand_over(book: Book, job_id: UUID, *, text: str = "", why_open: str = "") -> Entry:
    """Write that the camera left the bench.

    Raises
    ------
    ConflictError
        If something is open and `why_open` does not say why.
    """
    job = load_job(book, job_id)
    if job.handed_over is not None:
        raise ConflictError(Problem("handover", "this job is handed over already", "strike that entry to reopen it"))
    still_open = open_items(job)
    if still_open and not why_open.strip():
        what = f"{len(still_open)} things are open: " + "; ".join(still_open[:3])
        raise ConflictError(Problem("handover", what, "say in a few words why it goes out like this"))
    return book.write(job_id, [HandedOver(text=text, why_open=why_open)])[0]
