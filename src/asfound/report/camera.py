"""The camera's name and particulars in words."""

from asfound.job import Job
from asfound.job.bodies import Camera

Rows = tuple[tuple[str, ...], ...]


def camera_name(camera: Camera) -> str:
    """Return maker and model."""
    return " ".join(word for word in (camera.maker, camera.model) if word)


def particulars(camera: Camera) -> tuple[tuple[str, str], ...]:
    """Return what is known of the camera, label by label."""
    focal = f"{camera.focal_length_mm:g} mm" if camera.focal_length_mm else ""
    aperture = f"f/{camera.largest_aperture:g}" if camera.largest_aperture else ""
    pairs = (
        ("Serial number", camera.serial),
        ("Film format", camera.film_format),
        ("Lens", " ".join(word for word in (focal, aperture) if word)),
        ("Shutter", camera.shutter_kind),
        ("Marked speeds", ", ".join(camera.marked_speeds)),
        ("Marked apertures", ", ".join(f"f/{stop:g}" for stop in camera.marked_apertures)),
        ("Focusing", camera.focusing_kind),
    )
    return tuple((label, value or "not written down") for label, value in pairs)


def camera_in_full(job: Job) -> Rows:
    """Return name, particulars and complaint in full: the first page may have shortened them."""
    return (
        ("Name", camera_name(job.camera)),
        *particulars(job.camera),
        ("Job", job.ticket),
        ("Complaint", job.complaint or "not written down"),
    )
