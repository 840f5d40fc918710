"""The simulator against leaf-shutter geometry and a numerical high pass of its own."""

import numpy as np
import pytest
from scipy.integrate import trapezoid
from scipy.signal import lsim

from asfound.shutter import Exposure, SoundInput, exposure_lasting, simulate

# Effective time and efficiency of a shutter whose open area grows evenly: t_eff = b + (a + c)/2
# (calculated from the definition in ISO 516:2019, as read in an encyclopaedia's article on exposure time).
LINEAR_AREA = [
    ((1, 1, 1), 2, 0.666667),
    ((1.5, 0.5, 1.5), 2, 0.571429),
    ((0.5, 2, 1), 2.75, 0.785714),
    ((2, 4, 3), 6.5, 0.722222),
    ((1, 0, 1), 1, 0.5),
    ((1, 8, 1), 9, 0.9),
]


@pytest.mark.parametrize(("times", "effective", "efficiency"), LINEAR_AREA)
def test_an_evenly_growing_area_gives_the_trapezium(times, effective, efficiency):
    a, b, c = times
    shot = Exposure(opening_s=a, fully_open_s=b, closing_s=c)
    assert shot.effective_s == pytest.approx(effective)
    assert shot.effective_s / shot.total_open_s == pytest.approx(efficiency, abs=5e-7)


def test_half_level_width_is_not_the_effective_time_when_the_diameter_grows_evenly():
    shot = Exposure(opening_s=1, fully_open_s=1, closing_s=1, opening_shape="diameter", closing_shape="diameter")
    assert shot.effective_s == pytest.approx(1.66667, abs=5e-6)
    assert shot.half_level_s == pytest.approx(1.58579, abs=5e-6)


@pytest.mark.parametrize("opening", ["area", "diameter"])
@pytest.mark.parametrize("closing", ["area", "diameter"])
def test_the_truth_is_the_integral_of_the_samples(opening, closing):
    shot = exposure_lasting(0.01, opening_s=3e-3, closing_s=2e-3, opening_shape=opening, closing_shape=closing)
    line = SoundInput(level=-0.4, offset=0.05)
    samples, (truth,) = simulate([shot], line)
    area = trapezoid(samples.astype(float) - line.offset, dx=1 / line.sample_rate_hz) / line.level
    assert area == pytest.approx(truth.effective_s, abs=2e-7)
    assert truth.effective_s == pytest.approx(0.01)


# Exact droop 1 - exp(-T/tau) of a high pass (calculated from the definition).
@pytest.mark.parametrize(("share", "droop"), [(0.01, 0.995), (0.05, 4.877), (0.1, 9.516), (0.5, 39.347), (1.0, 63.212)])
def test_a_coupled_plateau_droops_exponentially(share, droop):
    corner = 5.0
    length = share / (2 * np.pi * corner)
    shot = Exposure(opening_s=1e-7, fully_open_s=length, closing_s=1e-7)
    rate = 100 / length
    line = SoundInput(level=1.0, coupling_hz=(corner,), sample_rate_hz=rate)
    samples, (truth,) = simulate([shot], line, lead_s=0.5 * length, tail_s=length)
    end = int((truth.start_s + length) * rate)
    assert 100 * (1 - samples[end]) == pytest.approx(droop, rel=0.012)


@pytest.mark.parametrize("corners", [(5.0,), (20.0,), (3.0, 11.0), (7.0, 7.0)])
def test_coupling_agrees_with_a_general_linear_simulation(corners):
    shot = exposure_lasting(0.03, opening_s=4e-3, closing_s=2e-3, closing_shape="diameter")
    rate = 200_000.0
    bare, _ = simulate([shot], SoundInput(sample_rate_hz=rate), lead_s=0.02, tail_s=0.05)
    coupled, _ = simulate([shot], SoundInput(sample_rate_hz=rate, coupling_hz=corners), lead_s=0.02, tail_s=0.05)
    poles = [2 * np.pi * f for f in corners]
    system = ([1.0] + [0.0] * len(poles), np.poly([-p for p in poles]))
    _, expected, _ = lsim(system, bare.astype(float), np.arange(bare.size) / rate)
    assert np.abs(coupled - expected).max() < 2e-5


def test_noise_and_clipping_are_as_ordered():
    line = SoundInput(noise_rms=0.01, clip_level=0.3)
    samples, _ = simulate([exposure_lasting(0.1)], line, seed=3)
    assert samples.max() == pytest.approx(0.3)
    assert samples[:10_000].std() == pytest.approx(0.01, rel=0.03)


def test_edges_longer_than_the_time_are_refused():
    with pytest.raises(ValueError, match="do not fit"):
        exposure_lasting(1e-3, opening_s=2e-3, closing_s=2e-3)
