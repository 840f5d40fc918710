import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.focus.extension import distance_for_extension, extension_for_distance, lens_extension
from asfound.problems import BadInputError


@pytest.mark.parametrize(
    ("f", "distance", "origin", "expected"),
    [
        (75, 1000, "lens", 6.0811),
        (75, 1500, "lens", 3.9474),
        (75, 2000, "lens", 2.9221),
        (75, 3000, "lens", 1.9231),
        (75, 5000, "lens", 1.1421),
        (75, 10000, "lens", 0.5668),
        (75, 1000, "film", 6.6700),
        (75, 1500, "film", 4.1796),
        (75, 2000, "film", 3.0456),
        (75, 3000, "film", 1.9751),
        (75, 5000, "film", 1.1601),
        (75, 10000, "film", 0.5711),
        (105, 1000, "film", 14.2113),
        (105, 2000, "film", 6.1806),
        (105, 3000, "film", 3.9572),
        (105, 5000, "film", 2.3028),
    ],
)
def test_extensions_by_arithmetic(f, distance, origin, expected) -> None:
    # Arithmetic, rounded to four places: a regression. The checks from outside are the next three.
    assert extension_for_distance(focal_length_mm=f, distance_mm=distance, origin=origin) == pytest.approx(
        expected, abs=5e-5
    )


def test_newtons_equation_of_a_textbook_example() -> None:
    # f 100, object 1000 beyond the front focus: image 10 beyond the rear focus (a textbook's example, read).
    assert extension_for_distance(focal_length_mm=100, distance_mm=1100, origin="lens") == pytest.approx(10)


def test_a_lens_of_fifty_ten_out_is_sharp_at_three_hundred() -> None:
    # A textbook's example (read).
    assert distance_for_extension(focal_length_mm=50, extension_mm=10, origin="lens") == pytest.approx(300)


@pytest.mark.parametrize("distance", [800.0, 1000.0, 2000.0, 12000.0])
@pytest.mark.parametrize("nodal", [0.0, 6.0, -4.0])
def test_a_traced_ray_falls_on_the_film(trace, distance: float, nodal: float) -> None:
    f = 105.0
    x = extension_for_distance(focal_length_mm=f, distance_mm=distance, origin="film", nodal_separation_mm=nodal)
    # Film at 0, rear nodal point f + x in front; the object seen from the front nodal point.
    lens = -(f + x)
    assert trace([(lens, f)], -distance + nodal) == pytest.approx(0, abs=1e-6)


@given(
    st.floats(35, 210),
    st.floats(4.001, 1000),
    st.sampled_from(["film", "lens"]),
    st.floats(-10, 20),
)
def test_extension_and_distance_are_each_others_way_back(f, ratio, origin, nodal) -> None:
    nodal = nodal if origin == "film" else 0.0
    distance = f * ratio + nodal
    x = extension_for_distance(focal_length_mm=f, distance_mm=distance, origin=origin, nodal_separation_mm=nodal)
    back = distance_for_extension(focal_length_mm=f, extension_mm=x, origin=origin, nodal_separation_mm=nodal)
    assert back == pytest.approx(distance, rel=1e-9)


@given(st.floats(35, 210), st.floats(4.1, 500), st.floats(1.01, 3))
def test_a_nearer_subject_needs_more_extension(f, ratio, nearer) -> None:
    far = extension_for_distance(focal_length_mm=f, distance_mm=f * ratio * nearer)
    assert extension_for_distance(focal_length_mm=f, distance_mm=f * ratio) > far


def test_infinity_needs_none() -> None:
    assert extension_for_distance(focal_length_mm=75, distance_mm=math.inf) == 0
    assert math.isinf(distance_for_extension(focal_length_mm=75, extension_mm=0))


def test_life_size_is_two_focal_lengths_each_way() -> None:
    found = lens_extension(focal_length_mm=75, distance_mm=300)
    assert (found.extension_mm, found.magnification) == pytest.approx((75, 1))


@pytest.mark.parametrize("origin", ["film", "lens"])
def test_the_uncertainty_agrees_with_drawing_at_random(origin) -> None:
    rng = np.random.default_rng(4)
    f, s = rng.normal(75, 0.75, 20_000), rng.normal(2000, 10, 20_000)
    drawn = [extension_for_distance(focal_length_mm=a, distance_mm=b, origin=origin) for a, b in zip(f, s, strict=True)]
    stated = lens_extension(
        focal_length_mm=75, distance_mm=2000, origin=origin, u_focal_length_mm=0.75, u_distance_mm=10
    ).extension
    assert stated.standard_uncertainty == pytest.approx(np.std(drawn), rel=0.03)


@pytest.mark.parametrize(("origin", "distance"), [("film", 299.9), ("lens", 75.0), ("film", -2000.0)])
def test_a_distance_shorter_than_the_lens_allows_is_refused(origin, distance) -> None:
    with pytest.raises(BadInputError, match="shorter than a lens of 75 mm allows"):
        extension_for_distance(focal_length_mm=75, distance_mm=distance, origin=origin)


def test_a_distance_that_is_no_number_is_refused() -> None:
    with pytest.raises(BadInputError, match="distance"):
        extension_for_distance(focal_length_mm=75, distance_mm=math.nan)


def test_no_uncertainty_is_made_up() -> None:
    assert lens_extension(focal_length_mm=75, distance_mm=2000).extension.standard_uncertainty is None
