"""The winding sheet on paper: what to wind and on what, drawn at its true size and enlarged."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass

from asfound.plots.winding import extent, wire_outline
from asfound.report.typeset import typeset
from asfound.springs import Outline, TorsionSpring, WindingSheet

# Room for the enlarged drawing between the margins of an A4 page, in mm.
_ROOM_MM = (174.0, 84.0)
_SCALES = (20, 10, 5, 4, 3, 2)
# Wire to hold on to at either end (common practice, no source).
SPARE_MM = 60.0
Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """One outline of the drawing, y downwards from its top left corner; `look` is how it is drawn."""

    points: tuple[Point, ...]
    closed: bool
    look: str


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """A drawing at true size: its shapes, how wide and how high it is, in mm."""

    shapes: tuple[Shape, ...]
    width: float
    height: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WindingPaper:
    """What the sheet says."""

    title: str
    about: str
    as_of: str
    facts: tuple[tuple[str, str], ...]
    mandrels: tuple[tuple[str, str, str], ...]
    end: View
    side: View
    scale: int
    steps: tuple[str, ...]
    cautions: tuple[str, ...]
    source: str


_STEPS = (
    "Turn or choose a mandrel. Begin with the thicker one: a coil that is too large can be wound again, tighter.",
    "Wind with an even pull, turn against turn, as many turns as the table says; let it back under control.",
    "Measure the outside and count the turns; write them below. Too large: thinner mandrel; the part of a turn over "
    "sets the angle of the legs.",
    "Bend the legs round a pin, not at a sharp edge; cut them last.",
    "Wind it through its whole travel a few times by hand, then measure its torque before it goes into the camera.",
)


def winding_paper(sheet: WindingSheet, *, title: str, about: str, material: str, as_of: str) -> WindingPaper:
    """Return what the winding sheet says; pure."""
    made = sheet.spring
    end, side = _end(sheet), _side(sheet)
    return WindingPaper(
        title=title,
        about=about,
        as_of=as_of,
        facts=_facts(sheet, material),
        mandrels=tuple(
            (f"{one.diameter_mm:.2f} mm", f"{one.turns_to_wind:.2f}", f"{one.flow_mpa:.0f} MPa")
            for one in sheet.mandrels
        ),
        end=end,
        side=side,
        scale=_scale(end, side),
        steps=_STEPS,
        cautions=tuple(f"{text[:1].upper()}{text[1:]}." for text in sheet.cautions),
        source=f"{_constant(made)} The wire is taken to flow at its tensile "
        "strength (a perfectly plastic round bar; common practice, no source): a first trial.",
    )


def _constant(made: TorsionSpring) -> str:
    return f"Torsion constant “{made.constant.name}”, K = {made.constant.value:.0f}."


def _facts(sheet: WindingSheet, material: str) -> tuple[tuple[str, str], ...]:
    made = sheet.spring
    legs = ", ".join(f"{leg:g} mm" for leg in made.leg_lengths_mm) or "none"
    outside = made.mean_diameter_mm + made.wire_diameter_mm
    wire, spare = sheet.wire_length_mm, f"{SPARE_MM:.0f} to hold at each end"
    return (
        ("Wire", f"{made.wire_diameter_mm:.3f} mm ({made.wire_diameter_mm / 0.0254:.1f} thou), {material}"),
        ("Coil", f"{made.body_turns:.2f} turns, {sheet.hand}-hand, close wound"),
        (
            "Outside, free",
            f"{outside:.2f} mm; mean {made.mean_diameter_mm:.2f} mm, bore {outside - 2 * made.wire_diameter_mm:.2f} mm",
        ),
        ("Legs", legs),
        ("Legs apart, free", f"{sheet.free_leg_angle_deg:.0f}°, beyond whole turns"),
        ("Length of the coil", f"{sheet.body_length_mm:.2f} mm"),
        (
            "Wire to cut",
            f"{wire + 2 * SPARE_MM:.0f} mm: {wire:.0f} and {spare}",
        ),
    )


def _end(sheet: WindingSheet) -> View:
    d = sheet.spring.wire_diameter_mm
    wires = {"outside": "wire", "bore": "paper", "mandrel": "mandrel"}
    legs = [
        Outline(name="leg", points_mm=wire_outline(one, wire_diameter_mm=d), closed=True)
        for one in sheet.end_view
        if one.name.endswith("leg") and len(set(one.points_mm)) > 1
    ]
    rings = [one for one in sheet.end_view if one.name in wires]
    return _view([*legs, *rings], {"leg": "wire", **wires})


def _side(sheet: WindingSheet) -> View:
    return _view(sheet.side_view, {"body": "wire", "turn": "line"})


def _view(outlines: Sequence[Outline], looks: dict[str, str]) -> View:
    """Return outlines moved to the corner of their own box, y down as on paper."""
    (x0, y0), (x1, y1) = extent(outlines)
    shapes = tuple(
        Shape(
            points=tuple((round(x - x0, 4), round(y1 - y, 4)) for x, y in one.points_mm),
            closed=one.closed,
            look=looks[one.name],
        )
        for one in outlines
    )
    return View(shapes=shapes, width=round(x1 - x0, 4), height=round(y1 - y0, 4))


def _scale(end: View, side: View) -> int:
    """Return by how much both views are enlarged, side by side: the most that the page takes; 1 for a large spring."""
    wide, high = end.width + side.width, max(end.height, side.height)
    return next((n for n in _SCALES if n * wide <= _ROOM_MM[0] - 12 and n * high <= _ROOM_MM[1]), 1)


def winding_pdf(sheet: WindingSheet, *, title: str, about: str, material: str, as_of: str) -> bytes:
    """Return the winding sheet as a PDF page of A4; the same content gives the same bytes."""
    paper = winding_paper(sheet, title=title, about=about, material=material, as_of=as_of)
    return typeset("winding.typ", asdict(paper))
