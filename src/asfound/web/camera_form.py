"""The form by which a job is opened: text as typed, and the camera it means."""

from collections.abc import Mapping
from dataclasses import dataclass, fields

from pydantic import ValidationError

from asfound.job.bodies import Camera
from asfound.problems import AsfoundError, Problem
from asfound.quantity import read_number

# name, label, hint, keyboard
FIELDS = (
    ("model", "Camera", "what is on it, or what it looks like", "text"),
    ("maker", "Maker", "", "text"),
    ("serial", "Serial number", "body or lens", "text"),
    ("film_format", "Film and format", "120, 6 × 9 cm", "text"),
    ("focal_length_mm", "Focal length, mm", "105", "decimal"),
    ("largest_aperture", "Largest aperture, f/", "3.5", "decimal"),
    ("marked_speeds", "Speeds on the dial", "as marked, with commas", "text"),
    ("marked_apertures", "Apertures on the scale", "as marked, with commas", "text"),
)
KINDS = {
    "shutter_kind": ("", "leaf, between the lenses", "leaf, behind the lens", "focal plane", "other"),
    "focusing_kind": ("", "front element", "whole lens, helical", "rack", "fixed", "other"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class CameraForm:
    """What was typed; the defaults suit most leaf shutters of the time."""

    ticket: str = ""
    model: str = ""
    maker: str = ""
    serial: str = ""
    film_format: str = ""
    focal_length_mm: str = ""
    largest_aperture: str = ""
    marked_speeds: str = "1, 1/2, 1/5, 1/10, 1/25, 1/50, 1/100, 1/250"
    marked_apertures: str = ""
    shutter_kind: str = "leaf, between the lenses"
    focusing_kind: str = ""
    complaint: str = ""

    @classmethod
    def names(cls) -> tuple[str, ...]:
        """Return the names of the fields."""
        return tuple(f.name for f in fields(cls))

    @classmethod
    def typed(cls, values: Mapping[str, str]) -> "CameraForm":
        """Return the form with these values typed in."""
        return cls(**values)

    def value(self, name: str) -> str:
        """Return what stands in a field."""
        return str(getattr(self, name))


def read_camera_form(form: CameraForm) -> tuple[Camera | None, dict[str, Problem]]:
    """Return the camera that the form means, or the problems by field."""
    problems: dict[str, Problem] = {}
    if not form.model.strip():
        problems["model"] = Problem("model", "nothing is said of the camera", "write what it is, or what it looks like")
    values = {
        "focal_length_mm": _number(form, "focal_length_mm", problems),
        "largest_aperture": _number(form, "largest_aperture", problems),
        "marked_speeds": _parts(form.marked_speeds),
        "marked_apertures": _apertures(form, problems),
    }
    texts = ("model", "maker", "serial", "film_format", "shutter_kind", "focusing_kind")
    try:
        camera = Camera.model_validate({**values, **{name: form.value(name) for name in texts}})
    except ValidationError as error:
        for fault in error.errors():
            name = str(fault["loc"][0])
            what = f"{str(fault['msg']).lower()}, not {fault['input']!r}"
            problems.setdefault(name, Problem(name, what, "correct it or leave it empty"))
        return None, problems
    return (None, problems) if problems else (camera, {})


def _number(form: CameraForm, name: str, problems: dict[str, Problem]) -> float | None:
    typed = form.value(name).strip()
    return _read(typed, name, problems) if typed else None


def _apertures(form: CameraForm, problems: dict[str, Problem]) -> tuple[float, ...]:
    read = (_read(part, "marked_apertures", problems) for part in _parts(form.marked_apertures))
    return tuple(number for number in read if number is not None)


def _parts(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.replace(";", ",").split(",") if part.strip())


def _read(typed: str, name: str, problems: dict[str, Problem]) -> float | None:
    try:
        return read_number(typed.removeprefix("f/"))
    except (AsfoundError, ValueError):
        problems[name] = Problem(name, f"{typed!r} is no number", "write digits, with a point for tenths")
        return None
