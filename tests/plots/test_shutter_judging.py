"""Pictures of the causes and of the next move."""

import pytest

from asfound.plots import page_svg, print_svg
from asfound.plots.causes import causes_picture
from asfound.plots.trim import trim_picture
from asfound.shutter.causes.weighing import why
from asfound.shutter.speeds.series import speed_of
from asfound.shutter.trimming.effects import Adjuster
from asfound.shutter.trimming.trim import next_move

NOMINAL = {"1": 1.0} | {f"1/{n}": 1 / n for n in (2, 5, 10, 25, 50, 100, 250)}


def dial(rate):
    shots = (0.98, 1.0, 1.02)
    return [
        speed_of(mark, nominal_s=t, times_s=[t * s * 2 ** (rate * (t > 0.05)) for s in shots])
        for mark, t in NOMINAL.items()
    ]


def proposal(rate, adjusters=("engagement", "pallet")):
    movable = [Adjuster(kind) for kind in adjusters]
    return next_move(dial(rate), tolerance_stops=[1 / 3] * 8, u_stops=[0.02] * 8, adjusters=movable)


@pytest.mark.parametrize("width", ["narrow", "wide", "print"])
def test_both_pictures_can_be_drawn_at_every_width(width):
    for picture in (causes_picture(why(dial(0.7)), width=width), trim_picture(proposal(0.7), width=width)):
        assert "<svg" in page_svg(picture)
        assert print_svg(picture)


def test_the_longest_bar_is_the_likeliest_cause_and_on_top():
    found = why(dial(0.7))
    axes = causes_picture(found).figure.axes[0]
    assert axes.patches[0].get_width() == pytest.approx(found.causes[0].weight)
    assert axes.get_yticklabels()[0].get_text() == "pallet"
    assert axes.yaxis_inverted()


def test_what_a_dirty_shutter_says_is_grey():
    clean, dirty = (causes_picture(why(dial(0.7)), dirty=d).figure.axes[0].patches[0] for d in (False, True))
    assert clean.get_facecolor() != dirty.get_facecolor()


def test_a_proposal_is_drawn_beside_the_dial_as_it_is():
    move = proposal(0.7)
    axes = trim_picture(move).figure.axes[0]
    now, then = (list(container.lines[0].get_ydata()) for container in axes.containers[-2:])
    assert now == pytest.approx([p.now_stops for p in move.dial])
    assert then == pytest.approx([p.error_stops for p in move.dial])


def test_a_dial_that_is_left_alone_shows_no_move():
    picture = trim_picture(proposal(0.0))
    assert "leave it" in picture.description
    labels = [t.get_text() for t in picture.figure.axes[0].get_legend().get_texts()]
    assert not any("after" in label for label in labels)
