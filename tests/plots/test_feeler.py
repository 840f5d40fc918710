"""Pictures of feeler answers and of three stations."""

import pytest

from asfound.plots import page_svg
from asfound.plots.feeler import gap_picture, seat_picture
from asfound.quantity import FeelerAnswer, Station, bracket, seat


def read(*tries):
    answers = [FeelerAnswer((leaf,), answer) for leaf, answer in tries]
    reading, problems = bracket(answers)
    assert not problems
    return answers, reading


def shaded(picture):
    """Return the shaded band as shares of the picture's width."""
    band = picture.figure.axes[0].patches[0].get_xy()
    return min(band[:, 0]), max(band[:, 0])


def test_the_gap_is_shaded_from_the_loose_leaf_to_the_one_that_will_not_enter():
    picture = gap_picture(*read((0.35, "loose"), (0.40, "no")))
    ticks = {t.get_text(): t.get_position()[0] for t in picture.figure.axes[0].texts}
    start, end = shaded(picture)
    assert ticks["0.40"] == pytest.approx(end)
    halfway = (ticks["0.34"] + ticks["0.36"]) / 2
    assert halfway == pytest.approx(start)


def test_one_side_known_is_shaded_to_the_end_of_the_scale():
    loose, tight = gap_picture(*read((0.35, "loose"))), gap_picture(*read((0.35, "no")))
    assert shaded(loose)[1] > 0.95 * 900
    assert shaded(tight)[0] < 0.3 * 900
    assert "more than 0.35" in loose.description
    assert "less than 0.35" in tight.description


@pytest.mark.parametrize("size", [0.01, 0.3, 4.0, 9.9])
@pytest.mark.parametrize("width", ["narrow", "wide", "print"])
def test_a_gap_of_any_size_is_drawn_with_its_scale(size, width):
    picture = gap_picture(*read((size, "loose"), (size * 1.1, "no")), width=width)
    numbers = [t.get_text() for t in picture.figure.axes[0].texts if t.get_text().replace(".", "").isdigit()]
    assert len(numbers) >= 2
    assert "<svg" in page_svg(picture)


def test_the_arrow_of_three_stations_points_to_the_highest():
    readings = [read((leaf, "drag"))[1] for leaf in (0.40, 0.35, 0.35)]
    stations = [Station(angle_deg=a, pressed=r) for a, r in zip((90, 330, 210), readings, strict=True)]
    picture = seat_picture(stations, seat(stations, radius_mm=15))
    assert "towards 12 o'clock" in picture.description
    (arrow,) = [p for p in picture.figure.axes[0].patches if type(p).__name__ == "FancyArrowPatch"]
    vertices = arrow.get_path().vertices
    assert abs(vertices[0, 0] - 450) < 1


def test_a_rise_that_the_feelers_cannot_tell_is_drawn_in_grey():
    readings = [read((leaf, "drag"))[1] for leaf in (0.36, 0.35, 0.35)]
    stations = [Station(angle_deg=a, pressed=r) for a, r in zip((90, 330, 210), readings, strict=True)]
    svg = page_svg(seat_picture(stations, seat(stations, radius_mm=15)))
    assert "stroke-stale" in svg
    assert "within what feelers can tell" in svg
