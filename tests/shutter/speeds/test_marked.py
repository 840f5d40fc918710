"""Marked speeds."""

import pytest

from asfound.shutter import read_marked


def test_modern_marks_stand_for_powers_of_two():
    # JIS B 7091 and ISO 516 (read, a page citing both).
    speeds, problems = read_marked("1,1/2,1/4,1/8,1/15,1/30,1/60,1/125,1/250,1/500,1/1000")
    assert not problems
    expected = [1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 1024]
    assert [1 / speed.nominal_s for speed in speeds] == pytest.approx(expected)


def test_older_marks_keep_their_face_value():
    speeds, _ = read_marked("1/5, 1/10, 1/25, 1/50, 1/100, 1/300, 1/400")
    assert [1 / speed.nominal_s for speed in speeds] == pytest.approx([5, 10, 25, 50, 100, 300, 400])
    assert not any(speed.exact for speed in speeds)


def test_face_values_on_request():
    (speed,), _ = read_marked("1/125", exact_modern=False)
    assert speed.nominal_s == 1 / 125


@pytest.mark.parametrize("text", ["1,1/x", "1/0", "-1", "", "1,T"])
def test_what_is_no_speed_is_pointed_at(text):
    _, problems = read_marked(text)
    assert problems
