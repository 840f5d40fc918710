"""What a strut needs, by virtual work and by hand; and whether springs hold it."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.quantity import Reading
from asfound.springs.hold import judge_hold
from asfound.springs.need import (
    Strut,
    back_force_n,
    bellows_force,
    linkage_picture,
    torque_at_give_way,
    torque_needed,
    torque_to_keep,
)

struts = st.builds(
    Strut,
    length_mm=st.floats(20, 90),
    weight_n=st.floats(0.2, 2),
    elevation_deg=st.floats(0, 90),
    bellows_n=st.floats(0, 2),
    finger_n=st.floats(0, 5),
)


@given(struts, st.floats(5, 85))
def test_the_need_is_the_slope_of_the_work_against_the_forces(strut, angle):
    # Virtual work by a finite difference: the tip moves L sin(a) away from the body.
    def work(a):
        return back_force_n(strut, finger=True) * strut.length_mm * math.sin(a)

    h = 1e-5
    a = math.radians(angle)
    slope = (work(a + h) - work(a - h)) / (2 * h)
    assert torque_to_keep(strut, angle_deg=angle).pivot_n_mm == pytest.approx(slope, rel=1e-5, abs=1e-6)


@given(struts, st.floats(91, 120))
def test_past_dead_centre_a_push_locks_the_strut(strut, angle):
    assert torque_to_keep(strut, angle_deg=angle).pivot_n_mm == 0


def test_only_friction_is_left_to_overcome_at_dead_centre():
    strut = Strut(length_mm=50, weight_n=1, bellows_n=1, friction_n_mm=3)
    assert torque_needed(strut, angle_deg=90).pivot_n_mm == pytest.approx(3)
    assert torque_needed(strut, angle_deg=100).pivot_n_mm == pytest.approx(3)


def test_a_strut_by_hand():
    # 1 N of weight and 0.5 N of bellows on 60 mm at 60 deg, lens up: 1.5 x 60 x cos 60 = 45 N mm, and 5 friction.
    strut = Strut(length_mm=60, weight_n=1, bellows_n=0.5, friction_n_mm=5)
    need = torque_needed(strut, angle_deg=60)
    assert need.pivot_n_mm == pytest.approx(50)
    assert {t.name: t.torque_n_mm for t in need.terms} == pytest.approx({"bellows": 15, "weight": 30, "friction": 5})


def test_a_lens_pointing_down_helps_the_struts_open():
    down = Strut(length_mm=60, weight_n=1, elevation_deg=-90, bellows_n=0.5)
    assert torque_needed(down, angle_deg=30).pivot_n_mm == 0


def test_squeezed_bellows_push_the_front_out():
    plain = Strut(length_mm=60, weight_n=1)
    helped = Strut(length_mm=60, weight_n=1, bellows_folded_n=-0.4)
    first, second = (torque_needed(s, angle_deg=0, folded=True).pivot_n_mm for s in (plain, helped))
    assert first - second == pytest.approx(24)


def test_a_groove_with_a_shallow_wall_holds_by_itself():
    # Wedge: friction 0.15 is 8.5 degrees; a steeper wall lifts by the tangent of the rest.
    shallow = Strut(length_mm=60, finger_n=3, lock="groove", groove_arm_mm=12, groove_slope_deg=8)
    steep = Strut(length_mm=60, finger_n=3, lock="groove", groove_arm_mm=12, groove_slope_deg=45)
    assert torque_to_keep(shallow, angle_deg=80).pivot_n_mm == 0
    lift = math.tan(math.radians(45) - math.atan(0.15))
    assert torque_to_keep(steep, angle_deg=80).pivot_n_mm == pytest.approx(3 * lift * 12)


def test_a_coil_beside_the_pivot_gives_by_the_ratio_of_its_arms():
    # The leg's force is one and the same: 30 N mm about the pivot at 10 mm is 3 N, 24 N mm about a coil 8 mm away.
    strut = Strut(length_mm=60, weight_n=0.5, bears_mm=10, bears_from_coil_mm=8)
    need = torque_needed(strut, angle_deg=0)
    assert need.pivot_n_mm == pytest.approx(30)
    assert need.spring_n_mm == pytest.approx(24)


def test_bellows_are_what_differs_with_them_attached():
    assert bellows_force(attached_n=0.9, detached_n=0.5) == pytest.approx(0.4)
    assert torque_at_give_way(force_n=1.5, arm_mm=30) == pytest.approx(45)


@given(struts, st.floats(5, 85))
def test_the_picture_is_in_balance_about_the_pivot(strut, angle):
    strut = Strut(
        length_mm=strut.length_mm, weight_n=strut.weight_n, bellows_n=strut.bellows_n, bears_mm=strut.length_mm / 4
    )
    need = torque_needed(strut, angle_deg=angle)
    picture = linkage_picture(strut, need=need)
    assert math.hypot(*picture.tip_mm) == pytest.approx(strut.length_mm)
    turning = sum(a.foot_mm[0] * a.force_n[1] - a.foot_mm[1] * a.force_n[0] for a in picture.arrows)
    assert turning == pytest.approx(0, abs=1e-6)


def spring(value, u=None):
    return Reading(value=value, unit="N·mm", standard_uncertainty=u)


def test_two_unlike_struts_hold_together():
    held = judge_hold(position="erected", needed_n_mm=20, springs=[spring(18, 0.5), spring(10, 0.5)])
    assert held.verdict == "within"
    assert held.margin == pytest.approx(1.4)
    assert held.share_of_each == pytest.approx((18 / 28, 10 / 28))
    assert held.u_given_n_mm == pytest.approx(math.hypot(0.5, 0.5))


@pytest.mark.parametrize(("given_", "verdict"), [(28.1, "within"), (26.5, "cannot tell"), (24.9, "outside")])
def test_closer_than_the_measurement_cannot_be_told(given_, verdict):
    held = judge_hold(position="erected", needed_n_mm=20, springs=[spring(given_, 0.5)])
    assert held.verdict == verdict


def test_where_nothing_is_needed_any_spring_holds():
    held = judge_hold(position="erected", needed_n_mm=0, springs=[spring(1)])
    assert held.verdict == "within"
    assert held.margin is None
