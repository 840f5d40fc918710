"""Fasteners on the way back: all started before any is tightened, hardest first, counted before closing."""

from asfound.teardown import FastenerGroup, way_back
from asfound.teardown.fastening import hardest_first, how_to_start


def screws(count=1, **more):
    return FastenerGroup(count=count, thread="M1.4", **more)


def test_every_screw_is_started_before_any_is_tightened():
    assert how_to_start([screws(4, length_mm=2.0)]) == ("start all 4 before tightening any",)


def test_the_hardest_is_started_first():
    groups = [screws(2, length_mm=2.0), screws(length_mm=3.0, damaged=1), screws(length_mm=2.5, reachable="face down")]
    assert [group.length_mm for group in hardest_first(groups)] == [3.0, 2.5, 2.0]
    assert how_to_start(groups)[0] == "start all 4 before tightening any, first screw M1.4 × 3 mm, 1 damaged"


def test_one_screw_needs_no_word_but_a_left_hand_one_does():
    assert how_to_start([screws()]) == ()
    assert how_to_start([screws(left_hand=True)]) == ("screw M1.4, left-hand: turns in anticlockwise",)


def test_a_retaining_ring_is_not_started_like_screws():
    assert how_to_start([FastenerGroup(what="ring", count=2)]) == ()


def test_before_closing_the_tray_is_counted(step):
    steps = [
        step(1, "cover plate", fasteners=(screws(4),)),
        step(2, "lever", fasteners=(screws(), screws(2, length_mm=2.0))),
    ]
    lever, cover = way_back(steps).steps
    assert lever.count_before == ()
    assert cover.count_before == (("screw M1.4", 4),)


def test_a_part_said_to_have_freed_another_closes_whatever_its_name(step):
    steps = [step(1, "yoke", by=(), fasteners=(screws(2),)), step(2, "lever", by=[1])]
    assert way_back(steps).steps[1].count_before == (("screw M1.4", 2),)


def test_a_done_step_counts_nothing(step):
    steps = [step(1, "cover plate", fasteners=(screws(4),), back=True), step(2, "lever", back=True)]
    assert all(s.count_before == () for s in way_back(steps).steps)
