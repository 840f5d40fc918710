"""The first firing after rest."""

import pytest

from asfound.shutter import Firing
from asfound.shutter.speeds.rested import compare_rested, set_rested_apart, struck_without_rested


def shot(time):
    return Firing(start_s=0, effective_s=time, u_effective_s=1e-6)


def test_the_first_of_each_speed_is_set_apart():
    firings = [shot(t) for t in (1.4, 1.0, 1.01, 0.7, 0.5, 0.51)]
    rested, exercised = set_rested_apart(firings, shots=2)
    assert [f.effective_s for f in rested] == [1.4, 0.7]
    assert [f.effective_s for f in exercised] == [1.0, 1.01, 0.5, 0.51]


def test_a_shot_beyond_the_scatter_differs():
    # n = 3: t is 4.30 at 95 % (GUM Table G.2, read), so a further shot lies within 4.97 s of the mean.
    others = [shot(t) for t in (0.99, 1.0, 1.01)]
    assert compare_rested(shot(1.06), others).differs is True
    assert compare_rested(shot(1.04), others).differs is False
    assert compare_rested(shot(2.0), others).slower_stops == pytest.approx(1.0)


def test_one_exercised_shot_cannot_tell():
    assert compare_rested(shot(1.1), [shot(1.0)]).differs is None


def test_struck_shots_keep_their_place_once_the_rested_ones_are_set_apart():
    firings = list(range(1, 9))
    _, exercised = set_rested_apart(firings, shots=3)
    for place in firings:
        found = struck_without_rested({place}, shots=3)
        assert [exercised[n - 1] for n in found] == ([place] if place in exercised else [])
