"""Pictures of a front standard: sharp where the plane is within the budget, and nowhere else."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.path import Path

from asfound.plots import page_svg
from asfound.plots.frame import _between, erection_picture, frame_picture, standard_picture
from asfound.shape import CORNERS, corner_moves, corner_points, fit_plane, frame_focus

NAMES = ("bottom left", "bottom right", "top right", "top left")


def measured(depths, apertures=(3.5, 8.0)):
    points = corner_points(width_mm=60, height_mm=40, depth_mm=depths)
    fit = fit_plane(points, depth_uncertainty_mm=0.01)
    focus = frame_focus(fit, width_mm=84, height_mm=56, circle_mm=0.05, f_numbers=apertures)
    return corner_moves(points, fit, NAMES), focus


def area(points):
    x, y = np.array(points).T
    return 0.5 * abs(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1)))


@given(
    corners=st.tuples(st.floats(-1, 1), st.floats(-1, 1), st.floats(-1, 1)),
    budget=st.floats(0.01, 1.5),
    x=st.floats(0.01, 0.99),
    y=st.floats(0.01, 0.99),
)
def test_a_place_is_shaded_just_where_the_plane_is_within_the_budget(corners, budget, x, y):
    low_left, low_right, high_left = corners
    values = (low_left, low_right, low_right + high_left - low_left, high_left)
    z = low_left + (low_right - low_left) * x + (high_left - low_left) * y
    sharp = _between([(0, 0), (1, 0), (1, 1), (0, 1)], values, budget)
    inside = len(sharp) > 2 and bool(Path(sharp).contains_point((x, y)))
    if abs(abs(z) - budget) > 1e-6:
        assert inside == (abs(z) < budget)


def test_all_of_a_parallel_frame_is_sharp_and_none_of_one_far_off():
    square = [(0, 0), (1, 0), (1, 1), (0, 1)]
    assert area(_between(square, (0, 0, 0, 0), 0.1)) == pytest.approx(1)
    assert _between(square, (1, 1, 1, 1), 0.1) == []


def test_half_is_sharp_where_the_worst_edge_is_twice_over_the_budget():
    # The defocus runs from -0.2 to +0.2 across: |z| <= 0.1 holds over the middle half.
    sharp = _between([(0, 0), (1, 0), (1, 1), (0, 1)], (-0.2, 0.2, 0.2, -0.2), 0.1)
    assert area(sharp) == pytest.approx(0.5)


def test_the_frame_says_what_each_corner_takes():
    # Slopes of four corners: geometry; 50.02, 50.10, 50.06, 49.98 give +1.33333e-3 across and -1.0e-3 up.
    _, focus = measured([50.02, 50.10, 50.06, 49.98])
    assert focus.corner_mm[CORNERS[1]] == pytest.approx(42 * 1.33333e-3 + 28 * 1.0e-3, abs=1e-6)
    said = frame_picture(focus).description
    assert "lower right +0.084 mm" in said
    assert "At f/3.5 the worst corner takes 48% of the budget" in said


def test_the_standard_names_the_worst_corner_and_points_it_home():
    moves, _ = measured([50.20, 50.0, 50.0, 50.0])
    picture = standard_picture(moves)
    assert picture.description.startswith("Bottom left +0.150 mm off level.")
    heads = [patch for patch in picture.figure.axes[0].patches if type(patch).__name__ == "FancyArrowPatch"]
    assert len(heads) == 1


@pytest.mark.parametrize("width", ["narrow", "wide", "print"])
@pytest.mark.parametrize("depths", [[50, 50, 50, 50], [50, 50, 50, 51], [50.5, 50, 50, 50], [49, 50, 50, 50]])
def test_no_word_of_the_standard_runs_into_another_or_off_the_picture(width, depths):
    moves, _ = measured(depths)
    picture = standard_picture(moves, width=width)
    picture.figure.draw_without_rendering()
    boxes = [text.get_window_extent() for text in picture.figure.axes[0].texts]
    frame = picture.figure.bbox
    for n, box in enumerate(boxes):
        assert box.x0 >= 0
        assert box.x1 <= frame.width
        assert box.y0 >= 0
        assert box.y1 <= frame.height
        assert not any(box.overlaps(other) for other in boxes[n + 1 :])


@pytest.mark.parametrize("count", [1, 2, 3, 4, 6])
def test_any_number_of_apertures_is_drawn(count):
    _, focus = measured([50.02, 50.10, 50.06, 49.98], [3.5 * 1.4**n for n in range(count)])
    svg = page_svg(frame_picture(focus, width="narrow"))
    assert svg.count("✓ within") + svg.count("? cannot tell") + svg.count("✕ outside") == count


def test_openings_that_do_not_scatter_can_be_drawn():
    assert "s 0.0000 mm" in erection_picture([63.4, 63.4, 63.4]).description
    assert "<svg" in page_svg(erection_picture([63.4, 63.4]))
