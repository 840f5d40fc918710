import math

import pytest

from asfound.plots.linkage import linkage_picture_of
from asfound.springs import Strut, linkage_picture, torque_needed

STRUT = Strut(length_mm=60, weight_n=0.6, bellows_n=0.6, bellows_folded_n=-0.2, finger_n=2.0, bears_mm=12)


def position(strut, angle, *, folded=False):
    need = torque_needed(strut, angle_deg=angle, folded=folded)
    return linkage_picture(strut, need=need, finger=not folded, folded=folded)


def arrows(picture):
    """Return each arrow as its head and tail, in mm."""
    notes = [one for one in picture.figure.axes[0].texts if getattr(one, "arrow_patch", None) is not None]
    return [(one.xy, (one.xyann[0], one.xyann[1])) for one in notes]


def test_arrows_are_as_long_as_their_forces():
    place = position(STRUT, 80)
    lengths = [math.dist(head, tail) for head, tail in arrows(linkage_picture_of(place))]
    forces = [math.hypot(*arrow.force_n) for arrow in place.arrows]
    assert [length / lengths[0] for length in lengths] == pytest.approx([force / forces[0] for force in forces])


def test_an_arrow_points_the_way_its_force_does():
    place = position(STRUT, 80)
    for arrow, (head, tail) in zip(place.arrows, arrows(linkage_picture_of(place)), strict=True):
        size = math.hypot(*arrow.force_n)
        way = ((head[0] - tail[0]) / math.dist(head, tail), (head[1] - tail[1]) / math.dist(head, tail))
        assert way == pytest.approx((arrow.force_n[0] / size, arrow.force_n[1] / size))


def test_forces_along_one_line_stand_side_by_side():
    heads = [head for head, _ in arrows(linkage_picture_of(position(STRUT, 80)))]
    assert len({(round(x, 3), round(y, 3)) for x, y in heads}) == len(heads) == 4


@pytest.mark.parametrize("width", ["narrow", "wide", "print"])
@pytest.mark.parametrize("angle", [5, 45, 80, 90, 110])
@pytest.mark.parametrize("elevation", [-90, 0, 90])
def test_every_arrow_is_within_the_picture(width, angle, elevation):
    strut = Strut(length_mm=60, weight_n=0.6, elevation_deg=elevation, bellows_n=0.6, finger_n=2, bears_mm=12)
    picture = linkage_picture_of(position(strut, angle), position(strut, 0, folded=True), width=width)
    axes = picture.figure.axes[0]
    (x0, x1), (y0, y1) = axes.get_xlim(), axes.get_ylim()
    for ends in arrows(picture):
        for x, y in ends:
            assert x0 < x < x1
            assert y0 < y < y1


def test_mm_are_alike_both_ways():
    assert linkage_picture_of(position(STRUT, 80)).figure.axes[0].get_aspect() == 1.0


def test_the_scale_bar_says_mm_and_newtons():
    picture = linkage_picture_of(position(STRUT, 80))
    # The longest arrow, 2 N of finger or more at the leg, is half the strut of 60 mm; the bar is 20 mm.
    longest = max(math.hypot(*arrow.force_n) for arrow in position(STRUT, 80).arrows)
    said = next(text.get_text() for text in picture.figure.axes[0].texts if text.get_text().startswith("20 mm"))
    assert float(said.split()[-2]) == pytest.approx(20 * longest / 30, rel=0.05)


def test_a_strut_without_forces_is_drawn_all_the_same():
    bare = Strut(length_mm=60)
    assert arrows(linkage_picture_of(position(bare, 80))) == []


def test_who_cannot_see_it_is_told_the_forces():
    said = linkage_picture_of(position(STRUT, 80), position(STRUT, 5, folded=True)).description
    assert "Erected at 80 degrees" in said
    assert "finger on the release 2 N" in said
    assert "Folded at 5 degrees" in said
