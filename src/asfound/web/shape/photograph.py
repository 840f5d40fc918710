"""A ring from a photograph in the printed square."""

from functools import lru_cache
from pathlib import Path
from typing import BinaryIO, Literal
from uuid import UUID

from fastapi import APIRouter
from fastapi.responses import Response

from asfound.bench.photographs import add_photo
from asfound.bench.shape import target_page
from asfound.book import Book
from asfound.capture.photograph import read_light
from asfound.capture.ring_photograph import BAR_MM, SIDE_MM, RingPhotograph, ring_in_photograph
from asfound.job import Entry, Job
from asfound.job.bodies import Photo, Stage
from asfound.plots.howto import photograph_drawing
from asfound.problems import bad_input
from asfound.shape import Ring, ring_from_points
from asfound.web.papers import paper
from asfound.web.room import Asked, How, Section, Task, Upload, UploadForm, both
from asfound.web.room_form import Field
from asfound.web.shape.common import beside, depends_field, fault_field, read_clock_arcs
from asfound.web.shape.ring import write_either
from asfound.web.shape.ring_form import ring_questions
from asfound.web.shape.ring_told import Told, ring_sections, told_of

target_router = APIRouter(prefix="/job/{job_id}/shape")
_NONE_YET = "none yet: send one in below"


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked of a photograph."""
    photos = tuple(_named(job, id_, photo) for id_, photo in reversed(job.photos))
    square = "The printed square, as measured"
    return (
        Field(
            name="photo",
            label="Photograph of the ring",
            choices=photos or (_NONE_YET,),
            default=photos[0] if photos else _NONE_YET,
            wide=True,
        ),
        Field(name="edge", label="Which edge", default="outer", choices=("outer", "inner")),
        Field(name="which", label="Which ring", default="distance ring", hint="as you call it in the job"),
        Field(
            name="side", label="Its side", unit="mm", default=f"{SIDE_MM:g}", hint="outside, by calliper", group=square
        ),
        Field(name="bar", label="Width of its bars", unit="mm", default=f"{BAR_MM:g}", group=square),
        Field(name="u_side", label="The side is sure to", unit="mm", default="0.1", group=square),
        *ring_questions(),
        depends_field(job, "out of round", default="distance ring"),
        fault_field(job),
    )


def _named(job: Job, id_: UUID, photo: Photo) -> str:
    return f"{job.number(id_)}: {(photo.caption or photo.attachment.name)[:80]}"


def _path(asked: Asked) -> Path:
    wanted = asked.values.text("photo")
    for id_, photo in asked.job.photos:
        if _named(asked.job, id_, photo) == wanted:
            return asked.book.attachment_path(photo.attachment.sha256)
    raise bad_input("photo", "there is no photograph yet", "send one in below")


def measured(asked: Asked) -> tuple[Ring, Told, RingPhotograph]:
    """Return the ring as the photograph shows it, and what follows.

    Raises
    ------
    BadInputError
        At the field that is wrong.
    """
    values = asked.values
    edge: Literal["outer", "inner"] = "inner" if values.text("edge") == "inner" else "outer"
    with beside("photo", square="side"):
        seen = _seen(_path(asked), edge, values["side"], values["bar"], values["u_side"])
    with beside("photo", flats="flats"):
        ring = ring_from_points(seen.points_mm, flats_deg=read_clock_arcs(values.text("flats"), where="flats"))
    return ring, told_of(values, ring, u_radius_mm=seen.u_radius_mm, u_out_mm=seen.u_out_of_round_mm), seen


@lru_cache(maxsize=16)
def _seen(path: Path, edge: Literal["outer", "inner"], side_mm: float, bar_mm: float, u_mm: float) -> RingPhotograph:
    """Measure a kept photograph once: its path is the hash of what is in it."""
    return ring_in_photograph(
        read_light(path), name="photograph", edge=edge, side_mm=side_mm, bar_mm=bar_mm, u_side_mm=u_mm
    )


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return how round the photographed ring is, and what to do."""
    ring, found, seen = measured(asked)
    remarks = (
        f"{seen.edge_points} points of the edge, a pixel is {seen.pixel_mm:.3f} mm; clock as the photograph lies",
        *(f"{one.what}; {one.remedy}" for one in seen.remarks),
    )
    return ring_sections(asked.values.text("which"), ring, found, remarks=remarks)


def write(asked: Asked, stage: Stage, choice: str) -> tuple[Entry, ...]:
    """Write the readings, or where to press as work on the fault."""
    ring, found, _ = measured(asked)
    return write_either(asked, stage, choice, ring, found)


def _receive(book: Book, job: Job, stream: BinaryIO, name: str) -> dict[str, str]:
    """Keep a photograph with the job, and choose it."""
    entry = add_photo(book, job.id, stream, name, caption="ring in the printed square")
    assert isinstance(entry.body, Photo)
    return {"photo": _named(book.job(job.id), entry.id, entry.body)}


@target_router.get("/target.pdf")
def target() -> Response:
    """Return the square that a ring is photographed in, to be printed."""
    return paper(target_page(), "square for a ring.pdf", shown=True)


def how() -> How:
    """Return how a ring is photographed."""
    return How(
        steps=(
            "Print the square without scaling; measure its side and bars with a calliper.",
            "Lay the ring in it, dark on the light paper, 12 o'clock up. Flat light, no shadow beside the ring.",
            "Photograph from far above, a metre or more, zoomed in; the whole square sharp and in view.",
            "An edge that stands above the paper looks larger: take the size from a calliper, the shape from here.",
        ),
        pictures=both(photograph_drawing),
        links=(("target.pdf", "The square, to print"),),
    )


TASK = Task(
    path="photograph",
    name="Photograph",
    lead="How round a ring is, from one photograph of it in the printed square.",
    fields=fields,
    work_out=work_out,
    write=write,
    how=how,
    ask="Measure",
    upload=Upload(
        UploadForm(
            path="photos",
            label="Another photograph",
            hint="JPEG, PNG or HEIC; it is kept with the job",
            accept="image/*,.heic",
            button="Keep and choose it",
        ),
        _receive,
    ),
)
