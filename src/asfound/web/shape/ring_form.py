"""The text of a ring's form as a ring: points, radii, diameters or clearances, a line each."""

import numpy as np

from asfound.bench.shape import text_of
from asfound.book import Book
from asfound.problems import BadInputError, Problem, bad_input
from asfound.shape import (
    Ring,
    Table,
    radii_from_clearance,
    read_table,
    ring_from_diameters,
    ring_from_points,
    ring_from_radii,
)
from asfound.web.room_form import Field, Values
from asfound.web.shape.common import beside, read_clock_arcs

# How a line without a line of names before it is read: the choice of the form, and the names it stands for.
_HEADS = {
    "clock, clearance": "clock,clearance_mm",
    "clock, diameter": "clock,diameter_mm",
    "clock, radius": "clock,radius_mm",
    "degrees, radius": "angle_deg,radius_mm",
    "degrees, diameter": "angle_deg,diameter_mm",
    "x, y": "x_mm,y_mm",
}
KINDS = tuple(_HEADS)
_LAYOUTS = (
    ("x", "y"),
    ("angle", "radius"),
    ("clock", "radius"),
    ("angle", "diameter"),
    ("clock", "diameter"),
    ("clock", "clearance"),
    ("angle", "clearance"),
)


def ring_questions() -> tuple[Field, ...]:
    """Return the fields for what rubs and what may be pressed, alike for points and photographs."""
    rubs, presses = "Does it rub? Scuffs and a pointer", "Pressing"
    return (
        Field(name="scuffs", label="Scuffed, by clock", optional=True, hint="clockwise, as in 1-2, 4:30-5", group=rubs),
        Field(
            name="pointer",
            label="Pointer's tip at a radius of",
            unit="mm",
            optional=True,
            hint="from the ring's axis; it stands still outside the ring",
            group=rubs,
        ),
        Field(name="needed", label="Clearance to keep", unit="mm", optional=True, group=rubs),
        Field(
            name="flats", label="Flat by design, by clock", optional=True, hint="left out, as in 6-6:30", group=presses
        ),
        Field(name="allowed", label="Deviation that may stay", unit="mm", optional=True, group=presses),
        Field(
            name="presses",
            label="Presses made: pushed and stayed",
            optional=True,
            hint="mm, as in .30 .02; .50 .08: what springs back is learned from them",
            group=presses,
        ),
    )


def read_ring(book: Book, values: Values) -> Ring:
    """Return the ring as typed.

    Raises
    ------
    BadInputError
        At the field that is wrong, with the line.
    """
    table = table_of(text_of(book, values.text("points"), where="points"), values.text("kind"))
    flats = read_clock_arcs(values.text("flats"), where="flats")
    with beside("points", flats="flats", mating="mating"):
        return _ring(table, values, flats)


def _ring(table: Table, values: Values, flats: tuple[tuple[float, float], ...]) -> Ring:
    column = table.columns
    if table.has("x", "y"):
        return ring_from_points(np.column_stack([column["x"], column["y"]]), flats_deg=flats)
    angle = column["angle"] if "angle" in column else column["clock"]
    if table.has("radius"):
        return ring_from_radii(angle_deg=angle, radius_mm=column["radius"], flats_deg=flats)
    if table.has("diameter"):
        return ring_from_diameters(angle_deg=angle, diameter_mm=column["diameter"], flats_deg=flats)
    radius = values.maybe("mating")
    if radius is None:
        raise bad_input("mating", "clearances alone give no ring", "measure the true round that they were felt to")
    # Clearance inside the ring is felt to a disc that the ring lies round.
    radii = radii_from_clearance(
        clearance_mm=column["clearance"], mating_radius_mm=radius, outside=values.text("inside") == "inside it"
    )
    return ring_from_radii(angle_deg=angle, radius_mm=radii, flats_deg=flats)


def table_of(text: str, kind: str) -> Table:
    """Return the lines as a table: with their own line of names, else as the form's choice says.

    Raises
    ------
    BadInputError
        With the line at fault, counted as typed.
    """
    lines = [_parted(one.strip()) for one in text.lstrip("\ufeff").splitlines()]
    first = next((one for one in lines if one and not one.startswith("#")), "")
    named = first.strip('"')[:1].isalpha()
    body = "\n".join(lines) if named else "\n".join([_HEADS[kind], *lines])
    table, problems = read_table(body, where="points", layouts=_LAYOUTS)
    if table is None:
        raise BadInputError(*(_told(one, 0 if named else 1) for one in problems))
    return table


def _parted(line: str) -> str:
    """Return a line parted by commas, whatever parts it; decimal commas become points where they can be told."""
    mark = next((mark for mark in ("\t", ";", ", ") if mark in line), None)
    cells = line.split(mark) if mark else line.split()
    if line.startswith("#") or len(cells) < 2:
        return line
    return ",".join(cell.strip().replace(",", ".") for cell in cells)


def _told(problem: Problem, before: int) -> Problem:
    """Return a problem at the field, its line counted as typed."""
    place = problem.where.removeprefix("points").removeprefix(", ")
    head, _, rest = place.partition(" ")
    if head == "line" and (number := rest.partition(",")[0]).isdecimal():
        place = f"line {int(number) - before}" + rest[len(number) :]
    return Problem("points", f"{place}: {problem.what}" if place else problem.what, problem.remedy)
