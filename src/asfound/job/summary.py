"""One line of a job for the list: what it is, what it waits for, what is open."""

from dataclasses import asdict, dataclass

from asfound.job.job import Job
from asfound.job.restoring import readings_to_restore, way_back_of


@dataclass(frozen=True, slots=True)
class Summary:
    """What the list of jobs shows of one."""

    ticket: str
    camera: str
    complaint: str
    waits_for: str
    open_faults: int
    off: int
    to_restore: int
    stale: int
    handed_over: bool


def summary(job: Job) -> dict[str, object]:
    """Return the job's line as plain values, for the projection of the book."""
    return asdict(summarise(job))


def summarise(job: Job) -> Summary:
    """Return the job's line in the list of jobs."""
    return Summary(
        ticket=job.ticket,
        camera=" ".join(word for word in (job.camera.maker, job.camera.model) if word),
        complaint=job.complaint,
        waits_for=waits_for(job),
        open_faults=sum(fault.open for fault in job.faults),
        off=sum(not step.back for step in job.steps),
        to_restore=sum(item.open for item in readings_to_restore(job)),
        stale=sum(kept.stale_by is not None for kept in job.proofs),
        handed_over=job.handed_over is not None,
    )


def waits_for(job: Job) -> str:
    """Return what a job waits for, most outside thing first, in words for the list."""
    if job.handed_over is not None:
        return "nothing: handed over"
    if job.waiting:
        return "; ".join(f"{waiting.part}, {waiting.why}" for waiting in job.waiting)
    off = way_back_of(job).open
    if off:
        return f"the bench: {off[0].title} is next on the way back"
    if any(fault.open for fault in job.faults):
        return "the bench: faults not yet proved gone"
    return "the bench" if len(job.live) == 1 else "proof and handover"
