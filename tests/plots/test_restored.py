from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.plots import restored_picture
from asfound.plots.restored import restored_rows
from asfound.quantity import Reading
from asfound.quantity.tolerance import Tolerance
from asfound.teardown.wayback import ReadingToRestore


def item(found, left, lower, upper, u=None, place="top left"):
    return ReadingToRestore(
        entry=UUID(int=1),
        quantity="front standard height",
        place=place,
        reading=Reading(value=found, unit="mm"),
        tolerance=Tolerance(unit="mm", lower=lower, upper=upper, source="as found"),
        restored=None if left is None else Reading(value=left, unit="mm", standard_uncertainty=u),
    )


def test_the_bounds_of_a_tolerance_lie_at_minus_and_plus_one():
    (row,) = restored_rows([item(12.32, 12.38, 12.32, 12.38, u=0.006)])
    assert (row.found, row.left, row.u_left) == pytest.approx((-1, 1, 0.2))


@given(
    bound=st.floats(-100, 100),
    away=st.floats(-10, 10),
    side=st.sampled_from(["lower", "upper"]),
)
def test_with_one_bound_a_reading_is_drawn_on_the_side_it_is_on(bound, away, side):
    left = bound + away
    bounds = {"lower": None, "upper": None, side: bound}
    (row,) = restored_rows([item(bound, left, **bounds)])
    edge = -1.0 if side == "lower" else 1.0
    assert row.left is not None
    if left == bound:
        assert row.left == pytest.approx(edge)
    else:
        assert (row.left > edge) == (left > bound)


def test_a_reading_not_taken_again_is_said():
    picture = restored_picture([item(12.35, None, 12.32, 12.38)])
    assert "not measured as left" in picture.description


def test_a_reading_beyond_the_scale_is_an_arrow_at_its_edge():
    axes = restored_picture([item(12.35, 12.60, 12.32, 12.38)]).figure.axes[0]
    arrows = [line for line in axes.get_lines() if line.get_marker() == ">"]
    assert len(arrows) == 1
    assert arrows[0].get_xdata()[0] < axes.get_xlim()[1]


def test_values_are_printed_to_the_digits_that_their_tolerance_asks_for():
    (row,) = restored_rows([item(12.35, 12.36, 12.32, 12.38)])
    assert row.values == "12.350 mm → 12.360 mm"


def test_readings_without_a_tolerance_are_left_to_the_table():
    bare = ReadingToRestore(
        entry=UUID(int=2), quantity="turns", place="", reading=Reading(value=2.5, unit="turn"), tolerance=None
    )
    assert restored_rows([bare]) == ()
    assert restored_picture([bare]).description == "No reading with a tolerance is to be restored."


@pytest.mark.parametrize("width", ["narrow", "wide", "print"])
def test_a_long_name_never_runs_into_its_values(width):
    picture = restored_picture(
        [item(12.35, 12.36, 12.32, 12.38, place="between pallet and star wheel " * 5)], width=width
    )
    picture.figure.draw_without_rendering()
    name, values = (text.get_window_extent() for text in picture.figure.axes[0].texts)
    assert not name.overlaps(values)
    assert name.x0 >= 0
    assert name.x1 <= picture.figure.bbox.x1
