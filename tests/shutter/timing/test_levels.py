"""State levels and crossings against a general toolbox's published example."""

import numpy as np
import pytest

from asfound.shutter import crossings, state_levels


def test_histogram_levels_of_a_two_state_wave():
    # IEEE 181-2003 histogram method (as described in a general toolbox, read); expected values calculated:
    # 100 bins from 0 to 1, so that each level is biased by half a bin.
    wave = np.concatenate(
        [np.zeros(400), np.arange(1, 20) / 20, np.ones(300), np.arange(39, 0, -1) / 40, np.zeros(241)]
    )
    low, high = state_levels(wave)
    assert (low, high) == pytest.approx((0.005, 0.995))
    rising, falling = crossings(wave, (low + high) / 2)
    # Counted from 0, the rise begins after sample 399 and the fall after sample 718.
    assert rising == pytest.approx([409.0], abs=1e-9)
    assert falling == pytest.approx([738.0], abs=1e-9)
    assert wave.sum() == pytest.approx(329.0)
