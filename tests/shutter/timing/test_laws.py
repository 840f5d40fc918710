"""Laws that a time keeps whatever is done to its recording."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.signal import resample_poly

from asfound.shutter import Block, LightListener, SoundInput, exposure_lasting, simulate

RATE = 48_000.0
times = st.sampled_from([1 / 4, 1 / 30, 1 / 125, 1 / 400])
edges = st.floats(4e-4, 2e-3)
corners = st.sampled_from([(), (1.0,), (5.0,), (20.0,)])
law = settings(max_examples=6, deadline=None)


def recording(time, edge, corner, noise_db=40.0, seed=1):
    shot = exposure_lasting(time, opening_s=edge, closing_s=edge)
    line = SoundInput(noise_rms=0.5 * 10 ** (-noise_db / 20), coupling_hz=corner)
    samples, _ = simulate([shot], line, lead_s=0.25, tail_s=0.3, seed=seed)
    return samples


def only(samples, rate=RATE):
    listener = LightListener(sample_rate_hz=rate)
    (firing,) = (*listener.feed(Block(samples.astype(np.float32), rate, 0)), *listener.close())
    return firing


def alike(one, other):
    """Say whether two effective times agree within their uncertainty."""
    return abs(one.effective_s - other.effective_s) <= 2 * np.hypot(one.u_random_s, other.u_random_s)


@law
@given(times, edges, corners, st.floats(0.05, 1.9), st.sampled_from([1, -1]), st.floats(-0.05, 0.05))
def test_scale_polarity_and_offset_leave_the_time_alone(time, edge, corner, gain, sign, offset):
    samples = recording(time, edge, corner)
    one, other = only(samples), only(sign * gain * samples + offset)
    assert alike(one, other)
    assert other.plateau == pytest.approx(sign * gain * one.plateau, rel=0.02)


@law
@given(times, edges, corners, st.integers(0, 5_000))
def test_a_later_beginning_only_moves_the_start(time, edge, corner, late):
    samples = recording(time, edge, corner)
    quiet = np.random.default_rng(9).normal(0, 0.005, late).astype(np.float32)
    one, other = only(samples), only(np.concatenate([quiet, samples]))
    assert alike(one, other)
    assert other.start_s - one.start_s == pytest.approx(late / RATE, abs=1e-4)


@law
@given(times, edges, corners, st.sampled_from([(2, 1), (147, 160), (1, 2)]))
def test_resampling_leaves_the_time_alone(time, edge, corner, ratio):
    up, down = ratio
    samples = recording(time, edge, corner, noise_db=50.0)
    one, other = only(samples), only(resample_poly(samples.astype(float), up, down), RATE * up / down)
    # A resampled recording has coloured noise, so the full uncertainty is asked for.
    assert abs(one.effective_s - other.effective_s) <= 2 * np.hypot(one.u_effective_s, other.u_effective_s)


@law
@given(times, edges, st.floats(0.2, 5.0))
def test_time_scales_with_the_sample_rate(time, edge, factor):
    samples = recording(time, edge, ())
    rate = RATE * factor
    if not 20_000 < rate < 200_000:
        return
    one, other = only(samples), only(samples, rate)
    assert other.effective_s == pytest.approx(one.effective_s / factor, rel=0.005)


@law
@given(times, edges, st.floats(1.05, 3.0))
def test_a_longer_firing_reads_longer(time, edge, factor):
    assert only(recording(time * factor, edge, ())).effective_s > only(recording(time, edge, ())).effective_s


def test_a_provisional_time_is_there_soon_after_the_light_and_near_the_final_one():
    samples = recording(1 / 30, 1e-3, (5.0,))
    listener = LightListener(sample_rate_hz=RATE)
    ends = 0.25 + 1 / 30 + 1e-3
    seen, final = None, None
    for at in range(0, samples.size, 2048):
        done = listener.feed(Block(samples[at : at + 2048], RATE, at))
        now = (at + 2048) / RATE
        if done:
            final = (now, done[0])
            break
        firing = listener.provisional()
        seen = seen or (firing and (now, firing))
    assert seen[0] - ends < 0.1
    assert final[0] - seen[0] < 0.5
    assert seen[1].effective_s == pytest.approx(final[1].effective_s, rel=0.01)
