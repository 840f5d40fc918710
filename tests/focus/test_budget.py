import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.focus.budget import (
    circle_of_confusion,
    coverage_factor,
    depth_of_field,
    depth_of_focus,
    find_format,
    focus_budget,
    format_budget,
    hyperfocal_distance,
    judge,
)
from asfound.problems import BadInputError
from asfound.quantity import Reading


@pytest.mark.parametrize(
    ("name", "circle_mm"), [("24x36", 0.0288), ("6x4.5", 0.0467), ("56x56", 0.0528), ("6x9", 0.0673)]
)
def test_the_modern_circle_is_the_diagonal_over_1500(name: str, circle_mm: float) -> None:
    # The rule diagonal / 1500 is in photographic texts (read); its values here by arithmetic, to four places.
    frame = find_format(name)
    assert circle_of_confusion(width_mm=frame.width_mm, height_mm=frame.height_mm) == pytest.approx(circle_mm, abs=6e-5)


@pytest.mark.parametrize(
    ("f", "n", "c", "expected"),
    [(50, 8, 0.02, 15625), (35, 11, 0.03, 3712.12), (40, 16, 0.025, 4000)],
)
def test_hyperfocal_distances_agree_with_a_published_table(f: float, n: float, c: float, expected: float) -> None:
    # A published table without the + f (read), so the focal length is taken off again.
    H = hyperfocal_distance(focal_length_mm=f, f_number=n, circle_mm=c)
    assert H - f == pytest.approx(expected, abs=0.005)


@pytest.mark.parametrize(
    ("f", "n", "c", "H", "near", "far"),
    [(50, 8, 0.03, 10466.67, 2337.91, 4185.27), (75, 3.5, 0.05, 32217.86, 2749.77, 3300.33)],
)
def test_depth_of_field_at_three_metres(f: float, n: float, c: float, H: float, near: float, far: float) -> None:
    # Arithmetic from Ray's formulae; the ray trace below is the check from outside.
    field = depth_of_field(focal_length_mm=f, f_number=n, circle_mm=c, distance_mm=3000)
    assert (field.hyperfocal_mm, field.near_mm, field.far_mm) == pytest.approx((H, near, far), abs=0.005)


@pytest.mark.parametrize(("f", "n", "c", "s"), [(75, 3.5, 0.05, 3000), (105, 4.5, 0.06, 2000)])
def test_a_point_at_either_limit_makes_a_blur_disc_of_the_circle(trace, f, n, c, s) -> None:
    # Blur by similar triangles from a traced image position: outside the formulae under test.
    field = depth_of_field(focal_length_mm=f, f_number=n, circle_mm=c, distance_mm=s)
    film = trace([(0, f)], -s)
    for limit in (field.near_mm, field.far_mm):
        image = trace([(0, f)], -limit)
        assert abs(image - film) / image * (f / n) == pytest.approx(c, rel=1e-9)


@given(st.floats(20, 300), st.floats(1.4, 32), st.floats(0.01, 0.2))
def test_focused_on_the_hyperfocal_distance_all_is_sharp_from_half_of_it(f, n, c) -> None:
    H = hyperfocal_distance(focal_length_mm=f, f_number=n, circle_mm=c)
    field = depth_of_field(focal_length_mm=f, f_number=n, circle_mm=c, distance_mm=H)
    assert math.isinf(field.far_mm)
    assert field.near_mm == pytest.approx(H / 2)


def test_focused_on_infinity_it_is_sharp_from_the_hyperfocal_distance() -> None:
    field = depth_of_field(focal_length_mm=75, f_number=3.5, circle_mm=0.05, distance_mm=math.inf)
    assert field.near_mm == pytest.approx(75**2 / 0.175)


@pytest.mark.parametrize(("n", "c", "half"), [(3.5, 0.05, 0.175), (4.5, 0.06, 0.27)])
def test_the_budget_is_the_half_width_n_times_c(n: float, c: float, half: float) -> None:
    assert focus_budget(f_number=n, circle_mm=c).half_width_mm == pytest.approx(half)


def test_the_budget_at_infinity_is_the_depth_of_focus() -> None:
    # Total 2 c v N / f: Ray, The Photographic Lens, as quoted (read).
    assert depth_of_focus(f_number=3.5, circle_mm=0.05, focal_length_mm=75, image_distance_mm=75) == pytest.approx(
        0.175
    )


def test_four_hundredths_off_is_a_quarter_of_the_budget() -> None:
    budget = focus_budget(f_number=3.5, circle_mm=0.05)
    assert budget.share(0.04) == pytest.approx(0.04 / 0.175)
    assert budget.judge(Reading(value=0.04, unit="mm", standard_uncertainty=0.01)) == "within"


@pytest.mark.parametrize(
    ("value", "u", "dof", "verdict"),
    [
        (0.10, 0.02, None, "within"),
        (-0.30, 0.02, None, "outside"),
        (0.17, 0.02, None, "cannot tell"),
        (0.10, 0.02, 1.0, "cannot tell"),
        (0.10, None, None, "cannot tell"),
    ],
)
def test_a_verdict_counts_the_uncertainty(value, u, dof, verdict) -> None:
    reading = Reading(value=value, unit="mm", standard_uncertainty=u, degrees_of_freedom=dof)
    assert judge(reading, limit=0.175) == verdict


@pytest.mark.parametrize(("n", "factor"), [(3, 4.30), (5, 2.78)])
def test_the_coverage_factor_of_a_mean_is_students_t(n: int, factor: float) -> None:
    # JCGM 100:2008, table G.2 (read).
    assert coverage_factor(n - 1) == pytest.approx(factor, abs=0.005)


def test_a_frame_may_be_given_by_its_sides_in_either_order() -> None:
    assert find_format("82 x 55 mm").diagonal_mm == find_format("55x82").diagonal_mm


def test_the_source_of_the_circle_is_told() -> None:
    assert "diagonal of 6x9 / 1500" in format_budget(f_number=4.5, frame=find_format("6x9")).circle_source


@pytest.mark.parametrize("name", ["6x", "postcard", "0x40", "5x5"])
def test_a_frame_nobody_knows_is_refused_with_those_known(name: str) -> None:
    with pytest.raises(BadInputError, match="use one of 24x36"):
        find_format(name)


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
def test_an_aperture_that_cannot_be_is_refused(bad: float) -> None:
    with pytest.raises(BadInputError, match="f-number"):
        focus_budget(f_number=bad, circle_mm=0.05)


def test_a_subject_inside_the_focal_length_is_refused() -> None:
    with pytest.raises(BadInputError, match="not beyond the focal length"):
        depth_of_field(focal_length_mm=75, f_number=3.5, circle_mm=0.05, distance_mm=60)
