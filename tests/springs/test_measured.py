"""A spring measured winding and unwinding, against a propagator of uncertainty and by hand."""

import math
from dataclasses import replace

import GTC
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import linregress

from asfound.springs.measured import (
    LeverTry,
    compare_cleaning,
    compare_with_dimensions,
    compare_with_twin,
    measure_spring,
    split_torque,
    told_by_magnet_and_colour,
)


def lever(angle, up, down):
    return LeverTry(angle_deg=angle, winding_n=(up,), unwinding_n=(down,))


@given(st.floats(0, 50), st.floats(0, 10), st.floats(5, 60))
def test_spring_and_friction_are_parted_whatever_they_are(spring, friction, arm):
    split = split_torque(lever(10, (spring + friction) / arm, (spring - friction) / arm), arm_mm=arm)
    assert split.spring.value == pytest.approx(spring, abs=1e-9)
    assert split.friction.value == pytest.approx(friction, abs=1e-9)


def test_the_uncertainty_of_both_agrees_with_a_general_propagator():
    # GTC, a library for JCGM 100:2008.
    up, down, arm = GTC.ureal(1.9, 0.03), GTC.ureal(1.3, 0.03), GTC.ureal(20, 0.2)
    split = split_torque(lever(30, 1.9, 1.3), arm_mm=20, u_force_n=0.03, u_arm_mm=0.2)
    spring, friction = (up + down) / 2 * arm, (up - down) / 2 * arm
    assert split.spring.value == pytest.approx(GTC.value(spring))
    assert split.spring.standard_uncertainty == pytest.approx(GTC.uncertainty(spring))
    assert split.friction.standard_uncertainty == pytest.approx(GTC.uncertainty(friction))


def test_rate_and_free_angle_of_two_angles_agree_with_a_general_propagator():
    forces = [GTC.ureal(x, 0.03) for x in (1.2, 0.8, 2.0, 1.5)]
    arm = GTC.ureal(20, 0.2)
    low, high = ((forces[0] + forces[1]) / 2 * arm), ((forces[2] + forces[3]) / 2 * arm)
    slope = (high - low) / 60
    free = 30 - low / slope
    found = measure_spring(
        [lever(30, 1.2, 0.8), lever(90, 2.0, 1.5)], arm_mm=20, u_force_n=0.03, u_arm_mm=0.2, clean=True
    )
    assert found.rate.value == pytest.approx(360 * GTC.value(slope))
    assert found.rate.standard_uncertainty == pytest.approx(360 * GTC.uncertainty(slope))
    assert found.free_angle.value == pytest.approx(GTC.value(free))
    assert found.free_angle.standard_uncertainty == pytest.approx(GTC.uncertainty(free))


def test_scatter_about_the_line_counts_where_it_is_more_than_was_stated():
    # Three angles off a line: slope and its standard error as by scipy.
    angles, torques = [0, 45, 90], [10.0, 21.0, 28.0]
    found = measure_spring(
        [lever(a, t / 20, t / 20) for a, t in zip(angles, torques, strict=True)], arm_mm=20, clean=True
    )
    line = linregress(angles, torques)
    assert found.rate.value == pytest.approx(360 * line.slope)
    assert found.rate.standard_uncertainty == pytest.approx(360 * line.stderr)
    assert found.rate.degrees_of_freedom == 1
    assert found.free_angle.value == pytest.approx(-line.intercept / line.slope)


def test_repeats_narrow_the_uncertainty():
    once = split_torque(LeverTry(angle_deg=0, winding_n=(1.0, 1.1), unwinding_n=(0.8, 0.9)), arm_mm=20)
    often = split_torque(LeverTry(angle_deg=0, winding_n=(1.0, 1.1) * 4, unwinding_n=(0.8, 0.9) * 4), arm_mm=20)
    assert often.spring.standard_uncertainty < once.spring.standard_uncertainty


def test_one_angle_alone_gives_no_rate():
    assert measure_spring([lever(30, 1.2, 0.8)], arm_mm=20, clean=True).rate is None


def made_of(rate, free, *, u=0.01, clean=True):
    """A spring of a rate (N mm a turn) that stands free at an angle, measured at 30 and 90 degrees."""
    tries = []
    for angle in (30, 90):
        torque = rate * (angle - free) / 360
        tries.append(lever(angle, (torque + 2) / 20, (torque - 2) / 20))
    return measure_spring(tries, arm_mm=20, u_force_n=u, clean=clean)


def judged(measured, **extra):
    given_ = {
        "rate_n_mm_per_turn": 40.0,
        "u_rate_n_mm_per_turn": 1.5,
        "wire_diameter_mm": 0.5,
        "modulus_mpa": 203_400,
        "free_angle_deg": -100,
    }
    return compare_with_dimensions(measured, **(given_ | extra))


def test_rate_right_and_free_angle_moved_is_set():
    finding = judged(made_of(40, -60))
    assert finding.kind == "set"
    assert finding.moved_deg == pytest.approx(40)


def test_rate_and_angle_as_made_is_a_sound_spring():
    assert judged(made_of(40, -100)).kind == "as its dimensions say"


def test_a_rate_that_is_off_is_first_a_question_about_the_wire():
    finding = judged(made_of(40 * 1.2, -100))
    assert finding.kind == "rate off"
    assert "wire" in finding.asks[0]
    assert any("slip" in ask for ask in finding.asks)
    assert any("sideways" in ask for ask in finding.asks)
    # Four per cent of rate for one of diameter: 20 % of rate is 4.7 % of wire.
    assert finding.wire_for_rate_mm == pytest.approx(0.5 * 1.2**0.25)


def test_only_half_the_rate_raises_bronze_and_then_by_magnet_and_colour():
    # Shigley, Table 10-5 (read): phosphor bronze 103 GPa, music wire 203.4 GPa.
    bronze = judged(made_of(40 * 103 / 203.4, -100))
    assert any("magnet" in ask and "yellow" in ask for ask in bronze.asks)
    assert bronze.modulus_for_rate_mpa == pytest.approx(103_000)
    stainless = judged(made_of(40 * 193 / 203.4 * 0.85, -100))
    assert not any("magnet" in ask for ask in stainless.asks)


@pytest.mark.parametrize(
    ("pulled", "yellow", "told"),
    [(True, False, "steel"), (False, True, "bronze"), (True, True, "cannot tell"), (False, False, "cannot tell")],
)
def test_bronze_is_told_only_where_magnet_and_colour_agree(pulled, yellow, told):
    assert told_by_magnet_and_colour(pulled=pulled, yellow=yellow) == told


def test_once_told_the_question_is_not_asked_again():
    half = made_of(40 * 103 / 203.4, -100)
    assert "phosphor bronze" in judged(half, told="bronze").words
    assert not any("magnet" in ask for ask in judged(half, told="steel").asks)


def test_a_dirty_spring_is_not_judged():
    finding = judged(made_of(40, -60, clean=False))
    assert finding.kind == "cannot tell"
    assert "clean" in finding.words


def test_without_uncertainty_or_a_known_free_angle_nothing_is_claimed():
    assert judged(made_of(40, -60, u=0.0)).kind == "cannot tell"
    assert judged(made_of(40, -60), free_angle_deg=None).kind == "cannot tell"


def test_a_spring_further_open_than_it_was_made_is_no_set():
    assert judged(made_of(40, -150)).kind == "cannot tell"


def test_a_twin_that_agrees_brings_the_warning_that_both_may_be_weak():
    mine, other = made_of(40, -60).splits[0], made_of(40, -61).splits[0]
    same = compare_with_twin(mine, other)
    assert "no difference" in same.words
    assert "both" in same.warning
    weaker = compare_with_twin(mine, made_of(40, -130).splits[0])
    assert weaker.words.startswith("weaker")
    assert weaker.ratio == pytest.approx((30 + 60) / (30 + 130))


def test_cleaning_takes_friction_and_leaves_the_spring():
    before = split_torque(lever(30, 1.6, 0.6), arm_mm=20, clean=False)
    after = split_torque(lever(30, 1.2, 1.0), arm_mm=20)
    found = compare_cleaning(before, after)
    assert found.gone_share == pytest.approx(0.8)
    assert before.spring.value == pytest.approx(after.spring.value)
    assert before.spring.state.surface == "dirty"


def test_the_arm_scales_the_rate_and_leaves_the_free_angle_alone():
    tries = [lever(30, 1.2, 0.8), lever(90, 2.0, 1.5)]
    sure = measure_spring(tries, arm_mm=20, u_force_n=0.03, clean=True)
    unsure = measure_spring(tries, arm_mm=20, u_force_n=0.03, u_arm_mm=1, clean=True)
    assert unsure.free_angle.standard_uncertainty == sure.free_angle.standard_uncertainty
    extra = sure.rate.value * 1 / 20
    assert unsure.rate.standard_uncertainty == pytest.approx(math.hypot(sure.rate.standard_uncertainty, extra))
    assert replace(sure, clean=False).clean is False
