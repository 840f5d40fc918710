"""What was found on a job: faults with all that was said of them, readings, proofs."""

from dataclasses import dataclass
from functools import lru_cache
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from asfound.bench.jobs import load_job
from asfound.job import Job, readings_to_restore
from asfound.plots import Width, page_svg, restored_picture
from asfound.teardown import ReadingToRestore
from asfound.web.desk import AtDesk
from asfound.web.faults import FaultRow, fault_rows
from asfound.web.job_head import JobHead, job_head
from asfound.web.kept import KeptRow, proof_row, reading_row, restore_row
from asfound.web.render import render

router = APIRouter(prefix="/job/{job_id}/findings")


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingsPage:
    """What the findings show."""

    head: JobHead
    open_faults: tuple[FaultRow, ...]
    gone_faults: tuple[FaultRow, ...]
    restore: tuple[KeptRow, ...]
    restored_wide: str
    restored_narrow: str
    readings: tuple[KeptRow, ...]
    proofs: tuple[KeptRow, ...]


@router.get("")
def findings_page(request: Request, desk: AtDesk, job_id: UUID) -> Response:
    """Show what was found."""
    job = load_job(desk.book, job_id)
    return render(request, "findings.html", findings_context(job), title=f"Findings of {job.ticket}")


def findings_context(job: Job) -> FindingsPage:
    """Return what the findings show."""
    items = readings_to_restore(job)
    drawn = any(item.tolerance is not None and item.tolerance.unit == item.reading.unit for item in items)
    return FindingsPage(
        head=job_head(job, "/findings"),
        open_faults=fault_rows(job, still_open=True),
        gone_faults=fault_rows(job, still_open=False),
        restore=tuple(restore_row(job, item) for item in items),
        restored_wide=restored_svg(items, "wide") if drawn else "",
        restored_narrow=restored_svg(items, "narrow") if drawn else "",
        readings=tuple(reading_row(job, kept) for kept in reversed(job.readings)),
        proofs=tuple(proof_row(job, kept) for kept in reversed(job.proofs)),
    )


@lru_cache(maxsize=64)
def restored_svg(items: tuple[ReadingToRestore, ...], width: Width) -> str:
    """Return the readings to restore as SVG for the page; drawn once."""
    return page_svg(restored_picture(items, width=width))
