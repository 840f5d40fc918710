"""The tasks of the costs, and their papers."""

from uuid import UUID

from fastapi import APIRouter
from fastapi.responses import Response

from asfound.bench.costs import account_paper, estimate_paper
from asfound.bench.jobs import load_job
from asfound.web.costs.account import TASK as ACCOUNT
from asfound.web.costs.estimate import TASK as ESTIMATE
from asfound.web.desk import AtDesk
from asfound.web.papers import paper, paper_name
from asfound.web.room import room_router

router = APIRouter()


@router.get("/job/{job_id}/costs/estimate.pdf", response_class=Response)
def estimate_pdf(desk: AtDesk, job_id: UUID) -> Response:
    """Return the written estimate."""
    job = load_job(desk.book, job_id)
    return paper(estimate_paper(job), paper_name("estimate", job.ticket))


@router.get("/job/{job_id}/costs/account.pdf", response_class=Response)
def account_pdf(desk: AtDesk, job_id: UUID) -> Response:
    """Return the account."""
    job = load_job(desk.book, job_id)
    return paper(account_paper(job), paper_name("account", job.ticket))


router.include_router(room_router("costs", (ESTIMATE, ACCOUNT)))
