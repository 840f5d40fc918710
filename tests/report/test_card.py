import io
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader

from asfound.job.bodies import Camera, Fault, Opened, ShutterTable, SpeedRow, StateChanged, StepTaken
from asfound.quantity import CameraState
from asfound.report import camera_card, camera_card_pdf
from asfound.report.card import card_speed, say_correction


def row(marked, reference_s, error, verdict="outside"):
    return SpeedRow(
        marked=marked,
        reference_s=reference_s,
        times_s=(reference_s * 2**error,),
        mean_s=reference_s * 2**error,
        error_stops=error,
        tolerance_stops=1 / 3,
        verdict=verdict,
    )


@pytest.mark.parametrize(
    ("thirds", "said"),
    [(0, "as marked"), (1, "close 1/3"), (2, "close 2/3"), (3, "close 1"), (4, "close 1 1/3"), (-1, "open 1/3")],
)
def test_a_correction_is_said_in_thirds_of_a_stop(thirds, said):
    assert say_correction(thirds) == said


@given(st.floats(-3, 3))
def test_the_correction_leaves_at_most_a_sixth_of_a_stop(error):
    said = card_speed(row("1/50", 0.02, error)).set
    if said == "as marked":
        correction = 0.0
    else:
        way, *amounts = said.split()
        stops = sum(float(Fraction(amount)) for amount in amounts)
        correction = stops if way == "close" else -stops
    assert abs(error - correction) <= 1 / 6 + 1e-9


def test_the_card_tells_what_each_speed_gives(full_job):
    card = camera_card(full_job, as_of="today")
    last = card.speeds[-1]
    assert (last.marked, last.real, last.set) == ("1/250", "1/183 s", "close 1/3")
    assert [speed.marked for speed in card.speeds if speed.doubtful] == ["1/100"]


def test_stale_speeds_are_not_printed_as_if_they_were_true(write):
    camera = Opened(ticket="T-1", camera=Camera(model="Practice Six"))
    measured = ShutterTable(
        stage="as left", rows=(row("1/50", 0.02, 0.1),), tolerance_source="", depends_on=("shutter",)
    )
    stale = camera_card(write([camera, measured, StepTaken(action="off", part="shutter")]), as_of="today")
    assert stale.speeds == ()
    assert "measure them again" in stale.why_none
    none = camera_card(write([camera]), as_of="today")
    assert none.why_none == "The speeds were not measured as left."


@pytest.mark.parametrize(("aperture", "told"), [(3.5, True), (8.0, False), (None, False)])
def test_only_a_leaf_shutter_measured_wide_open_is_said_to_give_more_stopped_down(write, aperture, told):
    camera = Camera(model="Practice Six", largest_aperture=3.5, shutter_kind="leaf")
    measured = ShutterTable(stage="as left", rows=(row("1/50", 0.02, 0.1),), tolerance_source="")
    state = StateChanged(state=CameraState(aperture=aperture, shutter="cocked"))
    job = write([Opened(ticket="T-1", camera=camera), state, measured])
    assert camera_card(job, as_of="today").wide_open is told


def test_the_card_has_two_sides_of_its_standard_size_whatever_is_on_it(write):
    # ISO/IEC 7810:2019, ID-1: 85.60 mm by 53.98 mm (from memory).
    rows = tuple(row(f"1/{n}", 1 / n, 1.4, "cannot tell") for n in range(1, 20))
    crowded = write(
        [
            Opened(ticket="T" * 150, camera=Camera(maker="M" * 200, model="Long Name " * 15, shutter_kind="leaf")),
            StateChanged(state=CameraState(dial="D" * 300, focus="F" * 300)),
            ShutterTable(stage="as left", rows=rows, tolerance_source=""),
            *(Fault(fault=f"fault {n} " + "x" * 150) for n in range(20)),
        ]
    )
    pages = PdfReader(io.BytesIO(camera_card_pdf(crowded, as_of="25 November 2026"))).pages
    sizes = [(float(page.mediabox.width) / 72 * 25.4, float(page.mediabox.height) / 72 * 25.4) for page in pages]
    assert sizes == [pytest.approx((85.60, 53.98), abs=0.01)] * 2


def test_both_sides_can_be_read_back(full_job):
    front, back = (p.extract_text() for p in PdfReader(io.BytesIO(camera_card_pdf(full_job, as_of="today"))).pages)
    assert "1/183 s" in front
    assert "close 1/3" in front
    assert "things were not proved, see the report" in back
