"""The small drawings of how a reading is taken: each says what it shows, and no word of it leaves its sheet."""

import re

import pytest

from asfound.plots import page_svg
from asfound.plots.how_live import sensor_behind
from asfound.plots.how_screws import screw_in_well, screw_measured
from asfound.plots.how_shutter import contact_and_lamp, plate_moved, stopped_pupil, where_to_look
from asfound.plots.how_springs import coil_measured, hands_told, hooks_measured, leaf_measured, leg_bent
from asfound.plots.how_strut import strut_pulled
from asfound.plots.how_teardown import driver_sizes, tray_laid, what_frees

DRAWINGS = (
    *(screw_measured, screw_in_well, stopped_pupil, contact_and_lamp, plate_moved, where_to_look),
    *(strut_pulled, coil_measured, hooks_measured, leaf_measured, leg_bent, hands_told),
    *(tray_laid, what_frees, driver_sizes, sensor_behind),
)


@pytest.mark.parametrize("draw", DRAWINGS)
@pytest.mark.parametrize("width", ["wide", "narrow", "print"])
def test_a_drawing_says_what_it_shows(draw, width):
    picture = draw(width=width)
    svg = page_svg(picture)
    assert picture.title in svg
    assert picture.description in svg


@pytest.mark.parametrize("draw", DRAWINGS)
@pytest.mark.parametrize("width", ["wide", "narrow"])
def test_no_word_of_a_drawing_leaves_it(draw, width):
    figure = draw(width=width).figure
    figure.canvas.draw()
    sheet = figure.bbox
    for text in figure.axes[0].texts:
        box = text.get_window_extent()
        assert sheet.x0 - 1 <= box.x0, text.get_text()
        assert box.x1 <= sheet.x1 + 1, text.get_text()
        assert sheet.y0 - 1 <= box.y0, text.get_text()
        assert box.y1 <= sheet.y1 + 1, text.get_text()


@pytest.mark.parametrize("draw", DRAWINGS)
def test_no_two_words_of_a_drawing_lie_on_one_another(draw):
    figure = draw(width="wide").figure
    figure.canvas.draw()
    boxes = [(text.get_text(), text.get_window_extent()) for text in figure.axes[0].texts]
    for n, (word, box) in enumerate(boxes):
        for other, there in boxes[n + 1 :]:
            assert not box.overlaps(there), f"{word} / {other}"


def test_a_drawings_words_are_text_and_not_outlines():
    assert re.search(r"<text[^>]*>[^<]*over the crests", page_svg(screw_measured()))
