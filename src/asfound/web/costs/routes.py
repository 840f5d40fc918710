"""The tasks of the costs, and their papers."""

import re
from uuid import UUID

from fastapi import APIRouter
from fastapi.responses import Response

from asfound.bench.costs import account_paper, estimate_paper
from asfound.bench.jobs import load_job
from asfound.job import Job
from asfound.web.costs.account import TASK as ACCOUNT
from asfound.web.costs.estimate import TASK as ESTIMATE
from asfound.web.desk import AtDesk
from asfound.web.room import room_router

router = APIRouter()


@router.get("/job/{job_id}/costs/estimate.pdf", response_class=Response)
def estimate_pdf(desk: AtDesk, job_id: UUID) -> Response:
    """Return the written estimate."""
    job = load_job(desk.book, job_id)
    return _paper("estimate", job, estimate_paper(job))


@router.get("/job/{job_id}/costs/account.pdf", response_class=Response)
def account_pdf(desk: AtDesk, job_id: UUID) -> Response:
    """Return the account."""
    job = load_job(desk.book, job_id)
    return _paper("account", job, account_paper(job))


def _paper(what: str, job: Job, content: bytes) -> Response:
    name = f"{what}-{re.sub(r'[^A-Za-z0-9]+', '-', job.ticket).strip('-') or 'job'}.pdf"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(content, media_type="application/pdf", headers=headers)


router.include_router(room_router("costs", (ESTIMATE, ACCOUNT)))
