"""Handing a camera over: the papers, and the last entry."""

import datetime
from uuid import UUID

from asfound.bench.instruments import Check, latest_checks
from asfound.bench.jobs import load_job
from asfound.bench.stopped import stopped_dial
from asfound.book import Book
from asfound.job import Entry, Job, key
from asfound.job.bodies import HandedOver
from asfound.problems import ConflictError, Problem
from asfound.report import (
    InstrumentCheck,
    camera_card_pdf,
    handover_pdf,
    job_label,
    labels_sheet_pdf,
    open_items,
    tray_labels,
)


def report(book: Book, job_id: UUID) -> bytes:
    """Return the handover report as PDF."""
    job = load_job(book, job_id)
    photos = {photo.attachment.sha256: book.attachment_path(photo.attachment.sha256) for _, photo in job.photos}
    return handover_pdf(job, photos=photos, as_of=_day(job), checks=_checks(book))


def _checks(book: Book) -> dict[str, InstrumentCheck]:
    return {key(check.name): _in_words(check) for check in latest_checks(book)}


def _in_words(check: Check) -> InstrumentCheck:
    u = check.standard_uncertainty
    wrong = [f"read wrongly since {check.wrong_since.isoformat()}"] if check.wrong_since else []
    against = [word for word in (check.against, *wrong, check.remark) if word]
    return InstrumentCheck(
        sort=check.sort or "not written down",
        uncertainty="not known" if u is None else f"{u:.2g} {check.unit}".strip(),
        checked=check.checked_on.isoformat() if check.checked_on else "not known",
        against="; ".join(against) or "not written down",
    )


def _day(job: Job) -> str:
    touched = datetime.datetime.fromtimestamp(job.touched_at.wall_ms / 1000).astimezone()
    return f"{touched:%d %B %Y}"


def card(book: Book, job_id: UUID) -> bytes:
    """Return the card for the camera bag as PDF."""
    job = load_job(book, job_id)
    dial = stopped_dial(book, job)
    return camera_card_pdf(job, as_of=_day(job), stopped=dial.speeds, why_not_stopped=dial.why_none)


def labels(book: Book, job_id: UUID, *, address: str) -> bytes:
    """Return the labels of the job and of its tray cells as PDF; each leads to `address` by its QR code."""
    job = load_job(book, job_id)
    return labels_sheet_pdf([job_label(job, address=address), *tray_labels(job, address=address)])


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
