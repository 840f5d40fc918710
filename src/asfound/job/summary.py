"""One line of a job for the list: what it is, what it waits for, what is open."""

from dataclasses import asdict, dataclass

from asfound.job.costing import parts_got
from asfound.job.job import Job
from asfound.job.minutes import work_minutes
from asfound.job.restoring import readings_to_restore, way_back_of
from asfound.job.waits import Waiting


@dataclass(frozen=True, slots=True)
class Summary:
    """What the list of jobs shows of one.

    Attributes
    ----------
    waits_for : str
        In words.
    waits : tuple of dict
        Each thing waited for: what, why, sort, since_ms, until_ms and due (a day), null where not said.
    work_minutes : float
        As `work_minutes` counts them.
    parts_got : tuple of str
        The parts that were sent for.
    to_do : str
        What can be done at the bench now, whatever else is waited for; "" where all of it waits.
    """

    ticket: str
    camera: str
    model: str
    complaint: str
    waits_for: str
    waits: tuple[dict[str, str | int | None], ...]
    to_do: str
    open_faults: int
    off: int
    to_restore: int
    stale: int
    handed_over: bool
    work_minutes: float
    parts_got: tuple[str, ...]


def summary(job: Job) -> dict[str, object]:
    """Return the job's line as plain values, for the projection of the book: as JSON gives them back."""
    told = asdict(summarise(job))
    return {name: list(value) if isinstance(value, tuple) else value for name, value in told.items()}


def summarise(job: Job) -> Summary:
    """Return the job's line in the list of jobs."""
    return Summary(
        ticket=job.ticket,
        camera=" ".join(word for word in (job.camera.maker, job.camera.model) if word),
        model=job.camera.model,
        complaint=job.complaint,
        waits_for=waits_for(job),
        waits=() if job.handed_over is not None else tuple(_wait(waiting) for waiting in job.waiting),
        to_do=to_do(job),
        open_faults=sum(fault.open for fault in job.faults),
        off=sum(not step.back for step in job.steps),
        to_restore=sum(item.open for item in readings_to_restore(job)),
        stale=sum(kept.stale_by is not None for kept in job.proofs),
        handed_over=job.handed_over is not None,
        work_minutes=work_minutes(job),
        parts_got=parts_got(job),
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


def to_do(job: Job) -> str:
    """Return what can be done at the bench now, or "" where all of it waits or the camera is gone."""
    if job.handed_over is not None:
        return ""
    off = way_back_of(job).open
    if off:
        return next((step.title for step in off if not step.waits_for), "")
    if job.waiting and len(job.waiting) >= len(job.live) - 1:
        return ""
    return _last_things(job) or ("look it over" if len(job.live) == 1 else "hand it over")


def _last_things(job: Job) -> str:
    """Return what is left to do once every part is back."""
    restore = [item for item in readings_to_restore(job) if item.open]
    if restore:
        return f"measure {restore[0].quantity} {restore[0].place}".strip() + " again"
    stale = [kept.body.what for kept in job.proofs if kept.stale_by is not None]
    if stale:
        return f"prove {stale[0]} again"
    faults = [fault.name for fault in job.faults if fault.open]
    return f"see to {faults[0]}" if faults else ""


def _wait(waiting: Waiting) -> dict[str, str | int | None]:
    return {
        "what": waiting.part,
        "why": waiting.why,
        "sort": waiting.sort,
        "since_ms": waiting.since_ms,
        "until_ms": waiting.until_ms,
        "due": waiting.due.isoformat() if waiting.due else None,
    }
