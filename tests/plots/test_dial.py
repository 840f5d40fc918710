import math

import pytest

from asfound.job.bodies import SpeedRow
from asfound.plots import DialSeries, dial_picture
from asfound.plots.dial import _ticks


def row(marked="1/100", reference_s=0.01, error=0.5, u=0.1, tolerance=1 / 3, times=(0.014,)):
    return SpeedRow(
        marked=marked,
        reference_s=reference_s,
        times_s=times,
        mean_s=reference_s * 2**error,
        error_stops=error,
        u_error_stops=u,
        tolerance_stops=tolerance,
        verdict="cannot tell",
    )


def points(picture, label):
    axes = picture.figure.axes[0]
    line = next(line for line in axes.get_lines() if line.get_label() == label)
    return list(zip(*line.get_data(), strict=True))


def test_a_shot_of_twice_the_time_lies_one_stop_up():
    picture = dial_picture((DialSeries("as found", (row(times=(0.02, 0.01, 0.005)),)),))
    assert [round(y, 12) for _, y in points(picture, "each shot")] == [1.0, 0.0, -1.0]


def test_the_mean_and_its_bar_are_where_the_table_says():
    axes = dial_picture((DialSeries("as left", (row(error=0.5, u=0.1),)),)).figure.axes[0]
    line, _, (bar,) = axes.containers[0].lines
    assert list(line.get_ydata()) == [0.5]
    ((_, low), (_, high)) = bar.get_segments()[0]
    assert (low, high) == pytest.approx((0.3, 0.7))


def test_narrow_the_same_points_lie_across_instead_of_up():
    series = (DialSeries("as found", (row(times=(0.02,)),)),)
    ((x, y),) = points(dial_picture(series, width="wide"), "each shot")
    ((across, down),) = points(dial_picture(series, width="narrow"), "each shot")
    assert (across, down) == (y, x)


def test_speeds_stand_in_order_of_their_time_however_they_were_shot():
    rows = (row("1/250", 0.004), row("1", 1.0), row("1/50", 0.02))
    axes = dial_picture((DialSeries("as found", rows),)).figure.axes[0]
    assert [text.get_text() for text in axes.get_xticklabels()] == ["1", "1/50", "1/250"]


@pytest.mark.parametrize("width", ["narrow", "wide", "print"])
def test_everything_measured_is_inside_the_scale(width):
    series = (DialSeries("as found", (row(error=-2.4, u=0.4, times=(0.1, 0.001)),)),)
    axes = dial_picture(series, width=width).figure.axes[0]
    low, high = axes.get_xlim() if width == "narrow" else axes.get_ylim()
    assert low < min(-3.2, math.log2(0.1))
    assert high > math.log2(10)


def test_a_stale_table_says_so_in_words():
    assert "As left (stale)" in dial_picture((DialSeries("as left", (row(),), stale=True),)).description


def test_without_a_table_the_picture_says_so():
    picture = dial_picture(())
    assert picture.description == "No dial table was measured."
    assert "No dial table was measured." in [text.get_text() for text in picture.figure.axes[0].texts]


def test_the_scale_is_written_as_the_trade_writes_stops():
    assert [text for _, text in _ticks((-0.7, 1.4), most=9)] == ["−2/3", "−1/3", "0", "+1/3", "+2/3", "+1", "+1 1/3"]
    assert [text for _, text in _ticks((-2.2, 3.1), most=7)] == ["−2", "−1", "0", "+1", "+2", "+3"]
    assert all(at == pytest.approx(n / 3) for n, (at, _) in enumerate(_ticks((0, 1.4), most=9)))
