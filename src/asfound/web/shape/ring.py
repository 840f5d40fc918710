"""A ring from points, diameters or clearances: how round it is, where it rubs, where to press."""

from typing import BinaryIO

from asfound.bench.shape import take_table, write_ring, write_work
from asfound.book import Book
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots.howto import ring_drawing
from asfound.shape import Ring
from asfound.web.room import Asked, How, Section, Task, Upload, UploadForm, both
from asfound.web.room_form import Field
from asfound.web.shape.common import READING, context_of, depends_field, fault_field, fault_of
from asfound.web.shape.ring_form import KINDS, read_ring, ring_questions
from asfound.web.shape.ring_told import Told, ring_sections, told_of, work_text


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked of a ring."""
    return (
        Field(name="which", label="Which ring", default="distance ring", hint="as you call it in the job"),
        Field(name="kind", label="Each line holds", default=KINDS[0], choices=KINDS),
        Field(
            name="points",
            label="Measured, a line each",
            lines=True,
            hint="as in 12, 0.35 or 3:30, 0.40; a CSV with a line of names (x_mm,y_mm) goes in as it is",
        ),
        Field(name="u_each", label="Each is sure to", unit="mm", default="0.01", hint="one standard uncertainty"),
        Field(
            name="mating",
            label="Radius of the true round",
            unit="mm",
            optional=True,
            hint="that clearances were felt to",
        ),
        Field(
            name="inside",
            label="The ring lies",
            default="outside the true round",
            choices=("outside the true round", "inside it"),
        ),
        *ring_questions(),
        depends_field(job, "out of round", default="distance ring"),
        fault_field(job),
    )


def told(asked: Asked) -> tuple[Ring, Told]:
    """Return the ring as measured, and what follows."""
    ring = read_ring(asked.book, asked.values)
    u = asked.values["u_each"] / (2 if asked.values.text("kind").endswith("diameter") else 1)
    # Out of round is the difference of two radii, each as sure as the other.
    return ring, told_of(asked.values, ring, u_radius_mm=u, u_out_mm=u * 2**0.5)


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return how round the ring is, and what to do."""
    ring, found = told(asked)
    return ring_sections(asked.values.text("which"), ring, found)


def write(asked: Asked, stage: Stage, choice: str) -> tuple[Entry, ...]:
    """Write the readings, or where to press as work on the fault."""
    ring, found = told(asked)
    return write_either(asked, stage, choice, ring, found)


def write_either(asked: Asked, stage: Stage, choice: str, ring: Ring, found: Told) -> tuple[Entry, ...]:
    """Write what the button asks for."""
    context, which = context_of(asked, stage), asked.values.text("which")
    if choice == READING:
        return write_ring(
            context,
            which=which,
            ring=ring,
            u_radius_mm=found.u_radius_mm,
            u_out_of_round_mm=found.u_out_mm,
            rub=found.rub,
        )
    return write_work(
        context, fault=fault_of(asked.values, f"{which} out of round"), text=work_text(which, ring, found)
    )


def how() -> How:
    """Return how a ring is measured."""
    return How(
        steps=(
            "Mark 12 o'clock on the ring, and say from which side you look: every reading goes by this clock.",
            "By calliper: diameters at 12, 1, 2, 3, 4 and 5 o'clock. They show ovality, but never three lobes: a "
            "three-lobed ring has the same diameter everywhere.",
            "By feeler: lay the ring round (or in) a true disc, and feel the gap at each hour. This shows all lobes.",
            "From a photograph, or a measuring microscope: points of the edge, x and y.",
        ),
        pictures=both(ring_drawing),
    )


def _receive(book: Book, _job: Job, stream: BinaryIO, name: str) -> dict[str, str]:
    """Lay a table into the form."""
    return {"points": take_table(book, stream, name)}


TASK = Task(
    path="ring",
    name="Ring",
    lead="How round a ring is, where it rubs, and where to press it how much.",
    fields=fields,
    work_out=work_out,
    write=write,
    how=how,
    upload=Upload(
        UploadForm(
            path="table",
            label="Points from a file",
            hint="CSV: x_mm,y_mm or angle_deg,radius_mm or clock,clearance_mm",
            accept=".csv,.txt,text/csv,text/plain",
            button="Lay it into the form",
        ),
        _receive,
    ),
)
