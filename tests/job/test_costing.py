"""What a repair will take is told with its spread; sums on paper add up."""

import math
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from asfound.job.bodies import CostLine, Estimate, Note, PartOrdered
from asfound.job.costing import as_money, cost, foreseen, parts_foreseen, parts_got, show_minutes, spread_of
from asfound.job.fold import fold
from asfound.job.minutes import work_minutes

prices = st.decimals(min_value=0, max_value=9999, places=2)
lines = st.lists(st.builds(CostLine, what=st.just("felt"), count=st.decimals("0.5", 20, places=1), price=prices))


def test_one_camera_tells_the_middle_and_no_spread():
    one = foreseen([200.0])
    assert one is not None
    assert (round(one.likely_minutes, 9), one.low_minutes, one.high_minutes, one.cameras) == (200.0, None, None, 1)
    assert foreseen([]) is None
    assert foreseen([0.0]) is None


def test_the_spread_is_that_for_a_single_future_observation():
    # Hahn and Meeker, Statistical Intervals (memory): m +- t s sqrt(1 + 1/n); Student's t from SciPy.
    logs = np.log([150.0, 210.0, 260.0])
    half = stats.t.ppf(0.9, 2) * logs.std(ddof=1) * math.sqrt(4 / 3)
    found = foreseen([150.0, 210.0, 260.0])
    assert found is not None
    assert found.low_minutes == pytest.approx(math.exp(logs.mean() - half))
    assert found.high_minutes == pytest.approx(math.exp(logs.mean() + half))


def test_eight_of_ten_next_cameras_lie_within():
    # Monte Carlo from NumPy: 4,000 models of four cameras each; 3.3 standard errors of a share of .8 are .021.
    draw = np.random.default_rng(8)
    shares = []
    for _ in range(4000):
        *seen, following = np.exp(draw.normal(5.3, 0.3, 5))
        found = foreseen(seen)
        assert found is not None
        assert found.low_minutes is not None
        assert found.high_minutes is not None
        shares.append(found.low_minutes <= following <= found.high_minutes)
    assert np.mean(shares) == pytest.approx(0.8, abs=0.021)


@given(st.lists(st.floats(1, 1e4), min_size=2, max_size=9), st.floats(0.1, 10))
def test_a_slower_repairer_takes_so_much_longer_in_everything(minutes, slower):
    own, other = foreseen(minutes), foreseen([slower * value for value in minutes])
    assert own is not None
    assert other is not None
    assert other.likely_minutes == pytest.approx(slower * own.likely_minutes)
    assert other.low_minutes == pytest.approx(slower * own.low_minutes)


@given(st.floats(0, 1e4), prices, lines)
def test_the_total_is_the_sum_of_what_stands_above_it(minutes, per_hour, parts):
    found = cost(minutes=minutes, per_hour=per_hour, lines=parts)
    like = [per_hour, *(line.price for line in parts)]
    assert found.total == found.work + sum(as_money(line.count * line.price, like) for line in parts)


def test_money_keeps_the_decimals_it_was_typed_with():
    felt = CostLine(what="felt", count=Decimal(3), price=Decimal("1.5"))
    assert str(cost(minutes=90, per_hour=Decimal("48.00"), lines=[felt]).total) == "76.50"
    assert str(cost(minutes=90, per_hour=Decimal("4800"), lines=[]).total) == "7200"


def test_work_is_the_time_between_entries_without_the_pauses(bench):
    bench.write(Note(text="begun"))
    bench.wall_ms += 40 * 60_000  # 41 minutes: work
    bench.write(Note(text="a long step"))
    bench.wall_ms += 60 * 60_000  # 61 minutes: a pause
    bench.write(Note(text="after dinner"))
    assert work_minutes(fold(bench.entries)) == pytest.approx(42.0)


def test_a_part_is_counted_once_a_camera_however_often_it_was_sent_for(bench):
    bench.all([PartOrdered(part="bellows"), PartOrdered(part="Bellows ")])
    assert parts_got(fold(bench.entries)) == ("bellows",)
    assert parts_foreseen([("bellows",), ("Bellows", "blade")]) == (("bellows", 2), ("blade", 1))


def test_an_estimate_keeps_its_three_times_in_order():
    told = {"basis": "", "per_hour": "48", "currency": "EUR"}
    with pytest.raises(ValueError, match="between the fewest and the most"):
        Estimate(low_minutes=20, likely_minutes=10, high_minutes=30, **told)
    low, likely, high = spread_of(Estimate(low_minutes=30, likely_minutes=60, high_minutes=120, **told))
    assert (low.total, likely.total, high.total) == (24, 48, 96)


@pytest.mark.parametrize(("minutes", "said"), [(0, "0 min"), (59.6, "1 h"), (90, "1 h 30 min"), (300, "5 h")])
def test_minutes_are_said_as_people_say_them(minutes, said):
    assert show_minutes(minutes) == said
