"""What stands above every page of one job."""

from dataclasses import dataclass

from asfound.job import Job
from asfound.job.bodies import Camera

TABS = (
    ("", "Book"),
    ("/wayback", "Way back"),
    ("/shutter", "Shutter"),
    ("/findings", "Findings"),
    ("/handover", "Handover"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class JobHead:
    """The job's name, its camera, and the tabs."""

    href: str
    ticket: str
    camera: str
    facts: str
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
        facts=" · ".join(_facts(camera)),
        complaint=job.complaint,
        handed_over=job.handed_over is not None,
        tab=tab,
    )


def _facts(camera: Camera) -> list[str]:
    lens = "" if camera.focal_length_mm is None else f"{camera.focal_length_mm:g} mm"
    if camera.largest_aperture is not None:
        lens = f"{lens} f/{camera.largest_aperture:g}".strip()
    serial = f"no. {camera.serial}" if camera.serial else ""
    facts = (serial, camera.film_format, lens, camera.shutter_kind, camera.focusing_kind)
    return [fact for fact in facts if fact]
