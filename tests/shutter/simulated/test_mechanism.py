"""The shutter in motion against mechanics done by hand and by a general solver of differential equations."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from asfound.shutter.simulated.faulty import KINDS, draw_cameras, spoil
from asfound.shutter.simulated.mechanism import swing
from asfound.shutter.speeds.groups import Group

NOMINAL = [1.0, 0.5, 0.2, 0.1, 0.04, 0.02, 0.01, 0.004]


def one(value):
    return np.array([float(value)])


def swung(steps=24, *, torque=20, fall=0, drag=0, inertia=700, arc=0.4, speed=0, keeps=None):
    times, last = swing(
        arc_rad=one(arc), steps=steps, inertia_g_mm2=one(inertia), torque_n_mm=one(torque), fall_n_mm_rad=one(fall),
        drag_n_mm_s=one(drag), speed_rad_s=one(speed), keeps=None if keeps is None else one(keeps),
    )  # fmt: skip
    return times[-1, 0], last[0]


def test_a_steady_torque_gives_the_time_of_the_textbook():
    # t = sqrt(2 phi I / T), w = sqrt(2 phi T / I): elementary mechanics. 20 N mm = 0.02 N m, 700 g mm2 = 7e-10 kg m2.
    time, speed = swung()
    assert time == pytest.approx(np.sqrt(2 * 0.4 * 7e-7 / 0.02))
    assert speed == pytest.approx(np.sqrt(2 * 0.4 * 0.02 / 7e-7))


def test_with_drag_and_a_failing_spring_it_agrees_with_a_general_solver():
    # Outside check: an adaptive Runge-Kutta solver of a general library.
    inertia, torque, fall, drag = 3e-5, 0.02, 0.01, 4e-3

    def motion(t, y):
        return [y[1], (torque - fall * y[0] - drag * y[1]) / inertia]

    def there(t, y):
        return y[0] - 0.15

    there.terminal = True
    exact = solve_ivp(motion, (0, 1), [0, 0], events=there, rtol=1e-9, atol=1e-12).t_events[0][0]
    # The drag is taken at the end of each step, so ten times the steps take away most of the error.
    errors = [
        swung(n, torque=20, fall=10, drag=4, inertia=30_000, arc=0.15)[0] / exact - 1 for n in (160, 1600, 16_000)
    ]
    assert abs(errors[0]) < 0.015
    assert abs(errors[1]) < abs(errors[0]) / 5
    assert abs(errors[2]) < 2e-4


def test_a_train_with_its_pallet_runs_at_a_rate():
    # Each beat from rest takes sqrt(2 b I / T): twice the arc, twice the time.
    once, _ = swung(100, inertia=7e4, arc=0.25, keeps=0)
    twice, _ = swung(200, inertia=7e4, arc=0.5, keeps=0)
    assert once == pytest.approx(100 * np.sqrt(2 * 0.0025 * 7e-5 / 0.02))
    assert twice == pytest.approx(2 * once)


def test_friction_greater_than_the_drive_stops_it():
    assert swung(torque=-1)[0] == np.inf


@pytest.fixture(scope="module")
def cameras():
    return draw_cameras(40, NOMINAL, np.random.default_rng(7))


def test_every_drawn_shutter_is_right_before_it_is_spoilt(cameras):
    assert np.max(np.abs(np.log2(cameras.times_s()[..., 0] / NOMINAL))) < 0.01


def test_depth_of_engagement_adds_nearly_a_fixed_time_within_a_group(cameras):
    added = (cameras.times_s(arc_rad=cameras.train_arc_rad + 0.02) - cameras.times_s())[..., 0]
    for group in (Group.PALLET_IN, Group.PALLET_OUT):
        of_group = added[:, [g == group for g in cameras.groups]]
        assert np.all(of_group.max(axis=1) < 1.35 * of_group.min(axis=1))
    assert np.all(added[:, [g == Group.PLAIN for g in cameras.groups]] == 0)


@pytest.mark.parametrize("kind", KINDS)
def test_each_fault_is_of_the_size_asked_for(cameras, kind):
    readings, usable = spoil(kind, cameras, (1, -1), np.random.default_rng(3))
    assert usable.any()
    largest = np.abs(readings.error_stops[usable]).max(axis=(1, 2))
    assert np.all(largest <= 2.0)
    if kind not in ("in order", "scatter", "rebound", "never closes"):
        assert np.all(largest >= 0.3)
