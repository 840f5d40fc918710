"""The walk along the dial: what is fired next, and what a struck shot changes."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.shutter import Firing, read_dial, read_marked
from asfound.shutter.speeds.walk import (
    begin,
    fired,
    last_standing,
    picked,
    read_dial_as_walked,
    stepped,
    struck,
    told_more,
    withdrawn,
)

MARKS = ("1/25", "1/50", "1/100")


def shot(time_s=0.04, start_s=0.0):
    return Firing(start_s=start_s, effective_s=time_s, u_effective_s=1e-5)


def walked(count, each=2):
    walk = begin(MARKS, each=each)
    for number in range(count):
        walk = fired(walk, shot(start_s=float(number)), final=True)
    return walk


@pytest.mark.parametrize(
    ("count", "at", "left"), [(0, "1/25", 2), (1, "1/25", 1), (2, "1/50", 2), (5, "1/100", 1), (6, None, None)]
)
def test_the_speed_advances_after_so_many_good_shots(count, at, left):
    walk = walked(count)
    assert walk.at == at
    assert left is None or walk.left(at) == left


def test_a_shot_without_a_time_does_not_count():
    walk = fired(begin(MARKS, each=1), Firing(start_s=0.0), final=True)
    assert walk.at == "1/25"
    assert walk.left("1/25") == 1


def test_striking_the_last_shot_goes_back_to_its_speed():
    walk = walked(2)
    assert walk.at == "1/50"
    back = struck(walk, last_standing(walk))
    assert (back.at, back.left("1/25")) == ("1/25", 1)
    assert struck(back, 1) == walk


def test_striking_an_earlier_shot_leaves_the_hands_where_they_are():
    walk = struck(walked(3), 0)
    assert walk.at == "1/50"
    walk = fired(walk, shot(), final=True)
    assert walk.at == "1/100"
    for _ in range(2):
        walk = fired(walk, shot(), final=True)
    assert walk.at == "1/25"


def test_striking_twice_strikes_the_shot_before():
    walk = walked(3)
    once = struck(walk, last_standing(walk))
    twice = struck(once, last_standing(once))
    assert [one.struck for one in twice.shots] == [False, True, True]
    assert last_standing(begin(MARKS, each=1)) is None


def test_a_first_reading_that_turns_out_to_have_no_time_takes_the_advance_back():
    walk = fired(begin(MARKS, each=1), shot(), final=False)
    assert walk.at == "1/50"
    assert told_more(walk, 0, Firing(start_s=0.0), final=True).at == "1/25"


def test_what_was_no_firing_leaves_no_shot():
    walk = fired(begin(MARKS, each=1), shot(), final=False)
    assert withdrawn(walk, 0) == begin(MARKS, each=1)


def test_a_speed_that_is_picked_is_fired_next_and_the_walk_goes_on_from_there():
    walk = fired(picked(begin(MARKS, each=1), "1/100"), shot(), final=True)
    assert walk.shots[0].marked == "1/100"
    assert walk.at == "1/25"


def test_steps_go_round_the_dial():
    walk = begin(MARKS, each=1)
    assert [stepped(walk, 1).at, stepped(walk, -1).at] == ["1/50", "1/100"]
    done = replace(walk, at=None)
    assert [stepped(done, 1).at, stepped(done, -1).at] == ["1/25", "1/100"]


def test_a_shot_after_the_last_belongs_to_no_speed():
    walk = fired(walked(6), shot(), final=True)
    assert walk.shots[-1].marked is None


def test_the_watched_speed_stays():
    walk = begin(MARKS, each=1, watch="1/50")
    for _ in range(4):
        walk = fired(walk, shot(), final=True)
    assert walk.at == "1/50"
    assert {one.marked for one in walk.shots} == {"1/50"}


@given(st.lists(st.sampled_from(["fire", "misfire", "strike", "on", "back"]), max_size=60))
def test_the_walk_is_done_only_when_every_speed_has_its_shots(acts):
    walk = begin(MARKS, each=2)
    for act in acts:
        if act in ("fire", "misfire"):
            walk = fired(walk, shot() if act == "fire" else Firing(start_s=0.0), final=True)
        elif act == "strike" and walk.shots:
            walk = struck(walk, last_standing(walk) or 0)
        elif act in ("on", "back"):
            walk = stepped(walk, 1 if act == "on" else -1)
    assert walk.at is not None or walk.shots
    counted = sum(len(walk.good(mark)) for mark in MARKS)
    assert counted == sum(one.is_good and one.marked is not None for one in walk.shots)


def test_a_dial_as_walked_is_that_in_the_order_shot_where_nothing_was_struck():
    speeds, _ = read_marked("1/25, 1/50")
    shots = [shot(t, i) for i, t in enumerate((0.041, 0.042, 0.0201, 0.0199))]
    in_order, _ = read_dial(shots, speeds, shots=2)
    as_walked, problems = read_dial_as_walked(shots, speeds, walked=["1/25", "1/25", "1/50", "1/50"])
    assert as_walked == in_order
    assert problems == ()


def test_a_dial_as_walked_does_not_mind_the_order_nor_shots_at_no_speed():
    speeds, _ = read_marked("1/25, 1/50, 1/100")
    shots = [shot(t, i) for i, t in enumerate((0.02, 0.04, 9.0, 0.0208, 0.0416))]
    dial, problems = read_dial_as_walked(shots, speeds, walked=["1/50", "1/25", None, "1/50", "1/25"], struck={4})
    assert [row.shots_s for row in dial.rows] == [(0.04, 0.0416), (0.02,), ()]
    assert dial.rows[1].struck_s == (0.0208,)
    assert [problem.where for problem in problems] == ["1/100"]
