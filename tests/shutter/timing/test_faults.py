"""What can go wrong with a firing or its recording: it is seen, said, and where possible taken out."""

import numpy as np
import pytest

from asfound.shutter import Block, Exposure, Firing, Flag, LightListener, SoundInput, exposure_lasting, simulate
from asfound.shutter.timing.refine import Arrangement, refine

NOISE = 0.005
TIMES = (1.0, 0.1, 1 / 30, 1 / 125)


def measured(shots, line, **how):
    samples, truths = simulate(shots, line, **how)
    listener = LightListener(sample_rate_hz=line.sample_rate_hz)
    firings = (*listener.feed(Block(samples, line.sample_rate_hz, 0)), *listener.close())
    assert len(firings) == len(truths)
    return list(zip(firings, truths, strict=True))


def shots(times=TIMES):
    return [exposure_lasting(t, opening_s=1e-3, closing_s=2e-3) for t in times]


@pytest.mark.parametrize("corner", [(), (5.0,)])
@pytest.mark.parametrize(("mains", "level"), [(50.1, 0.025), (59.98, 0.1)])
def test_hum_is_taken_out_and_said(mains, level, corner):
    line = SoundInput(noise_rms=NOISE, hum_hz=mains, hum_level=level, coupling_hz=corner)
    for firing, truth in measured(shots(), line):
        assert Flag.HUM in firing.flags
        assert firing.effective_s == pytest.approx(truth.effective_s, rel=0.002)


@pytest.mark.parametrize("mains", [100.1, 119.9])
def test_flicker_of_the_lamp_is_divided_out_of_long_times(mains):
    line = SoundInput(noise_rms=NOISE, flicker_hz=mains, flicker_depth=0.1)
    for firing, truth in measured(shots(TIMES[:3]), line):
        assert Flag.FLICKER in firing.flags
        assert firing.effective_s == pytest.approx(truth.effective_s, rel=0.002)


@pytest.mark.parametrize("pulses", [307.0, 1993.0])
@pytest.mark.parametrize("corner", [(), (5.0,)])
def test_the_modulation_of_a_dimmed_lamp_is_divided_out(pulses, corner):
    line = SoundInput(noise_rms=NOISE, flicker_hz=pulses, flicker_depth=0.2, coupling_hz=corner)
    for firing, truth in measured(shots((0.1, 1 / 30)), line):
        assert Flag.FLICKER in firing.flags
        assert firing.effective_s == pytest.approx(truth.effective_s, rel=0.003)


def test_flicker_too_short_to_see_is_carried_over_from_the_longer_firings():
    line = SoundInput(noise_rms=NOISE, flicker_hz=100.0, flicker_depth=0.1)
    found = refine([firing for firing, _ in measured(shots(), line)])
    assert all(Flag.FLICKER in firing.flags for firing in found)


@pytest.mark.parametrize("corner", [(), (5.0,)])
def test_a_rebound_is_said_and_its_light_counted(corner):
    shot = [
        Exposure(
            opening_s=1e-3,
            closing_s=1e-3,
            fully_open_s=t,
            rebound_after_s=5e-3,
            rebound_s=3e-3,
            rebound_reach=0.3,
        )
        for t in (0.1, 0.002)
    ]
    for firing, truth in measured(shot, SoundInput(noise_rms=NOISE, coupling_hz=corner)):
        assert Flag.REBOUND in firing.flags
        assert firing.effective_s == pytest.approx(truth.effective_s, rel=0.005)


def test_a_second_firing_is_said_and_not_counted():
    shot = Exposure(
        opening_s=1e-3, closing_s=1e-3, fully_open_s=0.01, rebound_after_s=0.015, rebound_s=8e-3, rebound_reach=1.0
    )
    ((firing, _),) = measured([shot], SoundInput(noise_rms=NOISE))
    assert Flag.SECOND_FIRING in firing.flags
    assert firing.effective_s == pytest.approx(0.011, rel=0.002)


def test_an_overdriven_plateau_is_said_and_widens_the_uncertainty():
    line = SoundInput(noise_rms=NOISE, clip_level=0.4)  # below full scale, as an overloaded amplifier does
    for firing, truth in measured(shots(), line):
        assert Flag.CLIPPED in firing.flags
        assert abs(firing.effective_s - truth.effective_s) < 2 * firing.u_effective_s


@pytest.mark.parametrize("corners", [(1.0, 15.0), (5.0, 20.0), (10.0, 20.0), (20.0, 20.0)])
def test_two_poles_are_told_from_one(corners):
    pairs = measured(shots(), SoundInput(noise_rms=0.001, coupling_hz=corners))
    for firing, truth in pairs:
        assert sorted(firing.coupling_hz) == pytest.approx(list(corners), rel=0.1)
        assert firing.effective_s == pytest.approx(truth.effective_s, rel=0.001)


@pytest.mark.parametrize("corner", [(), (20.0,)])
def test_gummed_blades_that_close_slowly_are_followed_to_the_end(corner):
    slow = [exposure_lasting(t, opening_s=5e-4, closing_s=6e-3) for t in TIMES[:3]]
    for firing, truth in measured(slow, SoundInput(noise_rms=NOISE, coupling_hz=corner)):
        assert firing.effective_s == pytest.approx(truth.effective_s, rel=0.002)
        assert firing.closing_s == pytest.approx(6e-3, rel=0.05)


def test_blades_that_do_not_open_as_far_are_said_to_be_partly_open():
    full = exposure_lasting(0.05)
    part = Exposure(opening_s=5e-4, closing_s=5e-4, fully_open_s=0.05, reach=0.7)
    found = refine([f for f, _ in measured([full, full, part], SoundInput(noise_rms=NOISE))])
    assert [Flag.PARTLY_OPEN in f.flags for f in found] == [False, False, True]


def test_no_plateau_is_said():
    shot = Exposure(opening_s=2e-3, closing_s=2e-3, fully_open_s=0.0)
    ((firing, truth),) = measured([shot], SoundInput(noise_rms=NOISE))
    assert Flag.NO_PLATEAU in firing.flags
    assert firing.effective_s == pytest.approx(truth.effective_s, rel=0.01)


def test_blades_of_neither_shape_are_summed():
    # An opening that starts and stops gently, so that neither an area nor a diameter grows evenly.
    rate, edge = 48_000.0, 6e-3
    time = np.arange(48_000) / rate
    up = np.clip((time - 0.3) / edge, 0, 1)
    down = np.clip((time - 0.35) / edge, 0, 1)
    light = 0.5 * (up * up * (3 - 2 * up) - down * down * (3 - 2 * down))
    light += np.random.default_rng(0).normal(0, 0.001, light.size)
    listener = LightListener(sample_rate_hz=rate)
    (firing,) = (*listener.feed(Block(light.astype(np.float32), rate, 0)), *listener.close())
    assert Flag.SHAPE_UNKNOWN in firing.flags
    assert firing.effective_s == pytest.approx(0.05, abs=3 * firing.u_effective_s)
    assert firing.effective_s == pytest.approx(0.05, rel=0.001)


def test_ramps_too_short_for_blades_hint_at_a_sensor_that_sees_part_of_the_pupil():
    firing = Firing(
        start_s=0,
        effective_s=0.01,
        total_open_s=0.0102,
        opening_s=1e-4,
        closing_s=1e-4,
        u_effective_s=1e-6,
        plateau=0.5,
    )
    (found,) = refine([firing])
    assert Flag.PART_OF_PUPIL in found.flags
    assert found.u_effective_s > 1e-4


def test_a_slow_sensor_widens_the_uncertainty():
    firing = Firing(
        start_s=0, effective_s=0.01, total_open_s=0.011, opening_s=1e-3, closing_s=1e-3, u_effective_s=1e-6, plateau=0.5
    )
    (found,) = refine([firing], Arrangement(response_s=3e-4))
    assert Flag.SLOW_SENSOR in found.flags
    assert found.u_effective_s > 1.5e-4
