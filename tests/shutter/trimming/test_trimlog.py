"""A dial and its moves, read line by line."""

import numpy as np
import pytest

from asfound.shutter.trimming.effects import Adjuster
from asfound.shutter.trimming.trimlog import read_adjusters, read_log, tolerances_of, u_of_means

BOTH = (Adjuster("engagement"), Adjuster("pallet"))
LOG = """1/5: 240, 245, 250 ms
1/25: 50, 51, 49 ms
move pallet a little deeper by 1/4   # first
tightened 1/5: 190 ms to 204 ms
1/5: 204, 206, 202 ms
1/25: 50, 49, 50 ms
moved engagement
1/5: 190, 191, 192 ms
1/25: 41, 40, 42 ms
"""


def test_dials_and_moves_are_read_in_their_order():
    log, problems = read_log(LOG, adjusters=BOTH)
    assert not problems
    first, second = log.moves
    assert (first.adjuster, first.direction, first.amount) == ("pallet", "a little deeper", 0.25)
    assert (first.loose_s, first.tight_s) == pytest.approx((0.190, 0.204))
    assert first.before_s == pytest.approx([0.245, 0.05])
    assert second.adjuster == "engagement"
    assert second.after_s == pytest.approx([0.191, 0.041])
    assert [s.marked for s in log.speeds] == ["1/5", "1/25"]


def test_a_speed_not_fired_in_between_is_not_known_there():
    text = LOG.replace("1/25: 50, 49, 50 ms\n", "")
    log, _ = read_log(text, adjusters=BOTH)
    assert np.isnan(log.moves[0].after_s[1])
    assert not np.isnan(log.moves[1].after_s[1])


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (LOG.replace("pallet", "cog"), "line 3"),
        (LOG.replace("1/4", "much"), "'much' is no number"),
        (LOG.replace("1/25: 41, 40, 42 ms\n", ""), "no time at 1/25"),
        (LOG + "move pallet\n", "no speed is given"),
        ("tightened 1/5: 1 to 2\n1: 1", "not understood"),
        (LOG.replace("1/5: 204", "1/5: soon"), "line 5"),
    ],
)
def test_what_cannot_be_read_is_said_with_its_line(text, says):
    log, problems = read_log(text, adjusters=BOTH)
    assert log is None
    assert says in str(problems[0])


def test_adjusters_are_named_and_a_bend_has_its_speed():
    found, problems = read_adjusters("Engagement, bend  1/5,main spring, pallet")
    assert not problems
    assert [a.name for a in found] == ["engagement", "bend 1/5", "main spring", "pallet"]
    assert read_adjusters("cog")[1]
    assert read_adjusters("")[1]


def test_the_top_speed_has_the_wider_tolerance_and_scatter_is_shared():
    log, _ = read_log("1: 1, 1.01, 1.02\n1/100: 10, 10.1, 10.2 ms\n1/250: 4, 4.1, 4.2 ms", adjusters=BOTH)
    assert tolerances_of(log.speeds) == (1 / 3, 1 / 3, 1 / 2)
    assert len(set(u_of_means(log.speeds))) == 1
