import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.focus.budget import focus_budget
from asfound.focus.extension import extension_for_distance
from asfound.focus.front_cell import (
    TwoGroups,
    front_cell_start,
    front_focal_length,
    front_travel,
    image_shift,
    two_groups,
)
from asfound.focus.start import Helical
from asfound.problems import BadInputError
from asfound.quantity import Reading

LENS = two_groups(front_mm=40, rear_mm=-120, separation_mm=10)


@pytest.mark.parametrize(
    ("f1", "f2", "d", "focal", "back"),
    [
        (100, 100, 0, 50, 50),
        (100, 100, 50, 67, 33),
        (100, 200, 50, 80, 40),
        (200, 100, 50, 80, 60),
        (-200, 100, 50, 133, 167),
        (100, -200, 50, 133, 67),
    ],
)
def test_two_thin_groups_of_an_optics_tutorial(f1, f2, d, focal, back) -> None:
    # An optics tutorial's table (read), printed in whole mm.
    groups = TwoGroups(front_mm=f1, rear_mm=f2, separation_mm=d)
    assert (groups.focal_length_mm, groups.back_focal_mm) == pytest.approx((focal, back), abs=0.5)


def test_two_lenses_of_an_old_handbook() -> None:
    # 8 in and 6 in, 2 in apart, make 4 in: Cassell's Cyclopaedia of Photography (read).
    assert TwoGroups(front_mm=8, rear_mm=6, separation_mm=2).focal_length_mm == pytest.approx(4)


def test_a_front_cell_at_a_metre_moves_half_as_far_as_the_whole_lens() -> None:
    # By arithmetic: F 53.3333, back focus 40, travel 1.66667 against 3.00469, new F 52.3636.
    found = front_travel(groups=LENS, distance_mm=1000, origin="front")
    unit = extension_for_distance(focal_length_mm=LENS.focal_length_mm, distance_mm=1000, origin="lens")
    assert (LENS.focal_length_mm, LENS.back_focal_mm) == pytest.approx((53.3333, 40), abs=5e-5)
    assert found.travel.value == pytest.approx(1.66667, abs=5e-6)
    assert unit == pytest.approx(3.00469, abs=5e-6)
    assert found.focal_length_mm == pytest.approx(52.3636, abs=5e-5)


@pytest.mark.parametrize("distance", [800.0, 1000.0, 3000.0, 20_000.0])
@pytest.mark.parametrize("origin", ["film", "front"])
@pytest.mark.parametrize("groups", [LENS, two_groups(front_mm=60, rear_mm=-300, separation_mm=18)])
def test_a_ray_traced_through_the_moved_cell_falls_on_the_film(trace, groups, origin, distance) -> None:
    film = groups.back_focal_mm  # the rear group at 0
    e = front_travel(groups=groups, distance_mm=distance, origin=origin).travel.value
    front = -(groups.separation_mm + e)
    subject = film - distance if origin == "film" else front - distance
    surfaces = [(front, groups.front_mm), (0.0, groups.rear_mm)]
    assert trace(surfaces, subject) == pytest.approx(film, abs=1e-6)


def test_at_infinity_the_cell_is_home_and_the_traced_image_on_the_film(trace) -> None:
    assert front_travel(groups=LENS, distance_mm=math.inf).travel.value == 0
    assert trace([(-10, 40), (0, -120)], -math.inf) == pytest.approx(LENS.back_focal_mm)


@given(st.floats(0.1, 1.5))
def test_the_rear_group_comes_back_from_the_whole(moved: float) -> None:
    again = two_groups(front_mm=40, focal_length_mm=LENS.focal_length_mm, separation_mm=10)
    assert again.rear_mm == pytest.approx(-120)
    # And by the square of the magnification a small move shifts the image.
    assert image_shift(groups=LENS, moved_mm=moved / 1000) == pytest.approx(
        LENS.rear_magnification**2 * moved / 1000, rel=1e-4
    )


def test_a_cell_too_far_out_images_infinity_in_front_of_the_film(trace) -> None:
    traced = LENS.back_focal_mm - trace([(-10.5, 40), (0, -120)], -math.inf)
    assert image_shift(groups=LENS, moved_mm=0.5) == pytest.approx(traced)
    assert traced > 0


@given(st.floats(0.2, 5), st.floats(600, 20_000))
def test_the_front_focal_length_comes_back_from_its_travel(travel: float, distance: float) -> None:
    f1 = front_focal_length(travel_mm=travel, distance_mm=distance)
    assert f1**2 / (distance - f1) == pytest.approx(travel)


@pytest.mark.parametrize("origin", ["film", "front"])
def test_the_travel_is_as_uncertain_as_stated(origin) -> None:
    # The film's place is held: the rear group of each drawn lens keeps the back focal distance.
    rng = np.random.default_rng(6)
    stated = front_travel(groups=LENS, distance_mm=1000, origin=origin, u_front_mm=0.4).travel
    drawn = []
    for f1 in rng.normal(40, 0.4, 4000):
        image = f1 - 10  # behind the rear group, and its conjugate at the film 40 behind it
        rear = 1 / (1 / 40 - 1 / image)
        groups = two_groups(front_mm=f1, rear_mm=rear, separation_mm=10)
        drawn.append(front_travel(groups=groups, distance_mm=1000, origin=origin).travel.value)
    assert stated.standard_uncertainty == pytest.approx(np.std(drawn), rel=0.04)


def test_a_front_cell_one_start_out_is_found_by_its_image() -> None:
    budget = focus_budget(f_number=3.5, circle_mm=0.05)
    thread = Helical(lead_mm=3.0, starts=4)
    step = LENS.rear_magnification**2 * 0.75
    found = front_cell_start(
        groups=LENS,
        helical=thread,
        image_error=Reading(value=step, unit="mm", standard_uncertainty=0.05),
        budget=budget,
    )
    assert found.finding.advice == "one start out: re-enter one start earlier"
    assert found.image_step_mm == pytest.approx(step, rel=0.05)
    assert found.step_share > 1
    assert found.verdict == "outside"


def test_without_a_measured_image_only_the_step_is_told() -> None:
    found = front_cell_start(groups=LENS, helical=Helical(lead_mm=3, starts=4))
    assert (found.finding, found.step_share, found.verdict) == (None, None, None)


@pytest.mark.parametrize(("origin", "distance"), [("film", 169.0), ("front", 40.0)])
def test_a_distance_shorter_than_the_cell_allows_is_refused(origin, distance) -> None:
    with pytest.raises(BadInputError, match="shorter than this front cell allows"):
        front_travel(groups=LENS, distance_mm=distance, origin=origin)


def test_a_lead_of_zero_is_refused() -> None:
    with pytest.raises(BadInputError, match="lead"):
        front_travel(groups=LENS, distance_mm=1000, lead_mm=0)


@pytest.mark.parametrize(
    ("front", "rear", "whole", "words"),
    [
        (-40, -120, None, "front focal length"),
        (40, -20, None, "no image behind"),
        (40, None, None, "one of two"),
        (40, -120, 53, "one of two"),
        (40, None, 40, "no power"),
    ],
)
def test_groups_that_make_no_such_lens_are_refused(front, rear, whole, words) -> None:
    with pytest.raises(BadInputError, match=words):
        two_groups(front_mm=front, rear_mm=rear, focal_length_mm=whole, separation_mm=10)
