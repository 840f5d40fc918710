import pytest

from asfound.plots.lever import lever_picture
from asfound.plots.spring_force import ForceMark, force_picture

ASKED = ForceMark(travel_mm=4.0, force_n=2.5, name="force asked for")


def test_the_line_begins_at_the_initial_tension_and_passes_the_force_asked_for():
    axes = force_picture(rate_n_per_mm=0.5, asked=ASKED, starts_at_n=0.5).figure.axes[0]
    line = axes.get_lines()[0]
    (x0, x1, x2), (y0, y1, y2) = line.get_data()
    assert (x0, y0, x1, y1) == (0, 0, 0, 0.5)
    assert y1 + (y2 - y1) * 4.0 / x2 == pytest.approx(2.5)


def test_an_end_is_drawn_only_where_it_is_near():
    ends = [
        ForceMark(travel_mm=9, force_n=5, name="solid"),
        ForceMark(travel_mm=90, force_n=50, name="the wire yields"),
    ]
    names = {
        one.get_label() for one in force_picture(rate_n_per_mm=0.5, asked=ASKED, ends=ends).figure.axes[0].get_lines()
    }
    assert "solid" in names
    assert "the wire yields" not in names


@pytest.mark.parametrize("width", ["narrow", "wide", "print"])
def test_the_drawing_of_the_reading_names_its_parts(width):
    texts = {text.get_text() for text in lever_picture(width=width).figure.axes[0].texts}
    assert {"arm", "right angle", "balance"} <= texts
