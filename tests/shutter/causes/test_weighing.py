"""Why a dial is off: likelihoods, criteria, and the sentences that come of them."""

import math

import numpy as np
import pytest
from scipy import stats

from asfound.shutter import Firing, Flag, MarkedSpeed, dial_row
from asfound.shutter.causes.nexttest import next_test
from asfound.shutter.causes.weighing import UNEVEN_STOPS, bic, fit_causes, speed_log_likelihood, why
from asfound.shutter.speeds.groups import USUAL_TRAIN, Group
from asfound.shutter.speeds.series import Shot, Speed, read_series, series_of_rows

MARKS = {"1": 1.0} | {f"1/{n}": 1 / n for n in (2, 5, 10, 25, 50, 100, 250)}


def dial(errors, *, seed=1, scatter=0.03, sides=(1, 1, 1), play=0.0):
    generator = np.random.default_rng(seed)
    return [
        Speed(
            marked=mark, nominal_s=t, group=USUAL_TRAIN.group(t),
            shots=tuple(
                Shot(time_s=t * 2 ** (e + side * play * (t > 0.015)) * (1 + scatter * generator.normal()), side=side)
                for side in sides
            ),
        )
        for (mark, t), e in zip(MARKS.items(), errors, strict=True)
    ]  # fmt: skip


@pytest.mark.parametrize("shots", [1, 2, 5])
@pytest.mark.parametrize("own", [0.0, 0.3])
def test_the_likelihood_is_that_of_a_normal_with_shared_unevenness(shots, own):
    # Outside check: the multivariate normal of a general statistics library.
    left = np.random.default_rng(shots).normal(0, 0.1, shots)
    side = np.where(np.arange(shots) % 2, -1.0, 1.0) * own
    covariance = 0.04**2 * np.eye(shots) + UNEVEN_STOPS**2 + np.outer(side, side)
    expected = stats.multivariate_normal(np.zeros(shots), covariance).logpdf(left)
    ours = speed_log_likelihood(left[None], np.array([0.04]), side[None] if own else None)
    assert ours[0, 0] == pytest.approx(expected)


def test_the_criterion_ranks_straight_lines_as_residual_sums_do():
    # For normal errors of unknown variance BIC = n ln(RSS/n) + k ln n + constant (Schwarz 1978, from memory).
    x = np.arange(12.0)
    y = 0.2 * x + np.random.default_rng(2).normal(0, 1, 12)
    sums = [np.sum((y - np.polyval(np.polyfit(x, y, d), x)) ** 2) for d in (0, 1)]
    ours = []
    for degree, rest in enumerate(sums):
        likelihood = stats.norm(0, math.sqrt(rest / 12)).logpdf(0) * 12 - 6
        ours.append(bic(log_likelihood=likelihood, free=degree + 2, count=12))
    expected = [12 * math.log(s / 12) + (d + 2) * math.log(12) for d, s in enumerate(sums)]
    assert ours[1] - ours[0] == pytest.approx(expected[1] - expected[0])


ADDED_S = [0.06] * 4 + [0.008] * 2 + [0.0] * 2
CASES = {
    "in order": [0.0] * 8,
    "pallet": [0.6] * 4 + [0.0] * 4,
    "weak booster": [0.0] * 7 + [0.8],
    "weak drive": [0.7] * 8,
    # 60 ms more with the pallet in, 8 ms more with it out: a quarter of a stop at 1/25, a twelfth at 1 s.
    "engagement": [math.log2(1 + a / t) for a, t in zip(ADDED_S, MARKS.values(), strict=True)],
}
CASES["engagement and pallet"] = [e + p for e, p in zip(CASES["engagement"], CASES["pallet"], strict=True)]


@pytest.mark.parametrize("cause", CASES)
def test_a_textbook_pattern_is_named(cause):
    found = why(dial(CASES[cause]), condition="clean")
    assert found.causes[0].cause == cause
    assert sum(c.weight for c in found.causes) == pytest.approx(1)


def test_on_a_dirty_shutter_the_verdict_is_to_clean_it_first():
    found = why(dial(CASES["pallet"]), condition="dirty")
    assert found.verdict.startswith("Clean it, and measure again")
    assert any("do not act" in remark for remark in found.remarks)


def test_a_shot_that_never_closes_counts_though_it_has_no_time():
    speeds = [
        Speed(marked=s.marked, nominal_s=s.nominal_s, group=s.group, shots=(*s.shots, Shot(time_s=None, side=1)))
        for s in dial([0.5] * 7 + [0.1])
    ]
    found = why(speeds, condition="clean")
    assert found.causes[0].cause == "never closes"
    assert "8 shots never closed." in found.evidence


def test_a_loose_cam_plate_shows_only_when_the_side_is_known():
    errors = [0.05, 0.1, 0.25, 0.45, 0.15, 0.3, 0.0, 0.0]
    speeds = []
    for s, e in zip(dial([0.0] * 8, sides=(1, 1, -1, -1)), errors, strict=True):
        shots = tuple(Shot(time_s=shot.time_s * 2 ** (e * shot.side), side=shot.side) for shot in s.shots)
        speeds.append(Speed(marked=s.marked, nominal_s=s.nominal_s, group=s.group, shots=shots))
    assert why(speeds).causes[0].cause == "cam play"
    unsaid = [
        Speed(
            marked=s.marked, nominal_s=s.nominal_s, group=s.group, shots=tuple(Shot(time_s=x.time_s) for x in s.shots)
        )
        for s in speeds
    ]
    assert why(unsaid).causes[0].cause != "cam play"


def test_the_order_in_which_speeds_are_given_makes_no_difference():
    speeds = dial(CASES["engagement"])
    ours, theirs = why(speeds), why(speeds[::-1])
    for one in ours.causes:
        other = next(c for c in theirs.causes if c.cause == one.cause)
        assert one.log_likelihood == pytest.approx(other.log_likelihood)


def test_few_shots_leave_it_undecided():
    speeds = [s for s in dial([0.35] * 8) if s.marked == "1/25"]
    assert why(speeds).verdict.startswith("Cannot tell")


def test_the_next_test_names_the_leading_two_and_what_each_would_show():
    speeds = dial(CASES["engagement"])
    test = next_test(speeds)
    ranked = [c.cause for c in why(speeds).causes[:2]]
    assert [test.first, test.second] == ranked
    assert test.test


def test_cam_play_against_anything_asks_for_the_other_side():
    # Set from above only, a loose cam plate looks like an engagement that is too deep.
    errors = [0.06, 0.12, 0.27, 0.48, 0.2, 0.33, 0.0, 0.0]
    test = next_test(dial(errors, sides=(1, 1, 1)))
    assert {test.first, test.second} == {"engagement", "cam play"}
    assert "from below" in test.test
    assert test.odds > 10


def test_the_weights_are_those_of_every_size_averaged():
    fitted = fit_causes(dial(CASES["pallet"]))
    for f in fitted:
        assert f.of_sizes.sum() == pytest.approx(1)


def test_times_are_read_as_they_are_written_down():
    speeds, problems = read_series(
        "1/25 from above: 45, 46 ms, x 80 ms  # first\n1/25 from below: 41 ms\n\n"
        "1/250: 4.2 ms rebound, open\n1: 1.1, 1.2"
    )
    assert not problems
    first, top, slow = speeds
    assert [(s.time_s, s.side) for s in first.shots] == [(0.045, 1), (0.046, 1), (0.041, -1)]
    assert top.shots[0].rebound
    assert top.shots[1].time_s is None
    assert [s.time_s for s in slow.shots] == [1.1, 1.2]
    assert [s.group for s in speeds] == [Group.PALLET_OUT, Group.PLAIN, Group.PALLET_IN]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("1/25 45 ms", "line 1"),
        ("1/25: soon", "'soon' is no time"),
        ("", "no speed"),
        ("fast: 1 ms", "not a speed"),
        ("1: -3", "no time"),
        ("1/25: 46", "over 6 stops from 1/25"),
    ],
)
def test_what_cannot_be_read_is_said_with_its_place(text, says):
    _, problems = read_series(text)
    assert says in str(problems[0])


def test_a_measured_dial_is_taken_over_with_what_was_seen():
    shots = [
        Firing(start_s=0.0, effective_s=0.05, flags=(Flag.REBOUND,)),
        Firing(start_s=1.0, flags=(Flag.NEVER_CLOSES,)),
    ]
    (speed,) = series_of_rows([dial_row(MarkedSpeed("1/25", 0.04), shots, tolerance_stops=0.3)])
    assert speed.shots == (Shot(time_s=0.05, rebound=True), Shot(time_s=None))


def test_without_a_free_speed_neither_booster_nor_rebound_can_be_blamed_for_an_error():
    held = [s for s in dial([0.7] * 8) if s.group != Group.PLAIN]
    sizes = {c.cause: c.size_stops for c in why(held).causes}
    assert sizes["weak booster"] == sizes["rebound"] == 0
