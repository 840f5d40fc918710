import io
import math
import re

import pytest
from pypdf import PdfReader

from asfound.report.winding import SPARE_MM, winding_paper, winding_pdf
from asfound.springs import CONSTANTS, TorsionSpring, winding_sheet

WORDS = {
    "title": "Winding sheet: left strut",
    "about": "Job 7, a test camera",
    "material": "music wire",
    "as_of": "today",
}


def sheet(legs=(10.0, 12.0), mean=5.6, wire=0.6):
    spring = TorsionSpring(
        wire_diameter_mm=wire, mean_diameter_mm=mean, body_turns=5.89, leg_lengths_mm=legs, modulus_mpa=203_400.0,
        constant=CONSTANTS["textbook"],
    )  # fmt: skip
    return winding_sheet(spring, hand="right", tensile_mpa=2356.0, most_tensile_mpa=2606.0)


def test_it_fits_one_page_of_a4():
    (page,) = PdfReader(io.BytesIO(winding_pdf(sheet(), **WORDS))).pages
    # ISO 216: A4 is 210 mm by 297 mm (from memory); 72 points to an inch of 25.4 mm.
    size = (float(page.mediabox.width) * 25.4 / 72, float(page.mediabox.height) * 25.4 / 72)
    assert size == pytest.approx((210, 297), abs=0.1)


def test_it_says_what_is_wound_and_the_cautions():
    text = " ".join(PdfReader(io.BytesIO(winding_pdf(sheet(), **WORDS))).pages[0].extract_text().split())
    for words in ("5.89 turns, right-hand", "0.600 mm (23.6 thou)", "6.20 mm", "wear eye protection", "Job 7"):
        assert words in text


def test_at_true_size_the_drawing_is_the_spring_in_mm():
    paper = winding_paper(sheet(), **WORDS)
    rings = [shape for shape in paper.end.shapes if len(shape.points) > 10]
    widths = sorted(max(x for x, _ in ring.points) - min(x for x, _ in ring.points) for ring in rings)
    assert widths[1:] == pytest.approx([5.0, 6.2], abs=0.01)  # bore and outside; the mandrel is the smallest
    assert paper.side.width == pytest.approx(0.6 * 6.89, abs=1e-3)
    assert paper.side.height == pytest.approx(6.2, abs=1e-3)


def test_the_printed_outline_is_as_large_as_the_spring():
    # A true-size coil of 6.2 mm is 17.57 points across in the page's own commands.
    content = PdfReader(io.BytesIO(winding_pdf(sheet(), **WORDS))).pages[0].get_contents().get_data().decode("latin-1")
    across = sorted(round(width, 1) for width in ring_widths(content))
    assert round(6.2 * 72 / 25.4, 1) in across
    assert round(5 * 6.2 * 72 / 25.4, 1) in across  # and at 5 : 1


def ring_widths(content: str) -> list[float]:
    """Return the width in points of every path of more than fifty straight lines."""
    number = r"-?[\d.]+"
    paths = re.findall(rf"(?:{number} {number} m\s+)(?:{number} {number} l\s+){{50,}}", content)
    xs = [[float(x) for x, _ in re.findall(rf"({number}) ({number}) [ml]", path)] for path in paths]
    return [max(these) - min(these) for these in xs]


def test_the_length_of_wire_is_that_of_the_coil_and_its_legs():
    # By hand: pi x 5.6 x 5.89 + 22 = 125.6 mm, and twice the spare.
    assert math.pi * 5.6 * 5.89 + 22 == pytest.approx(125.6, abs=0.1)
    facts = dict(winding_paper(sheet(), **WORDS).facts)
    assert facts["Wire to cut"].startswith(f"{125.6 + 2 * SPARE_MM:.0f} mm")


@pytest.mark.parametrize(("legs", "mean"), [((10.0, 12.0), 5.6), ((60.0, 60.0), 20.0), ((), 3.0), ((150.0, 5.0), 8.0)])
def test_the_enlarged_drawing_stays_within_the_page(legs, mean):
    paper = winding_paper(sheet(legs, mean), **WORDS)
    if paper.scale > 1:
        assert paper.scale * (paper.end.width + paper.side.width) + 12 <= 174
    assert len(PdfReader(io.BytesIO(winding_pdf(sheet(legs, mean), **WORDS))).pages) == 1


def test_the_same_sheet_gives_the_same_bytes():
    assert winding_pdf(sheet(), **WORDS) == winding_pdf(sheet(), **WORDS)
