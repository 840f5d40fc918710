"""What stands above every page of one job."""

from dataclasses import dataclass

from asfound.job import Job
from asfound.job.bodies import Camera

TABS = (
    ("", "Book"),
    ("/bench", "Arm's length"),
    ("/wayback", "Way back"),
    ("/teardown", "Teardown"),
    ("/shutter", "Shutter"),
    ("/focus", "Focus"),
    ("/springs", "Springs"),
    ("/shape", "Shape"),
    ("/findings", "Findings"),
    ("/proofs", "Proofs"),
    ("/costs", "Costs"),
    ("/handover", "Handover"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class JobHead:
    """The job's name, its camera, and the tabs."""

    href: str
    ticket: str
    camera: str
    facts: tuple[tuple[str, str], ...]
    complaint: str
    handed_over: bool
    tab: str
    tabs: tuple[tuple[str, str], ...] = TABS


def job_head(job: Job, tab: str) -> JobHead:
    """Return the head of one of a job's pages."""
    camera = job.camera
    return JobHead(
        href=f"/job/{job.id}",
        ticket=job.ticket,
        camera=" ".join(word for word in (camera.maker, camera.model) if word),
        facts=_facts(camera),
        complaint=job.complaint,
        handed_over=job.handed_over is not None,
        tab=tab,
    )


def _facts(camera: Camera) -> tuple[tuple[str, str], ...]:
    focal = "" if camera.focal_length_mm is None else f"{camera.focal_length_mm:g} mm"
    widest = "" if camera.largest_aperture is None else f"f/{camera.largest_aperture:g}"
    facts = (
        ("number", camera.serial),
        ("film", camera.film_format),
        ("lens", f"{focal} {widest}".strip()),
        ("shutter", camera.shutter_kind),
        ("speeds", ", ".join(camera.marked_speeds)),
        ("focusing", camera.focusing_kind),
    )
    return tuple((name, fact) for name, fact in facts if fact)
