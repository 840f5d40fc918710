import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.plots.winding import extent, winding_picture, wire_outline
from asfound.springs import CONSTANTS, Outline, TorsionSpring, winding_sheet


def sheet(hand="right", legs=(10.0, 12.0), turns=5.89):
    spring = TorsionSpring(
        wire_diameter_mm=0.6, mean_diameter_mm=5.6, body_turns=turns, leg_lengths_mm=legs, modulus_mpa=203_400.0,
        constant=CONSTANTS["textbook"],
    )  # fmt: skip
    return winding_sheet(spring, hand=hand, tensile_mpa=2356.0, most_tensile_mpa=2606.0)


def areas(picture):
    """Return each filled outline as (width, height) in mm."""
    boxes = [patch.get_path().get_extents() for patch in picture.figure.axes[0].patches]
    return [(round(box.width, 2), round(box.height, 2)) for box in boxes]


def test_the_coil_is_as_wide_as_it_is_outside_and_the_body_as_long_as_it_is():
    found = areas(winding_picture(sheet()))
    assert (6.2, 6.2) in found  # outside: 5.6 and one wire
    assert (5.0, 5.0) in found  # bore: 5.6 less one wire
    assert (round(0.6 * 6.89, 2), 6.2) in found  # close wound: turns and one more, times the wire


@pytest.mark.parametrize("width", ["narrow", "wide", "print"])
@pytest.mark.parametrize("legs", [(10.0, 12.0), (), (40.0, 2.0)])
def test_every_outline_is_within_the_picture(width, legs):
    axes = winding_picture(sheet(legs=legs), width=width).figure.axes[0]
    for patch in axes.patches:
        box = patch.get_path().get_extents()
        assert axes.get_xlim()[0] < box.x0
        assert box.x1 < axes.get_xlim()[1]
        assert axes.get_ylim()[0] < box.y0
        assert box.y1 < axes.get_ylim()[1]


def test_end_view_and_side_view_do_not_lie_over_one_another():
    for width in ("narrow", "wide"):
        axes = winding_picture(sheet(), width=width).figure.axes[0]
        *end, side = [patch.get_path().get_extents() for patch in axes.patches]
        for box in end:
            assert side.x0 > box.x1 or side.y1 < box.y0


@given(
    x=st.floats(-50, 50),
    y=st.floats(-50, 50),
    angle=st.floats(0, 6.28),
    length=st.floats(1, 50),
    wire=st.floats(0.1, 1),
)
def test_a_leg_is_as_thick_as_its_wire_and_as_long_as_it_is(x, y, angle, length, wire):
    tip = (x + length * math.cos(angle), y + length * math.sin(angle))
    a, b, c, d = wire_outline(Outline(name="leg", points_mm=((x, y), tip)), wire_diameter_mm=wire)
    assert math.dist(a, b) == pytest.approx(length)
    assert math.dist(b, c) == pytest.approx(wire)
    assert math.dist(a, c) == pytest.approx(math.hypot(length, wire))
    assert math.dist(a, d) == pytest.approx(wire)


def test_hands_are_mirror_images():
    right, left = sheet("right").end_view, sheet("left").end_view
    legs = [(r.points_mm[1], s.points_mm[1]) for r, s in zip(right, left, strict=True) if r.name.endswith("leg")]
    for (x, y), (mirrored, same) in legs:
        assert (mirrored, same) == pytest.approx((-x, y))


def test_corners_hold_every_point():
    low, high = extent(sheet().end_view)
    assert all(low[0] <= x <= high[0] and low[1] <= y <= high[1] for one in sheet().end_view for x, y in one.points_mm)


def test_a_spring_as_it_is_shows_no_mandrel():
    texts = [text.get_text() for text in winding_picture(sheet(), mandrel=False).figure.axes[0].texts]
    assert not any("mandrel" in text for text in texts)
    assert any(
        "mandrel 4.13 mm" in text for text in (t.get_text() for t in winding_picture(sheet()).figure.axes[0].texts)
    )
