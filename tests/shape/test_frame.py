import numpy as np
import pytest

from asfound.problems import BadInputError
from asfound.quantity import Reading
from asfound.shape import corner_moves, corner_points, erection, fit_plane, frame_focus, from_first


def standard(depths=(50.02, 50.10, 50.06, 49.98), u=0.01):
    points = corner_points(width_mm=60, height_mm=40, depth_mm=depths)
    return points, fit_plane(points, depth_uncertainty_mm=u)


def focus(fit, **options):
    given = {"width_mm": 84, "height_mm": 56, "circle_mm": 0.05, "f_numbers": (3.5, 11)} | options
    return frame_focus(fit, **given)


def test_hundredths_from_the_first_corner_are_depths():
    assert from_first(first_mm=50.02, hundredths=[8, 4, -4]) == pytest.approx([50.02, 50.10, 50.06, 49.98])


def test_defocus_grows_with_the_slope_to_the_corner():
    # slope 4/3e-3 over 42 mm and -1e-3 over 28 mm: 0.056 + 0.028, worked by hand.
    found = focus(standard()[1])
    assert found.corner_mm["lower right"] == pytest.approx(0.084)
    assert found.corner_mm["upper left"] == pytest.approx(-0.084)
    assert np.abs(found.defocus_mm).max() == pytest.approx(0.084)
    assert found.defocus_mm.shape == (25, 25)
    assert found.defocus_mm[0, -1] == pytest.approx(found.corner_mm["lower right"])


def test_budget_is_plus_or_minus_n_c():
    # N c = 3.5 x 0.05 = 0.175 mm; 0.084 is 48 % of it.
    at_full, stopped = focus(standard()[1]).apertures
    assert at_full.budget_mm == pytest.approx(0.175)
    assert at_full.share == pytest.approx(0.48)
    assert at_full.verdict == "within"
    assert stopped.budget_mm == pytest.approx(0.55)


def test_verdict_has_three_values():
    _, steep = standard((50.0, 50.6, 50.6, 50.0))
    assert focus(steep).apertures[0].verdict == "outside"
    _, doubtful = standard((50.0, 50.24, 50.24, 50.0), u=0.02)
    assert focus(doubtful).apertures[0].verdict == "cannot tell"


def test_nothing_is_told_without_an_uncertainty():
    three = fit_plane(np.array([(0, 0, 1), (1, 0, 1), (0, 1, 1.0)]))
    assert focus(three).apertures[0].verdict == "cannot tell"


def test_scatter_of_erection_goes_into_the_uncertainty():
    _, fit = standard()
    scatter = erection([40.02, 40.12, 40.0, 40.1, 40.06]).scatter
    plain, with_it = focus(fit).apertures[0], focus(fit, scatter=scatter).apertures[0]
    expected = np.hypot(plain.worst.standard_uncertainty, scatter.standard_uncertainty)
    assert with_it.worst.standard_uncertainty == pytest.approx(expected)
    assert with_it.worst.degrees_of_freedom == 4
    assert plain.verdict == "within"
    assert with_it.verdict == "cannot tell"


def test_the_corner_that_is_off_comes_first():
    points, fit = standard((50.0, 50.0, 50.2, 50.0))
    moves = corner_moves(points, fit)
    assert moves[0].name == "upper right"
    assert moves[0].off_level_mm == pytest.approx(0.15)
    # One corner up by 0.2 is a twist of 0.05 that no tilt explains.
    assert abs(moves[0].off_plane_mm) == pytest.approx(0.05)
    assert fit.twist_mm == pytest.approx(0.05)


@pytest.mark.parametrize(("what", "value"), [("circle_mm", 0), ("width_mm", -1), ("f_numbers", (0,))])
def test_impossible_frames_are_refused(what, value):
    with pytest.raises(BadInputError):
        focus(standard()[1], **{what: value})


def test_three_corners_are_not_four():
    with pytest.raises(BadInputError):
        corner_points(width_mm=60, height_mm=40, depth_mm=[1, 2, 3])


def test_offset_in_the_middle_moves_the_whole_frame():
    found = focus(standard()[1], offset_mm=0.1)
    assert found.corner_mm["lower right"] == pytest.approx(0.184)
    assert isinstance(found.apertures[0].worst, Reading)
