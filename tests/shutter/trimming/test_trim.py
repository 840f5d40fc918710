"""Adjusters: what moves teach, and what is proposed next."""

import math

import numpy as np
import pytest
from scipy.optimize import minimize

from asfound.shutter.speeds.groups import USUAL_TRAIN
from asfound.shutter.speeds.series import Shot, Speed
from asfound.shutter.trimming.effects import Adjuster, Move, after, expected_effect, learn
from asfound.shutter.trimming.trim import next_move, reading_says

MARKS = {"1": 1.0} | {f"1/{n}": 1 / n for n in (2, 5, 10, 25, 50, 100, 250)}
NOMINAL = np.array(list(MARKS.values()))
TOLERANCE = [1 / 3] * 7 + [1 / 2]
U = np.full(8, 0.025)
ENGAGEMENT, PALLET = Adjuster("engagement"), Adjuster("pallet")


def dial(times):
    return [
        Speed(marked=m, nominal_s=t, group=USUAL_TRAIN.group(t), shots=(Shot(time_s=float(x)),))
        for (m, t), x in zip(MARKS.items(), times, strict=True)
    ]


def ask(times, adjusters=(ENGAGEMENT, PALLET), moves=()):
    return next_move(dial(times), tolerance_stops=TOLERANCE, u_stops=list(U), adjusters=adjusters, moves=moves)


# The truth here is its own: 60 ms and 9 ms for one travel of the train, made apart from the expected effects.
ADDED_S = np.array([0.060, 0.058, 0.061, 0.059, 0.009, 0.0085, 0, 0])
RATE = np.array([0.99, 0.98, 0.95, 0.9, 0, 0, 0, 0])


def engaged(travel):
    return NOMINAL + travel * ADDED_S


def move(name, before, last, **more):
    return Move(adjuster=name, before_s=before, after_s=last, u_stops=U, **more)


def test_a_dial_in_order_is_left_alone():
    asked = ask(NOMINAL)
    assert asked.verdict == "within"
    assert asked.aims == ()


def test_time_added_asks_for_the_engagement_and_a_rate_for_the_pallet():
    assert [aim.adjuster for aim in ask(engaged(1.0)).aims] == ["engagement"]
    assert [aim.adjuster for aim in ask(NOMINAL * 2 ** (0.8 * RATE)).aims] == ["pallet"]


def test_of_a_pair_engagement_comes_first_and_is_watched_with_the_pallet_out():
    asked = ask(engaged(1.3) * 2 ** (1.0 * RATE))
    assert [aim.adjuster for aim in asked.aims] == ["engagement", "pallet"]
    assert asked.aims[0].pilot in ("1/25", "1/50")
    assert asked.aims[1].pilot not in ("1/25", "1/50")
    assert asked.chance > asked.chance_now


def test_a_first_move_is_small_and_named_a_trial():
    (aim,) = ask(NOMINAL * 2 ** (1.2 * RATE)).aims
    assert aim.trial
    assert "First a small move" in aim.words
    assert 0.3 < math.log2(aim.now_s / aim.aim_s) < 0.75
    assert aim.low_s < aim.aim_s < aim.high_s


def test_what_moves_show_replaces_what_was_expected():
    effect = expected_effect(ENGAGEMENT, dial(NOMINAL))
    moves = [move("engagement", engaged(a), engaged(b)) for a, b in ((2.0, 1.0), (1.0, 1.6), (1.6, 0.2))]
    learned = learn(effect, moves)
    # Ratios of the gains are what can be known, as travel is not measured.
    assert learned.gain[4] / learned.gain[3] == pytest.approx(9 / 59, rel=0.1)
    assert learned.travels[0] / learned.travels[1] == pytest.approx(-1 / 0.6, rel=0.1)
    assert np.all(np.diag(learned.covariance)[:6] <= np.diag(effect.covariance)[:6] + 1e-12)
    assert learned.moves == 3


def test_learning_a_gain_of_known_scale_is_bayesian_regression():
    # Outside check: the posterior mean found by minimising the sum of squares with a general optimiser.
    effect = expected_effect(PALLET, dial(NOMINAL))
    last = NOMINAL * 2 ** (-0.5 * RATE * 1.05)
    learned = learn(effect, [move("pallet", NOMINAL, last)])
    travel, change, inside = learned.travels[0], np.log2(last / NOMINAL), slice(0, 4)
    sd = np.sqrt(np.diag(effect.covariance))[inside]

    def squares(gain):
        noise = 2 * U[inside] ** 2 + 1e-8
        return np.sum(((gain - effect.gain[inside]) / sd) ** 2) + np.sum((change[inside] - travel * gain) ** 2 / noise)

    assert learned.gain[inside] == pytest.approx(minimize(squares, effect.gain[inside]).x, abs=1e-3)


def test_the_shift_by_tightening_is_learned_and_allowed_for():
    moves = [
        move("pallet", NOMINAL * 2 ** (a * RATE), NOMINAL * 2 ** (b * RATE), loose_s=0.40, tight_s=0.45)
        for a, b in ((1.5, 1.2), (1.2, 1.0), (1.0, 0.8))
    ]
    learned = learn(expected_effect(PALLET, dial(NOMINAL)), moves)
    assert 0.1 < learned.tightening_stops <= math.log2(0.45 / 0.40)
    (aim,) = ask(NOMINAL * 2 ** (0.8 * RATE), (PALLET,), moves).aims
    assert aim.loose_s == pytest.approx(aim.aim_s * 2**-learned.tightening_stops)
    assert "Tightening shifts it" in aim.words


def test_the_way_is_given_in_the_words_used_before():
    moves = [move("pallet", NOMINAL, NOMINAL * 2 ** (0.6 * RATE), direction="deeper", amount=0.25)]
    (aim,) = ask(NOMINAL * 2 ** (0.6 * RATE), (PALLET,), moves).aims
    assert aim.direction == "the other way than 'deeper'"
    assert aim.amount == pytest.approx(-0.25, rel=0.15)
    (again,) = ask(NOMINAL * 2 ** (-0.6 * RATE), (PALLET,), moves).aims
    assert again.direction == "deeper"


def test_what_no_adjuster_can_reach_is_said():
    slow_top = NOMINAL * 2.0 ** np.array([0, 0, 0, 0, 0, 0, 0, 1.0])
    asked = ask(slow_top)
    assert asked.verdict == "out of reach"
    assert "1/250" in asked.words[0]
    assert ask(slow_top, (Adjuster("bend", "1/250"),)).verdict == "move"


def test_the_proposal_does_better_than_any_other_travel_by_its_own_measure():
    times = NOMINAL * 2 ** (0.9 * RATE)
    moves = [move("pallet", times, NOMINAL * 2 ** (0.6 * RATE))]
    asked = ask(NOMINAL * 2 ** (0.6 * RATE), (PALLET,), moves)
    cost = sum((p.error_stops / p.tolerance_stops) ** 2 for p in asked.dial)
    effect = learn(expected_effect(PALLET, dial(times)), moves)
    for travel in np.linspace(-1.5, 0.5, 21):
        errors = np.log2(after(effect, NOMINAL * 2 ** (0.6 * RATE), travel) / NOMINAL)
        assert cost <= np.sum((errors / TOLERANCE) ** 2) + 0.02


def test_the_same_question_has_the_same_answer():
    assert ask(engaged(1.0)) == ask(engaged(1.0))


def test_the_pilot_is_told_to_go_on_to_stop_and_to_go_back():
    (aim,) = ask(NOMINAL * 2 ** (1.2 * RATE)).aims
    assert reading_says(aim, aim.now_s).startswith("Go on")
    assert reading_says(aim, aim.aim_s).startswith("In the band")
    assert reading_says(aim, aim.low_s * 0.9).startswith("Too far: go back")


def test_an_adjuster_that_moves_nothing_on_this_dial_is_no_help():
    assert ask(NOMINAL * 2 ** (0.8 * RATE), (Adjuster("bend", "1/75"),)).verdict == "out of reach"
