"""The interval between two clicks, against made-up sound with a known one."""

import numpy as np
import pytest

from asfound.shutter import Block, Flag
from asfound.shutter.simulated.sound import simulate_clicks
from asfound.shutter.timing.clicks import SoundListener, pick_onset

RATE = 48_000.0
# Odd fractions, so that clicks fall between samples.
INTERVALS = [1.00311, 1.00713, 0.50237, 0.50119, 0.20057, 0.20133, 0.10071, 0.06703, 0.03341, 0.03359]


def listened(samples, sizes=(65_536,), **how):
    listener = SoundListener(sample_rate_hz=RATE, **how)
    found, at, turn = [], 0, 0
    while at < samples.size:
        size = sizes[turn % len(sizes)]
        found += listener.feed(Block(samples[at : at + size], RATE, at))
        at, turn = at + size, turn + 1
    found += listener.close()
    return tuple(found), listener.matched()


@pytest.mark.parametrize("noise_db", [14.0, 20.0, 40.0])
def test_the_interval_is_right_within_one_per_cent_through_whirr_and_noise(noise_db):
    samples, starts = simulate_clicks(INTERVALS, sample_rate_hz=RATE, noise_db=noise_db, seed=3)
    for found in listened(samples):
        assert [f.open_s for f in found] == pytest.approx(INTERVALS, rel=0.01)
        assert [f.start_s for f in found] == pytest.approx(list(starts), abs=1e-3)


def test_matching_clicks_is_no_worse_than_picking_them_one_by_one():
    picked, matched = [], []
    for seed in range(4):
        samples, _ = simulate_clicks(INTERVALS, sample_rate_hz=RATE, noise_db=14.0, seed=seed)
        found, again = listened(samples)
        picked += [f.open_s - t for f, t in zip(found, INTERVALS, strict=True)]
        matched += [f.open_s - t for f, t in zip(again, INTERVALS, strict=True)]
    assert np.std(matched) < np.std(picked)
    assert np.std(matched) < 5e-5


def test_without_a_stored_offset_the_uncertainty_is_that_of_clicks_against_light():
    samples, _ = simulate_clicks([0.1], sample_rate_hz=RATE)
    ((bare,), _) = listened(samples)
    assert Flag.CLICKS_ARE_NOT_LIGHT in bare.flags
    assert 1e-3 < bare.u_open_s < 3e-3
    assert bare.effective_s is None
    ((known,), _) = listened(samples, offset_s=0.0012, u_offset_s=0.0002)
    assert known.open_s == pytest.approx(bare.open_s + 0.0012)
    assert known.u_open_s < 5e-4
    assert not known.flags


def test_any_cutting_into_blocks_gives_the_same_firings():
    samples, _ = simulate_clicks(INTERVALS[4:7], sample_rate_hz=RATE)
    assert listened(samples, (977, 12_345)) == listened(samples)


def test_a_silent_room_holds_no_firing():
    noise = np.random.default_rng(1).normal(0, 0.01, 240_000).astype(np.float32)
    assert listened(noise) == ((), ())


def test_the_onset_is_where_the_variance_changes():
    random = np.random.default_rng(0)
    steps = [pick_onset(np.r_[random.normal(0, 1, 300), random.normal(0, 10, 200)]) for _ in range(20)]
    assert np.median(steps) == pytest.approx(300, abs=2)
