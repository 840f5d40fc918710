"""The dial: stops, intervals and verdicts."""

import math

import numpy as np
import pytest

from asfound.shutter import Firing, Flag, MarkedSpeed, judge, read_dial, read_marked, summary
from asfound.shutter.speeds.dial import read_dial_by_nearest


def shot(time_s, u_s=1e-6, flags=()):
    return Firing(start_s=0.0, effective_s=time_s, u_effective_s=u_s, flags=flags)


def row_of(times, mark="1/50", nominal=1 / 50, tolerance=1 / 3):
    dial, _ = read_dial(
        [shot(t) for t in times], [MarkedSpeed(mark, nominal)], shots=len(times), tolerance_stops=tolerance
    )
    return dial.rows[0]


# Stop arithmetic (calculated): 2^x - 1.
@pytest.mark.parametrize(
    ("stops", "slow", "fast"),
    [(1 / 6, 12.25, -10.91), (1 / 4, 18.92, -15.91), (1 / 3, 25.99, -20.63), (1 / 2, 41.42, -29.29), (1, 100, -50)],
)
def test_error_in_stops_is_the_binary_logarithm(stops, slow, fast):
    assert row_of([0.02 * (1 + slow / 100)]).error_stops == pytest.approx(stops, abs=1e-4)
    assert row_of([0.02 * (1 + fast / 100)]).error_stops == pytest.approx(-stops, abs=1e-4)


def test_the_mean_is_of_times_and_then_the_logarithm():
    row = row_of([0.01, 0.02, 0.03])
    assert row.mean_s == pytest.approx(0.02)
    assert row.error_stops == pytest.approx(0.0)
    assert row.spread_s == pytest.approx(0.01)


@pytest.mark.parametrize(("n", "factor"), [(3, 2.484), (5, 1.242)])
def test_the_interval_of_a_mean_uses_students_t(n, factor):
    # U95 of a mean of 3 is 2.484 s, of 5 it is 1.242 s (GUM Table G.2, read).
    times = [0.02 + 1e-4 * (i - (n - 1) / 2) for i in range(n)]
    row = row_of(times)
    assert row.interval_stops * math.log(2) * row.mean_s == pytest.approx(factor * row.spread_s, rel=2e-3)


def test_a_verdict_needs_the_whole_interval_on_one_side():
    assert judge(0.1, 0.1, 0.3) == "within"
    assert judge(-0.3, 0.1, 0.3) == "cannot tell"
    assert judge(-0.5, 0.1, 0.3) == "outside"


def test_a_clipped_firing_cannot_be_judged():
    dial, _ = read_dial([shot(0.02, flags=(Flag.CLIPPED,))], [MarkedSpeed("1/50", 0.02)], shots=1)
    assert dial.rows[0].verdict == "cannot tell"


def test_firings_are_shared_out_in_the_order_shot():
    speeds, _ = read_marked("1,1/2")
    dial, problems = read_dial([shot(t) for t in (1, 1.1, 0.5, 0.55)], speeds, shots=2)
    assert not problems
    assert [row.shots_s for row in dial.rows] == [(1, 1.1), (0.5, 0.55)]


def test_a_wrong_number_of_firings_is_said():
    speeds, _ = read_marked("1,1/2")
    _, problems = read_dial([shot(1.0)], speeds, shots=3)
    assert "1 firings found, 6 expected" in problems[0].what


def test_a_summary_is_in_plain_words():
    speeds, _ = read_marked("1/125")
    dial, _ = read_dial([shot(0.0125)], speeds, shots=1)
    text = summary(dial)
    assert "0.68 stop slow, outside" in text or "slow, outside" in text
    assert "1/128" in text


def three_shots(errors, seed=0, scatter=0.03):
    speeds, _ = read_marked("1,1/2,1/5,1/10,1/25,1/50,1/100,1/250")
    generator = np.random.default_rng(seed)
    times = [
        s.nominal_s * 2**e * (1 + scatter * g)
        for s, e in zip(speeds, errors, strict=True)
        for g in generator.normal(size=3)
    ]
    return read_dial([shot(t) for t in times], speeds, shots=3)[0]


def test_pooled_scatter_settles_what_three_shots_alone_cannot():
    dial = three_shots([0.2] * 8)
    alone = [row_of(row.shots_s, row.marked, row.nominal_s) for row in dial.rows]
    assert all(row.verdict == "within" and row.pooled for row in dial.rows)
    assert sum(row.verdict == "cannot tell" for row in alone) > 0


def test_a_pooled_interval_covers_as_often_as_it_says():
    # 8 speeds of 120 shutters: 95 % of 960 is 912, and three sigma 20 (more, as speeds share their scatter).
    held = sum(
        abs(row.error_stops - 0.2) <= row.interval_stops
        for seed in range(120)
        for row in three_shots([0.2] * 8, seed).rows
    )
    assert 880 <= held <= 945


def test_the_top_speed_is_allowed_more_and_it_is_said():
    dial = three_shots([0.0] * 7 + [0.4])
    assert [row.tolerance_stops for row in dial.rows] == [1 / 3] * 7 + [1 / 2]
    assert "Tolerance at 1/250, the top speed: 0.50 stop." in dial.remarks()


def test_a_struck_shot_keeps_its_place_and_counts_for_nothing():
    speeds, _ = read_marked("1,1/2")
    dial, problems = read_dial([shot(t) for t in (1, 3, 1, 0.5, 0.5, 0.5)], speeds, shots=3, struck=(2,))
    assert not problems
    assert (dial.rows[0].shots_s, dial.rows[0].struck_s) == ((1, 1), (3,))
    assert dial.rows[1].n == 3


def test_the_dial_says_how_even_its_steps_are():
    data = three_shots([0.3] * 4 + [0.0] * 4, scatter=1e-4).as_json()
    assert [round(step["error_stops"], 2) for step in data["steps"]] == [0, 0, 0, 0.3, 0, 0, 0]


def test_firings_in_any_order_go_to_the_nearest_speed():
    speeds, _ = read_marked("older")
    times = [0.041, 1.1, 0.0045, 0.9, 0.21, 0.039]
    dial, problems = read_dial_by_nearest([shot(t) for t in times], speeds, struck=(4,))
    assert not problems
    assert {r.marked: r.shots_s for r in dial.rows if r.n} == {
        "1": (1.1,),
        "1/5": (0.21,),
        "1/25": (0.041, 0.039),
        "1/250": (0.0045,),
    }
    assert dial.rows[0].struck_s == (0.9,)


def test_a_firing_half_way_between_two_speeds_is_said():
    speeds, _ = read_marked("1,1/2")
    _, problems = read_dial_by_nearest([shot(0.71), Firing(start_s=0.0)], speeds)
    assert [p.where for p in problems] == ["firing 1", "firing 2"]


def test_series_are_known_by_name():
    modern, _ = read_marked("modern")
    assert [s.nominal_s for s in modern][4:8] == [1 / 16, 1 / 32, 1 / 64, 1 / 128]
    assert [s.nominal_s for s in read_marked("Modern", exact_modern=False)[0]][7] == 1 / 125
    assert not any(s.exact for s in read_marked("older")[0])


def test_a_quarter_thousandth_beside_older_marks_is_meant_as_engraved():
    assert [s.nominal_s for s in read_marked("1/100, 1/250")[0]] == [1 / 100, 1 / 250]
    assert [s.nominal_s for s in read_marked("1/125, 1/250")[0]] == [1 / 128, 1 / 256]
