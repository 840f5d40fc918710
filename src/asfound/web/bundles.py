"""Jobs to and from other benches: a job's bundle to be downloaded, a bundle to be taken in."""

import contextlib
import shutil
import tempfile
from dataclasses import dataclass
from pathlib import Path
from uuid import UUID

from fastapi import APIRouter, Depends, Request, UploadFile
from fastapi.responses import FileResponse, RedirectResponse, Response
from starlette.background import BackgroundTask

from asfound.bench.bundles import bundle_job, take_in_upload
from asfound.book import JobLine
from asfound.problems import AsfoundError, NotFoundError, Problem, bad_input
from asfound.web.desk import AtDesk, Desk
from asfound.web.errors import status_of
from asfound.web.files import HARMLESS
from asfound.web.render import render
from asfound.web.security import check_form_token

router = APIRouter()


@dataclass(frozen=True, slots=True, kw_only=True)
class BundleRow:
    """A job that can be given out."""

    href: str
    ticket: str
    camera: str
    entries: int


@dataclass(frozen=True, slots=True, kw_only=True)
class BundlesPage:
    """What the page of bundles shows: what was just taken in, what was refused, and the jobs."""

    arrived: BundleRow | None
    said: tuple[str, ...]
    problems: tuple[Problem, ...]
    rows: tuple[BundleRow, ...]


@router.get("/bundles")
def bundles_page(request: Request, desk: AtDesk, job: UUID | None = None) -> Response:
    """Show what can be given out, and the form for what comes in."""
    said = desk.memory.taken_in.get(job, ()) if job is not None else ()
    return render(request, "bundles.html", bundles_context(desk, arrived=job, said=said), title=TITLE)


@router.post("/bundles", dependencies=[Depends(check_form_token)])
def take_in(request: Request, desk: AtDesk, file: UploadFile | None = None) -> Response:
    """Take in a bundle; what is wrong with it is shown beside the form."""
    try:
        if file is None or not file.filename:
            raise bad_input("bundle", "no file was chosen", "choose a file made by another bench")
        arrived = take_in_upload(desk.book, file.file)
    except AsfoundError as error:
        page = bundles_context(desk, problems=tuple(_without_path(problem) for problem in error.problems))
        return render(request, "bundles.html", page, title=TITLE, status=status_of(error))
    desk.memory.taken_in[arrived.job] = arrived.said
    return RedirectResponse(f"/bundles?job={arrived.job}", status_code=303)


@router.get("/job/{job_id}/bundle")
def bundle(desk: AtDesk, job_id: UUID) -> Response:
    """Hand out a job with its attachments as one file."""
    with contextlib.ExitStack() as stack:
        folder = Path(tempfile.mkdtemp(prefix="asfound-"))
        stack.callback(shutil.rmtree, folder, ignore_errors=True)
        path = bundle_job(desk.book, job_id, folder)
        done = stack.pop_all()
    return FileResponse(
        path,
        filename=path.name,
        media_type="application/zip",
        content_disposition_type="attachment",
        headers=HARMLESS,
        background=BackgroundTask(done.close),
    )


TITLE = "Jobs to and from other benches"


def bundles_context(
    desk: Desk, *, arrived: UUID | None = None, said: tuple[str, ...] = (), problems: tuple[Problem, ...] = ()
) -> BundlesPage:
    """Return what the page shows."""
    row = None
    if arrived is not None:
        with contextlib.suppress(NotFoundError):
            row = _row(desk.book.line(arrived))
    rows = tuple(_row(line) for line in desk.book.jobs(limit=50))
    return BundlesPage(arrived=row, said=said, problems=problems, rows=rows)


def _row(line: JobLine) -> BundleRow:
    return BundleRow(href=f"/job/{line.id}", ticket=line.ticket, camera=line.camera, entries=line.entries)


def _without_path(problem: Problem) -> Problem:
    """Return a problem without the place where the upload lay for a moment."""
    return Problem("the bundle", problem.what, problem.remedy.replace("asfound book bundle", "another bench"))
