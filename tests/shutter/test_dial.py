"""The dial: stops, intervals and verdicts."""

import math

import pytest

from asfound.shutter import Firing, Flag, MarkedSpeed, judge, read_dial, read_marked, summary


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
