"""Lengths in mm or in thou, as preferred: one thou is 0.0254 mm exactly (international inch of 1959, memory)."""

import re
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.quantity import show_length
from asfound.web.lengths import PREFERRED, preferred, preferred_cell, preferred_head


@pytest.fixture
def in_thou() -> Iterator[None]:
    token = PREFERRED.set("thou")
    yield
    PREFERRED.reset(token)


@pytest.mark.usefixtures("in_thou")
@pytest.mark.parametrize(
    ("written", "shown"),
    [
        ("0.254 mm", "10.00 thou"),
        ("held to 63.37 to 63.47 mm (the maker)", "held to 2494.9 to 2498.8 thou (the maker)"),
        ("0.3800 ± 0.0100 mm (15.0 thou)", "14.961 ± 0.394 thou (0.3800\N{NO-BREAK SPACE}mm)"),
        ("10 and 10 mm", "394 and 394 thou"),
        ("within ± 0.05 mm of it", "within ± 2.0 thou of it"),
        ("-0.10 mm", "-3.9 thou"),
    ],
)
def test_a_length_is_shown_in_thou_as_finely_as_in_mm(written: str, shown: str) -> None:
    assert preferred(written) == shown


@pytest.mark.usefixtures("in_thou")
@pytest.mark.parametrize(
    "written",
    [
        "2 × slot screw M1.4 × 2.5 mm",
        "36.64 N·mm per turn",
        "0.5 N/mm",
        "3.2 mm² of it",
        "a 105 mm lens",
        "20 mm/turn",
        "no length at all",
    ],
)
def test_what_is_no_plain_length_stays_as_it_is(written: str) -> None:
    assert preferred(written) == written


@given(st.floats(0.01, 500, allow_nan=False))
def test_nothing_changes_for_whoever_prefers_mm(length: float) -> None:
    assert preferred(show_length(length)) == show_length(length)


@given(st.floats(0.01, 500, allow_nan=False))
def test_a_length_in_thou_is_the_same_length(length: float) -> None:
    token = PREFERRED.set("thou")
    shown = preferred(f"{length:.3f} mm")
    PREFERRED.reset(token)
    thou = float(re.sub(r"[^\d.]", "", shown))
    assert thou * 0.0254 == pytest.approx(round(length, 3), abs=0.006 * 0.0254)


@pytest.mark.usefixtures("in_thou")
def test_a_column_in_mm_becomes_one_in_thou() -> None:
    assert preferred_head("Diameter mm") == "Diameter thou"
    assert preferred_cell("1.400", "Diameter mm") == "55.12"
    assert preferred_cell("1.400", "Pitch") == "1.400"


def test_the_choice_is_kept_and_followed_by_the_pages(bench: Any, job_path: str) -> None:
    shown = bench.get(f"{job_path}/findings").text
    assert " mm (" in shown
    answer = bench.post("/lengths", lengths="thou", back=f"{job_path}/findings")
    assert answer.headers["location"] == f"{job_path}/findings"
    page = bench.get(f"{job_path}/findings").text
    assert " thou (" in page
    assert 'name="lengths" value="thou" aria-pressed="true"' in page
    bench.post("/lengths", lengths="furlongs")
    assert bench.get(f"{job_path}/findings").text.count(" mm (") == shown.count(" mm (")
