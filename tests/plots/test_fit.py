"""Pictures of a fit, and the small drawings of how a reading is taken."""

import pytest

from asfound.plots import howto, page_svg
from asfound.plots.fit import fit_picture
from asfound.quantity import Reading
from asfound.shape import fit_of


def sized(value):
    return Reading(value=value, unit="mm", standard_uncertainty=0.005)


@pytest.mark.parametrize("width", ["narrow", "wide", "print"])
@pytest.mark.parametrize("inner", [3.02, 3.12, 3.13])
@pytest.mark.parametrize("round_pair", [True, False])
def test_a_pair_that_is_free_doubtful_or_binds_is_drawn(inner, round_pair, width):
    fit = fit_of(outer=[sized(3.12)], inner=[sized(inner)], radius_mm=14, keep_mm=0.02)
    svg = page_svg(fit_picture(fit, keep_mm=0.02, round_pair=round_pair, width=width))
    # 2 asin(play / 2 r) at r = 14 mm, by hand for a play of 0.10 mm: 0.409 deg.
    assert ("0.409" in svg) == (inner == 3.02)
    words = {3.02: "free.", 3.12: "cannot tell whether it is free.", 3.13: "cannot tell"}
    assert words[inner] in svg


DRAWINGS = [name for name in dir(howto) if name.endswith("_drawing")]


@pytest.mark.parametrize("name", DRAWINGS)
@pytest.mark.parametrize("width", ["narrow", "wide"])
def test_every_drawing_keeps_its_words_within_its_edges(name, width):
    picture = getattr(howto, name)(width=width)
    picture.figure.draw_without_rendering()
    for text in picture.figure.axes[0].texts:
        box = text.get_window_extent()
        assert box.x0 >= -2
        assert box.x1 <= picture.figure.bbox.width * 1.02, text.get_text()
    assert picture.title
    assert picture.description
