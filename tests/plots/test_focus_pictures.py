"""What the pictures of the focus show lies where the results say."""

import math

import pytest

from asfound.focus import (
    Effort,
    Helical,
    UnitFocusing,
    aperture_finding,
    depth_of_field,
    effort_finding,
    entries,
    fit_scale,
    focus_budget,
    rangefinder_coupling,
    set_infinity,
    sharpest_setting,
    sharpness_peak,
    which_start,
)
from asfound.plots import page_svg
from asfound.plots.aperture import aperture_picture
from asfound.plots.budget import budget_picture, field_picture
from asfound.plots.datum import Layer, leaves_picture, off_picture, stack_picture
from asfound.plots.effort import effort_picture, rub_picture
from asfound.plots.focus_how import depth_gauge, film_plane, scale_ring, spacer_points, thread_entry
from asfound.plots.focus_how_more import front_cell_travel, ground_glass, pull_at_lever, pupil, taped_target
from asfound.plots.front_cell import travel_picture
from asfound.plots.infinity import infinity_picture
from asfound.plots.rangefinder import coupling_picture
from asfound.plots.scale import ring_picture, scale_picture
from asfound.plots.thread_start import clock_picture, start_picture
from asfound.quantity import Reading

BUDGET = focus_budget(f_number=3.5, circle_mm=0.05)  # ± 0.175 mm
LENS = UnitFocusing(focal_length_mm=105)
ERROR = Reading(value=0.1, unit="mm", standard_uncertainty=0.02)
FIT = fit_scale(focusing=LENS, marks=[(math.inf, 0), (5000, 92), (2000, 250)], u_angle_deg=1, budget=BUDGET)
HELICAL = Helical(lead_mm=9, starts=6)
HEIGHT = Reading(value=1.52, unit="mm", standard_uncertainty=0.02)
START = which_start(height_error=HEIGHT, helicals=(HELICAL,))
TRIES = [(-0.42, -0.38), (-0.41, -0.37)]
SET = set_infinity(sharpest=sharpest_setting(TRIES), focusing=LENS, lead_mm=9, budget=BUDGET)
SERIES = sharpness_peak(settings=range(9), sharpness=[1 / (1 + ((n - 4.2) / 1.5) ** 2) for n in range(9)])
FORCES = [
    Effort(position=n, force_n=1.0 + (ring == "on" and n == 3), surface="dry", ring=ring, way="out")
    for n in range(6)
    for ring in ("on", "off")
]
EFFORT = effort_finding(readings=FORCES, u_force_n=0.05, scuffs=[3.2])
COUPLING = rangefinder_coupling(focusing=LENS, readings=[(math.inf, 40_000), (5000, 4400), (2000, 1900)])
OPENINGS = aperture_finding(
    focal_length_mm=100,
    diameters=[(m, Reading(value=d, unit="mm", standard_uncertainty=0.05)) for m, d in ((4, 25), (8, 12.5), (16, 9))],
)
DRAWN = {
    "budget": lambda width: budget_picture(BUDGET, error=ERROR, width=width),
    "scale": lambda width: scale_picture(FIT, width=width),
    "ring": lambda width: ring_picture(FIT, width=width),
    "start": lambda width: start_picture(START, HEIGHT, (HELICAL,), width=width),
    "clock": lambda width: clock_picture(entries(helical=HELICAL, first_clock_deg=20), width=width),
    "off": lambda width: off_picture([("height", ERROR)], budget=BUDGET, width=width),
    "stack": lambda width: stack_picture([Layer(name="ring", thickness_mm=(0.5, 0.51, 0.5))], width=width),
    "leaves": lambda width: leaves_picture([((0.1, 0.05), 0.03)], 0.18, width=width),
    "tries": lambda width: infinity_picture(SET, stop_mm=0, brackets=TRIES, budget=BUDGET, width=width),
    "series": lambda width: infinity_picture(SET, stop_mm=0, series=SERIES, budget=BUDGET, width=width),
    "effort": lambda width: effort_picture(EFFORT, width=width),
    "rub": lambda width: rub_picture(EFFORT.rubs[-1], scuffs=[3.2], width=width),
    "travel": lambda width: travel_picture([(1000, 2.0), (9000, 0.2)], [(1000, 3.0), (9000, 0.3)], width=width),
    "coupling": lambda width: coupling_picture(COUPLING, needed_mm=[0, 2.3, 6.2], budget=BUDGET, width=width),
    "aperture": lambda width: aperture_picture(OPENINGS, tolerance_stops=1 / 3, width=width),
}
HOW = (
    film_plane, scale_ring, thread_entry, depth_gauge, spacer_points, ground_glass, pull_at_lever, front_cell_travel,
    taped_target, pupil,
)  # fmt: skip


@pytest.mark.parametrize("width", ["wide", "narrow"])
@pytest.mark.parametrize("name", DRAWN)
def test_a_picture_goes_into_a_page_as_it_is(name, width):
    svg = page_svg(DRAWN[name](width))
    assert "style" not in svg
    assert f"picture-{width}" in svg


@pytest.mark.parametrize("draw", HOW)
def test_a_drawing_of_how_a_reading_is_taken_says_what_it_shows(draw):
    picture = draw(width="narrow")
    assert picture.title
    assert picture.description.endswith(".")


def line(picture, label):
    found = next(one for one in picture.figure.axes[0].get_lines() if one.get_label() == label)
    return list(zip(*(map(float, each) for each in found.get_data()), strict=True))


def band(picture, label):
    patch = next(one for one in picture.figure.axes[0].patches if one.get_label() == label)
    box = patch.get_extents().transformed(picture.figure.axes[0].transData.inverted())
    return (box.x0, box.x1), (box.y0, box.y1)


def test_at_the_edge_of_the_budget_a_point_is_as_wide_as_the_circle():
    # The cone of light is z / N wide at z from its point (similar triangles): c at N c.
    picture = budget_picture(BUDGET)
    assert band(picture, "within the budget")[0] == pytest.approx((-0.175, 0.175))
    ends = line(picture, "circle of confusion")
    assert [abs(y) for _, y in ends] == pytest.approx([0.025, 0.025])
    assert ends[0][0] == pytest.approx(-0.175)


def test_a_bar_of_the_field_reaches_from_near_to_far():
    field = depth_of_field(focal_length_mm=75, f_number=3.5, circle_mm=0.05, distance_mm=3000)
    bar = field_picture([(3.5, field)]).figure.axes[0].patches[0]
    # Ray, The Photographic Lens (as quoted, read): near 2749.77, far 3300.33 mm.
    assert (bar.get_x(), bar.get_x() + bar.get_width()) == pytest.approx((2749.77, 3300.33), abs=0.01)


def test_an_error_lies_at_its_value_with_two_uncertainties_either_side():
    container = off_picture([("height", ERROR)], budget=BUDGET).figure.axes[0].containers[0]
    point, _, (bar,) = container.lines
    assert list(point.get_xdata()) == [0.1]
    (low, _), (high, _) = bar.get_segments()[0]
    assert (low, high) == pytest.approx((0.06, 0.14))


def test_the_height_lies_at_the_start_it_fits():
    picture = start_picture(START, HEIGHT, (HELICAL,))
    assert line(picture, "measured, ± 2 u") == [(1.52, 0.5)]
    assert "Re-enter" in picture.description or "re-enter" in picture.description


def test_the_stop_and_true_infinity_are_told_apart():
    picture = infinity_picture(SET, stop_mm=0, brackets=TRIES, budget=BUDGET)
    assert [x for x, _ in line(picture, "the stop")] == [0, 0]
    assert [x for x, _ in line(picture, "true infinity, ± 2 u")] == pytest.approx([-0.395, -0.395])


def test_the_budget_is_drawn_about_true_infinity():
    picture = infinity_picture(SET, stop_mm=0, brackets=TRIES, budget=BUDGET)
    assert band(picture, "focus budget")[0] == pytest.approx((-0.395 - 0.175, -0.395 + 0.175))


def test_the_position_that_rubs_stands_out_by_its_force():
    heights = [bar.get_height() for bar in rub_picture(EFFORT.rubs[-1]).figure.axes[0].patches]
    assert heights == pytest.approx([0, 0, 0, 1, 0, 0])


def test_a_setting_that_stands_apart_is_marked():
    picture = aperture_picture(OPENINGS, tolerance_stops=1 / 3)
    assert any(one.get_label() == "stands apart" for one in picture.figure.axes[0].get_lines())
