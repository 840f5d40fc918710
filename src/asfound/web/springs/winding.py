"""The winding sheet of a torsion spring: on the page, and as PDF."""

import datetime
from urllib.parse import urlsplit
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from asfound.bench.jobs import load_job
from asfound.job import Job
from asfound.plots.winding import winding_picture
from asfound.problems import bad_input
from asfound.quantity import show_length
from asfound.report.winding import SPARE_MM, winding_pdf
from asfound.springs import WindingSheet, tensile_strength, winding_sheet
from asfound.springs.winding import Hand
from asfound.web.desk import AtDesk
from asfound.web.papers import paper, paper_name
from asfound.web.room import Asked, Row, Section, Table, Task, both
from asfound.web.room_form import Field, Values, read_fields, typed_into
from asfound.web.springs.coil import WHICH, how_to_measure, material_of, say_constant, torsion_fields, torsion_of

router = APIRouter()


def fields(_job: Job) -> tuple[Field, ...]:
    """Return what is asked of a spring to be wound."""
    hand = Field(name="hand", label="Hand", default="right", choices=("right", "left"))
    return (WHICH, *torsion_fields(), hand)


def sheet_of(values: Values) -> WindingSheet:
    """Return the winding sheet of the spring that the fields describe.

    Raises
    ------
    BadInputError
    """
    made, material = torsion_of(values), material_of(values)
    strength = tensile_strength(material, wire_diameter_mm=made.wire_diameter_mm)
    if strength is None:
        what = f"no strength is listed for {material.name} of {made.wire_diameter_mm:g} mm: no mandrel can be said"
        raise bad_input("wire", what, "take a size that is sold, or try mandrels")
    hand: Hand = "left" if values.text("hand") == "left" else "right"
    return winding_sheet(made, hand=hand, tensile_mpa=strength.minimum_mpa, most_tensile_mpa=strength.maximum_mpa)


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return mandrel, turns and drawing."""
    sheet = sheet_of(asked.values)
    path = urlsplit(asked.address)
    mandrels = tuple(
        (f"{m.diameter_mm:.2f} mm", f"{m.turns_to_wind:.2f}", f"{m.flow_mpa:.0f} MPa") for m in sheet.mandrels
    )
    first = max(sheet.mandrels, key=lambda one: one.diameter_mm)
    return (
        Section(
            title=f"Winding sheet: {asked.values.text('which')[:60]}",
            words=f"on a mandrel of {first.diameter_mm:.2f} mm wind {first.turns_to_wind:.2f} turns; a first trial",
            pictures=both(winding_picture, sheet),
            table=Table(("Mandrel", "Turns to wind", "For wire of"), mandrels),
            rows=(
                Row(
                    "Wire to cut",
                    f"{sheet.wire_length_mm + 2 * SPARE_MM:.0f} mm",
                    f"with {SPARE_MM:.0f} mm to hold at each end",
                ),
                Row("Legs apart, free", f"{sheet.free_leg_angle_deg:.0f}°", "the part of a turn beyond whole ones"),
                Row("Length of the coil", show_length(sheet.body_length_mm), "close wound"),
            ),
            remarks=(
                "Begin with the thicker mandrel, measure the first spring, and go on from there",
                say_constant(sheet.spring.constant),
            ),
            cautions=sheet.cautions,
            links=((f"{path.path}.pdf?{path.query}", "Print it (PDF)"),),
        ),
    )


@router.get("/winding.pdf", response_class=Response)
def winding_sheet_pdf(request: Request, desk: AtDesk, job_id: UUID) -> Response:
    """Return the winding sheet as PDF."""
    job = load_job(desk.book, job_id)
    wanted = fields(job)
    values = read_fields(wanted, typed_into(wanted, dict(request.query_params)))
    camera = " ".join(word for word in (job.camera.maker, job.camera.model) if word)
    content = winding_pdf(
        sheet_of(values),
        title=f"Winding sheet: {values.text('which')[:80]}",
        about=f"Job {job.ticket}, {camera}"[:200],
        material=values.text("material"),
        as_of=f"{datetime.datetime.now().astimezone():%d %B %Y}",
    )
    return paper(content, paper_name("winding", job.ticket), shown=True)


TASK = Task(
    path="winding",
    name="Winding sheet",
    lead="Mandrel, turns and legs for a torsion spring, drawn to scale.",
    fields=fields,
    work_out=work_out,
    ask="Draw it",
    how=how_to_measure,
)
