"""Firings from light: against the simulator's truth, SciPy's integral, and themselves."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import trapezoid

from asfound.shutter import Block, Exposure, Flag, LightListener, SoundInput, exposure_lasting, simulate

FORTY_DB = 0.005


def listen(samples, rate, sizes=(65_536,)):
    listener = LightListener(sample_rate_hz=rate)
    firings, at, turn = [], 0, 0
    while at < samples.size:
        size = sizes[turn % len(sizes)]
        firings += listener.feed(Block(samples[at : at + size], rate, at))
        at, turn = at + size, turn + 1
    return (*firings, *listener.close())


def measured(shots, line, **how):
    samples, truths = simulate(shots, line, **how)
    return listen(samples, line.sample_rate_hz), truths


SPEEDS = [1, 1 / 2, 1 / 5, 1 / 10, 1 / 25, 1 / 50, 1 / 100, 1 / 250, 1 / 500]


@pytest.mark.parametrize("edge_s", [2e-4, 5e-4, 1e-3])
@pytest.mark.parametrize("shape", ["area", "diameter"])
def test_uncoupled_recordings_agree_within_half_a_per_cent(edge_s, shape):
    shots = [
        exposure_lasting(t, opening_s=edge_s, closing_s=edge_s, opening_shape=shape, closing_shape=shape)
        for t in SPEEDS
    ]
    firings, truths = measured(shots, SoundInput(noise_rms=FORTY_DB), seed=7)
    assert len(firings) == len(truths)
    for firing, truth in zip(firings, truths, strict=True):
        assert firing.effective_s == pytest.approx(truth.effective_s, rel=0.005)
        assert firing.start_s == pytest.approx(truth.start_s, abs=1e-4)
        assert firing.half_level_s == pytest.approx(truth.half_level_s, rel=0.01)
        assert firing.total_open_s == pytest.approx(truth.total_open_s, abs=2e-4)
        assert firing.efficiency == pytest.approx(truth.efficiency, abs=0.05)
        assert not firing.flags


def test_the_effective_time_is_the_integral_over_the_plateau():
    samples, _ = simulate([exposure_lasting(1 / 60, opening_s=3e-3, closing_s=2e-3)], SoundInput(noise_rms=1e-4))
    (firing,) = listen(samples, 48_000.0)
    span = samples[firing.start_index : firing.stop_index].astype(float) - firing.base
    integral = trapezoid(span, dx=1 / 48_000) / firing.plateau
    assert firing.effective_s == pytest.approx(integral, rel=3e-4)


@pytest.mark.parametrize("corner", [1.0, 5.0, 20.0])
def test_a_coupled_input_is_undone(corner):
    shots = [exposure_lasting(t, opening_s=1e-3, closing_s=7e-4) for t in (1, 1 / 10, 1 / 125, 1 / 500)]
    firings, truths = measured(shots, SoundInput(noise_rms=FORTY_DB, coupling_hz=(corner,)), seed=2)
    for firing, truth in zip(firings, truths, strict=True):
        assert firing.effective_s == pytest.approx(truth.effective_s, rel=0.005)
        assert Flag.AC_DROOP in firing.flags
        assert firing.coupling_hz[0] == pytest.approx(corner, rel=0.3)


@pytest.mark.parametrize("rate", [22_050.0, 44_100.0, 96_000.0, 192_000.0])
def test_the_sample_rate_does_not_matter(rate):
    shots = [exposure_lasting(t) for t in (1 / 10, 1 / 250)]
    firings, truths = measured(shots, SoundInput(noise_rms=FORTY_DB, sample_rate_hz=rate), gap_s=0.3)
    for firing, truth in zip(firings, truths, strict=True):
        assert abs(firing.effective_s - truth.effective_s) < 4 * firing.u_effective_s


def test_polarity_and_offset_do_not_matter():
    shots = [exposure_lasting(1 / 30)]
    samples, _ = simulate(shots, SoundInput(noise_rms=FORTY_DB), seed=5)
    (upright,) = listen(samples, 48_000.0)
    (inverted,) = listen((0.2 - samples).astype(np.float32), 48_000.0)
    assert inverted.effective_s == pytest.approx(upright.effective_s, rel=1e-6)
    assert inverted.plateau < 0 < upright.plateau


@settings(max_examples=12, deadline=None)
@given(
    sizes=st.lists(st.integers(1, 30_000), min_size=1, max_size=4).filter(lambda s: sum(s) > 2_000),
    corner=st.sampled_from([(), (5.0,)]),
)
def test_any_cutting_into_blocks_gives_the_same_firings(sizes, corner):
    shots = [exposure_lasting(t) for t in (1 / 50, 1 / 250)]
    samples, _ = simulate(shots, SoundInput(noise_rms=FORTY_DB, coupling_hz=corner), gap_s=0.3)
    assert listen(samples, 48_000.0, sizes) == listen(samples, 48_000.0)


def test_silence_and_noise_hold_no_firing():
    noise = np.random.default_rng(1).normal(0, 0.05, 480_000).astype(np.float32)
    assert listen(noise, 48_000.0) == ()
    assert listen(np.zeros(480_000, np.float32), 48_000.0) == ()


def test_a_shutter_that_stays_open_is_said_to_never_close():
    shot = Exposure(opening_s=1e-3, fully_open_s=60.0, closing_s=1e-3)
    firings, _ = measured([shot], SoundInput(noise_rms=FORTY_DB, sample_rate_hz=8_000.0))
    assert Flag.NEVER_CLOSES in firings[0].flags
    assert firings[0].effective_s is None


def test_a_recording_that_ends_in_the_light_is_truncated():
    samples, _ = simulate([exposure_lasting(0.5)], SoundInput(noise_rms=FORTY_DB))
    (firing,) = listen(samples[:28_000], 48_000.0)
    assert Flag.TRUNCATED in firing.flags
    assert firing.effective_s is None


def test_an_overdriven_plateau_is_said_to_be_clipped():
    firings, _ = measured([exposure_lasting(1 / 30)], SoundInput(level=1.5, clip_level=1.0, noise_rms=FORTY_DB))
    assert Flag.CLIPPED in firings[0].flags
