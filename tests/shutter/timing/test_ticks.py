"""A sound input's clock against a known tick: recordings with a known rate, and SciPy's regression."""

import numpy as np
import pytest
from scipy import stats

from asfound.problems import BadInputError
from asfound.shutter.timing.ticks import clock_rate

RATE_HZ = 48_000.0


def recording(*, ppm, seconds=60, pip_hz=1000.0, noise=0.01, missing=(), seed=1, jitter_s=0.0):
    """Write a tick each second as a clock that is fast by `ppm` hears it: more samples to the second."""
    draw = np.random.default_rng(seed)
    count = int(seconds * RATE_HZ)
    true_s = np.arange(count) / (RATE_HZ * (1 + ppm * 1e-6))
    sound = draw.normal(0, noise, count)
    for n in range(seconds):
        if n in missing:
            continue
        at = n + 0.3 + draw.normal(0, jitter_s)
        near = slice(int((at - 0.01) * RATE_HZ), int((at + 0.06) * RATE_HZ))
        since = true_s[near] - at
        sound[near] += np.where(
            since > 0, np.exp(-np.maximum(since, 0) / 0.008) * np.sin(2 * np.pi * pip_hz * since), 0
        )
    return sound.astype(np.float32)


@pytest.mark.parametrize("ppm", [-80.0, 0.0, 35.0, 250.0])
def test_the_rate_that_was_put_in_is_found_within_its_uncertainty(ppm):
    found = clock_rate(recording(ppm=ppm), sample_rate_hz=RATE_HZ, period_s=1.0)
    assert found.ticks == 60
    assert found.rate.standard_uncertainty < 1.0
    assert abs(found.rate.value - ppm) < 4 * found.rate.standard_uncertainty


def test_its_uncertainty_is_what_repeats_scatter_by():
    rates = [
        clock_rate(recording(ppm=20, seconds=20, noise=0.05, seed=s), sample_rate_hz=RATE_HZ, period_s=1.0).rate
        for s in range(30)
    ]
    scatter = np.std([rate.value for rate in rates], ddof=1)
    said = np.mean([rate.standard_uncertainty for rate in rates])
    # chi-square with 29 degrees of freedom, 99.9 %: between 0.68 and 1.41 of the true value (SciPy).
    low, high = np.sqrt(stats.chi2.ppf([0.0005, 0.9995], 29) / 29)
    assert low * said < scatter < high * said


def test_slope_and_its_error_are_those_of_scipy_s_regression():
    jitter, seconds = 2e-5, 40
    found = clock_rate(
        recording(ppm=50, seconds=seconds, noise=1e-5, jitter_s=jitter), sample_rate_hz=RATE_HZ, period_s=1.0
    )
    draw = np.random.default_rng(1)
    draw.normal(0, 1e-5, int(seconds * RATE_HZ))
    true = np.array([(n + 0.3 + draw.normal(0, jitter)) * (1 + 50e-6) for n in range(seconds)])
    line = stats.linregress(np.arange(seconds), true)
    assert found.rate.value == pytest.approx((line.slope - 1) * 1e6, abs=0.05)
    assert found.rate.standard_uncertainty == pytest.approx(line.stderr * 1e6, rel=0.05)


def test_a_minute_without_its_last_seconds_is_counted_right():
    # Time signals leave seconds out to mark the minute.
    found = clock_rate(recording(ppm=35, missing=(28, 29, 58)), sample_rate_hz=RATE_HZ, period_s=1.0)
    assert (found.ticks, found.missed) == (57, 3)
    assert abs(found.rate.value - 35) < 4 * found.rate.standard_uncertainty


def test_the_source_s_own_doubt_is_carried():
    found = clock_rate(recording(ppm=0), sample_rate_hz=RATE_HZ, period_s=1.0, u_period_ppm=20.0)
    assert found.rate.standard_uncertainty == pytest.approx(20.0, rel=0.01)


@pytest.mark.parametrize("samples", [np.zeros(48_000), np.zeros(0), recording(ppm=0, seconds=5)])
def test_too_few_ticks_are_refused(samples):
    with pytest.raises(BadInputError, match="ticks are heard"):
        clock_rate(samples, sample_rate_hz=RATE_HZ, period_s=1.0)
