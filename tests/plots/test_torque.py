import re

import pytest

from asfound.plots import page_svg
from asfound.plots.torque import TorqueMark, torque_picture
from asfound.springs import TorqueCurve

OLD = TorqueCurve((0.0, 75.0), (13.5, 22.0), "as found")
NEW = TorqueCurve((0.0, 75.0), (20.0, 30.0), "wound new")


def line(picture, label):
    return next(one for one in picture.figure.axes[0].get_lines() if one.get_label() == label)


def test_a_curve_runs_through_its_own_torques():
    drawn = line(torque_picture([OLD, NEW]), "wound new")
    assert list(drawn.get_xdata()) == [0.0, 75.0]
    assert list(drawn.get_ydata()) == [20.0, 30.0]


def test_the_old_spring_is_told_from_the_new_without_colour():
    picture = torque_picture([OLD, NEW])
    assert line(picture, "as found").get_linestyle() != line(picture, "wound new").get_linestyle()


def test_the_bar_of_a_measured_torque_is_two_uncertainties_either_way():
    mark = TorqueMark(angle_deg=30, torque_n_mm=20, u_n_mm=0.5, name="spring")
    axes = torque_picture([], measured=[mark]).figure.axes[0]
    _, _, (bar,) = axes.containers[0].lines
    ((_, low), (_, high)) = bar.get_segments()[0]
    assert (low, high) == (19.0, 21.0)


@pytest.mark.parametrize("width", ["narrow", "wide", "print"])
def test_need_curves_and_marks_are_all_within_the_scale(width):
    needed = TorqueMark(angle_deg=0, torque_n_mm=45)
    axes = torque_picture([OLD], needed=[needed], width=width).figure.axes[0]
    assert axes.get_ylim()[0] <= 0
    assert axes.get_ylim()[1] >= 45
    assert axes.get_xlim()[0] <= 0


def test_yield_is_drawn_only_where_it_is_near():
    near = {one.get_label() for one in torque_picture([OLD], limit_n_mm=30).figure.axes[0].get_lines()}
    far = {one.get_label() for one in torque_picture([OLD], limit_n_mm=300).figure.axes[0].get_lines()}
    assert "yield of the wire" in near
    assert "yield of the wire" not in far


def test_who_cannot_see_it_is_told_the_torques():
    said = torque_picture([OLD], needed=[TorqueMark(angle_deg=0, torque_n_mm=18)]).description
    assert "13.5 N·mm at 0 degrees to 22 N·mm at 75 degrees" in said
    assert "Needed: 18 N·mm" in said


def test_nothing_to_draw_is_said():
    assert "No spring" in torque_picture([]).description


def test_the_page_variant_carries_no_style():
    assert not re.search(r"\sstyle=|<style", page_svg(torque_picture([OLD, NEW], limit_n_mm=30)))
