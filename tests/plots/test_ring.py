"""The polar plot of a ring: its circles where geometry puts them, its words for somebody who cannot see it."""

import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.plots import page_svg, print_svg
from asfound.plots.ring import deviation_of_circle, reference_circles, ring_picture
from asfound.shape import Scuff, polar, press_places, profile, ring_from_points, ring_from_radii, rub_on_pointer

ANGLES = np.arange(0, 360, 15.0)


def lobed(order=2, amplitude=0.02, direction=30.0):
    radius = 20 + amplitude * np.cos(order * np.radians(ANGLES - direction))
    return ring_from_radii(angle_deg=ANGLES, radius_mm=radius)


@given(x=st.floats(-1, 1), y=st.floats(-1, 1), radius=st.floats(5, 30), seen=st.floats(0, 360))
def test_a_circle_is_drawn_where_its_points_lie(x, y, radius, seen):
    # Every point of the circle, seen from another centre, lies at the drawn deviation: an identity of geometry.
    edge = np.array([x, y]) + radius * np.array([np.cos(np.radians(seen)), np.sin(np.radians(seen))])
    angle, distance = polar(edge[None, :], (0.0, 0.0))
    off = deviation_of_circle(centre_mm=(x, y), radius_mm=radius, about_mm=(0, 0), reference_mm=4.0, angle_deg=angle)
    assert off[0] + 4.0 == pytest.approx(distance[0], abs=1e-9)


def test_circumscribed_and_inscribed_enclose_the_ring_in_the_picture():
    ring = lobed(3)
    about, radius = ring.least_squares.centre_mm, ring.least_squares.radius_mm
    angle, distance = polar(ring.points_mm, about)
    by_name = {circle.name: circle for circle in reference_circles(ring)}
    off = {
        name: deviation_of_circle(
            centre_mm=circle.centre_mm,
            radius_mm=circle.radii_mm[0],
            about_mm=about,
            reference_mm=radius,
            angle_deg=angle,
        )
        for name, circle in by_name.items()
    }
    assert (off["circumscribed"] >= distance - radius - 1e-9).all()
    assert (off["inscribed"] <= distance - radius + 1e-9).all()


def test_an_open_arc_has_no_inscribed_circle_and_is_not_closed():
    angle = np.radians(np.arange(0, 165, 5.0))
    radius = 10 + 0.01 * np.cos(5 * angle)
    ring = ring_from_points(np.column_stack([radius * np.cos(angle), radius * np.sin(angle)]))
    assert "inscribed" not in {circle.name for circle in reference_circles(ring)}
    trace = ring_picture(ring).figure.axes[0].get_lines()
    longest = max((line for line in trace if line.get_linewidth() == 1.8), key=lambda line: len(line.get_xdata()))
    ends = np.array([longest.get_xdata(), longest.get_ydata()])
    assert np.hypot(*(ends[:, 0] - ends[:, -1])) > 50


def test_what_is_seen_is_also_said():
    ring = lobed()
    angle, distance = polar(ring.points_mm, ring.least_squares.centre_mm)
    rub = rub_on_pointer(profile(angle_deg=angle, radius_mm=distance), pointer_radius_mm=20.01, pointer_deg=0)
    said = ring_picture(
        ring, scuffs=[Scuff(0, 60)], rub=rub, pointer_radius_mm=20.01, presses=press_places(ring.harmonics)
    ).description
    # Lobes at 30 and 210 deg are 2 and 8 o'clock; between them hollows at 120 and 300 deg, 11 and 5 o'clock.
    assert "Minimum zone: out of round 0.040 mm" in said
    assert re.search(r"Nearest to the pointer at (2|8) o'clock: short by 0.010 mm", said)
    assert "Scuffed from 1 to 3 o'clock" in said
    assert {"inwards at 2", "inwards at 8", "outwards at 11", "outwards at 5"} == set(
        re.findall(r"Press (\w+ at \d+) o'clock by 0.020 mm", said)
    )


@pytest.mark.parametrize("width", ["narrow", "wide", "print"])
def test_no_letter_leaves_the_picture(width):
    ring = lobed(3, 0.05)
    picture = ring_picture(
        ring, scuffs=[Scuff(0, 60)], pointer_radius_mm=20.1, presses=press_places(ring.harmonics), width=width
    )
    picture.figure.draw_without_rendering()
    across = picture.figure.bbox.width
    for text in picture.figure.axes[0].texts:
        box = text.get_window_extent()
        assert box.x0 >= 0
        # A page's letters are narrower than those that it is laid out with; a line may be this much too long here.
        assert box.x1 <= across * 1.06, text.get_text()


@pytest.mark.parametrize("amplitude", [1e-7, 0.002, 3.0])
def test_any_amount_out_of_round_can_be_drawn(amplitude):
    picture = ring_picture(lobed(2, amplitude))
    for line in picture.figure.axes[0].get_lines():
        assert np.isfinite(np.asarray(line.get_xdata(), dtype=float)).all()
    assert "<svg" in page_svg(picture)
    assert b"<svg" in print_svg(picture)


def test_a_round_ring_can_be_drawn():
    ring = ring_from_radii(angle_deg=ANGLES, radius_mm=np.full(len(ANGLES), 12.0))
    assert "out of round 0.000 mm" in ring_picture(ring).description
