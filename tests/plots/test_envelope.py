import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from asfound.plots import envelope


@given(
    hnp.arrays(np.float64, st.integers(1, 500), elements=st.floats(-1, 1)),
    st.integers(1, 60),
)
def test_no_sample_is_lost_from_the_picture(samples, columns):
    lines = envelope(samples, sample_rate_hz=48000.0, columns=columns)
    assert len(lines.times_s) == min(columns, len(samples))
    assert lines.highest.max() == samples.max()
    assert lines.lowest.min() == samples.min()
    assert (lines.lowest <= lines.highest).all()
    assert (np.diff(lines.times_s) > 0).all()


def test_few_samples_are_drawn_as_they_are():
    lines = envelope(np.array([0.0, 1.0, 0.5]), sample_rate_hz=2.0, start_s=10.0)
    assert lines.times_s.tolist() == [10.0, 10.5, 11.0]
    assert lines.lowest.tolist() == lines.highest.tolist() == [0.0, 1.0, 0.5]
