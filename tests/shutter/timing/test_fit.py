"""The fitted model: its derivatives, and the bound that follows from them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.shutter import SoundInput, exposure_lasting
from asfound.shutter.simulated.bound import effective_time_bound_s
from asfound.shutter.timing.fit import ALL_SHAPES, Edges, bin_around, model


@given(
    pole=st.sampled_from([0.0, 1e-3, 6.0, 125.0]),
    shapes=st.sampled_from(ALL_SHAPES),
    opening=st.floats(3e-4, 4e-3),
    closing=st.floats(3e-4, 4e-3),
)
def test_the_models_derivatives_are_its_differences(pole, shapes, opening, closing):
    values = np.array([0.002, opening, 0.015, closing, pole])
    # Off the knots, where a step is no derivative.
    time = np.linspace(0, 0.03, 3000)
    at = [values[0], values[0] + opening, values[2] - closing, values[2]]
    time = time[np.min(np.abs(time[:, None] - np.array(at)), axis=1) > 3e-6]

    def light(v):
        edges = Edges(first_s=v[0], opening_s=v[1], last_s=v[2], closing_s=v[3])
        return model(time, edges, shapes, v[4])

    _, slopes = light(values)
    for i, step in enumerate([1e-7, 1e-7, 1e-7, 1e-7, 1e-3]):
        change = np.zeros(5)
        change[i] = step
        numeric = (light(values + change)[0] - light(values - change)[0]) / (2 * step)
        assert np.abs(numeric - slopes[i]).max() <= 2e-4 * (np.abs(slopes[i]).max() + 1e-9)


def test_bins_hold_every_sample_once():
    samples = np.random.default_rng(0).normal(size=50_000)
    edges = Edges(first_s=0.2, opening_s=1e-3, last_s=0.7, closing_s=3e-3)
    binned = bin_around(samples, sample_rate_hz=48_000.0, edges=edges)
    assert binned.count.sum() == samples.size
    assert binned.mean @ binned.count == pytest.approx(samples.sum())
    assert binned.count.size < 1500


@pytest.mark.parametrize("share", [0.3, 1.0])
def test_the_bound_of_far_apart_straight_edges_is_that_of_two_ramps(share):
    # One ramp of known shape: s_t = (s/A) sqrt(Tr dt) (calculated from the Fisher information); two of them
    # add in squares. The plateau is long, so that the levels cost nothing.
    edge = share * 1e-3
    line = SoundInput(noise_rms=0.005, sample_rate_hz=48_000.0)
    bound = effective_time_bound_s(
        exposure_lasting(0.3, opening_s=edge, closing_s=edge), line, lead_s=0.3, tail_s=0.3, pole_known=True
    )
    assert bound == pytest.approx(0.01 * np.sqrt(2 * edge / 48_000), rel=0.06)
