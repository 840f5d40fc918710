import re
from uuid import UUID
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from asfound.job.bodies import SpeedRow
from asfound.plots import (
    PALETTE,
    DialSeries,
    dial_picture,
    page_svg,
    palette_css,
    print_svg,
    restored_picture,
    trace_picture,
)
from asfound.quantity import Reading
from asfound.quantity.tolerance import Tolerance
from asfound.shutter.timing.firing import Firing
from asfound.teardown.wayback import ReadingToRestore

ROWS = (
    SpeedRow(
        marked="1/50",
        reference_s=0.02,
        times_s=(0.025, 0.026, 0.027),
        mean_s=0.026,
        error_stops=0.38,
        u_error_stops=0.05,
        tolerance_stops=1 / 3,
        verdict="cannot tell",
    ),
)
SERIES = (DialSeries("as found", ROWS), DialSeries("as left", ROWS, stale=True))
RESTORED = restored_picture(
    [
        ReadingToRestore(
            entry=UUID(int=1),
            quantity="front standard height",
            place="top left",
            reading=Reading(value=12.35, unit="mm"),
            tolerance=Tolerance(unit="mm", lower=12.32, upper=12.38, source="as found"),
            restored=Reading(value=12.34, unit="mm", standard_uncertainty=0.01),
        )
    ]
)
TRACE = trace_picture(
    Firing(start_s=0.0, half_level_s=0.3, effective_s=0.3, base=0.0, plateau=1.0),
    samples=np.repeat([0.0, 1.0, 0.0], [10, 30, 20]),
    sample_rate_hz=100.0,
    start_s=-0.1,
)


def tags(text: str) -> list[str]:
    return [element.tag.rpartition("}")[2] for element in ET.fromstring(text).iter()]


@pytest.mark.parametrize("width", ["narrow", "wide", "print"])
def test_a_page_picture_passes_a_strict_content_security_policy(width):
    text = page_svg(dial_picture(SERIES, width=width))
    assert "style=" not in text
    assert not {"style", "script", "image", "foreignObject"} & set(tags(text))
    assert not re.search(r"\son\w+=|javascript:|https?://(?!www\.w3\.org/)", text)


def test_a_page_picture_holds_real_text_and_a_title_for_screen_readers():
    root = ET.fromstring(page_svg(dial_picture(SERIES)))
    said = {element.text for element in root.iter("{http://www.w3.org/2000/svg}text")}
    assert {"1/50", "tolerance", "as found, ± 2 u"} <= said
    assert root.get("role") == "img"
    by_id = {element.get("id"): element for element in root.iter()}
    title, description = (by_id[id_] for id_ in root.attrib["aria-labelledby"].split())
    assert title.text == "Error of each marked speed, in stops"
    assert "1/50 s +0.38 stops, cannot tell" in description.text


@pytest.mark.parametrize("picture", [dial_picture(SERIES), RESTORED, TRACE], ids=lambda picture: picture.name)
def test_a_page_picture_has_only_colours_that_a_theme_can_change(picture):
    text = page_svg(picture)
    colours = set(re.findall(r'(?:fill|stroke)="([^"]+)"', text))
    assert colours <= {"none"}
    classes = {name for words in re.findall(r'class="([^"]+)"', text) for name in words.split()}
    ruled = set(re.findall(r"\.([a-z-]+)\{", palette_css()))
    assert classes - {"picture", "picture-wide"} <= ruled


def test_the_text_of_a_page_picture_has_the_size_it_was_laid_out_with():
    root = ET.fromstring(page_svg(dial_picture(SERIES, width="narrow")))
    sizes = {element.get("font-size") for element in root.iter("{http://www.w3.org/2000/svg}text")}
    assert sizes == {"12px"}
    assert (root.get("viewBox") or "").split()[2] == "360"
    assert root.get("width") == "100%"
    assert "height" not in root.attrib


def test_two_pictures_in_one_page_share_no_identifier():
    both = [page_svg(dial_picture(SERIES[:n])) for n in (1, 2)]
    first, second = (set(re.findall(r'\sid="([^"]+)"', text)) for text in both)
    assert first
    assert not first & second


def test_every_reference_inside_a_page_picture_leads_somewhere():
    text = page_svg(dial_picture(SERIES))
    named = re.findall(r'\sid="([^"]+)"', text)
    assert len(named) == len(set(named))
    assert set(re.findall(r'href="#([^"]+)"|url\(#([^)]+)\)', text)) <= {
        pair for id_ in named for pair in ((id_, ""), ("", id_))
    }


@pytest.mark.parametrize("picture", [dial_picture(SERIES), RESTORED, TRACE], ids=lambda picture: picture.name)
def test_a_print_picture_is_outlines_in_greys(picture):
    text = print_svg(picture).decode()
    assert "text" not in tags(text)
    for colour in re.findall(r"#([0-9a-f]{6})", text):
        assert colour[:2] == colour[2:4] == colour[4:]


def test_the_same_picture_is_drawn_alike_twice():
    once, twice = (dial_picture(SERIES) for _ in range(2))
    assert page_svg(once) == page_svg(twice)
    assert print_svg(once) == print_svg(twice)
    assert page_svg(once) == page_svg(twice)


def test_every_colour_is_drawn_with_a_value_of_its_own():
    assert len({colour.drawn for colour in PALETTE.values()}) == len(PALETTE)


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2 (from memory)."""
    parts = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return sum(w * p for w, p in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


@pytest.mark.parametrize("theme", ["light", "dark", "ink"])
@pytest.mark.parametrize(("name", "least"), [("ink", 7), ("soft", 4.5), ("found", 4.5), ("left", 4.5), ("stale", 3)])
def test_what_carries_meaning_stands_out_against_the_paper(theme, name, least):
    two = sorted(luminance(getattr(PALETTE[n], theme)) for n in (name, "paper"))
    assert (two[1] + 0.05) / (two[0] + 0.05) >= least
