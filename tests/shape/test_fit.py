import math

import GTC
import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.problems import BadInputError
from asfound.quantity import Reading
from asfound.shape import fit_of


def size(value, u=0.005, freedom=None):
    return Reading(value=value, unit="mm", standard_uncertainty=u, degrees_of_freedom=freedom)


def test_play_and_rattle_agree_with_the_metrology_library():
    found = fit_of(outer=[size(2.05, 0.004, 5)], inner=[size(1.98, 0.006, 3)], radius_mm=15)
    play = GTC.ureal(2.05, 0.004, 5) - GTC.ureal(1.98, 0.006, 3)
    angle = 2 * GTC.asin(play / 30) * (180 / math.pi)
    assert found.play.value == pytest.approx(0.07)
    assert found.play.standard_uncertainty == pytest.approx(play.u)
    assert found.play.degrees_of_freedom == pytest.approx(play.df)
    assert found.rattle.value == pytest.approx(angle.x)
    assert found.rattle.standard_uncertainty == pytest.approx(angle.u, rel=1e-6)


def test_a_small_rattle_is_play_over_radius():
    found = fit_of(outer=[size(2.1)], inner=[size(2.0)], radius_mm=20)
    assert found.rattle.value == pytest.approx(math.degrees(0.1 / 20), rel=1e-5)


@pytest.mark.parametrize(("pin", "verdict"), [(1.95, "within"), (2.00, "cannot tell"), (2.05, "outside")])
def test_free_binding_or_not_to_be_told(pin, verdict):
    assert fit_of(outer=[size(2.0)], inner=[size(pin)]).free == verdict


def test_the_thickest_shim_that_leaves_enough():
    found = fit_of(outer=[size(2.05)], inner=[size(1.98)], keep_mm=0.02, leaves_mm=[0.02, 0.03, 0.06])
    assert found.take_up.wanted_mm == pytest.approx(0.05)
    assert found.take_up.shim_mm == pytest.approx(0.05)
    assert found.take_up.remains.value == pytest.approx(0.02)


def test_no_shim_thin_enough_leaves_all_the_play():
    found = fit_of(outer=[size(2.05)], inner=[size(1.98)], leaves_mm=[0.1])
    assert found.take_up.shim_mm is None
    assert found.take_up.remains.value == pytest.approx(0.07)


def test_without_shims_a_dimple_takes_it_up():
    found = fit_of(outer=[size(2.05)], inner=[size(1.98)], keep_mm=0.02)
    assert found.take_up.remains.value == pytest.approx(0.02)


def test_a_binding_pair_has_nothing_to_take_up():
    assert fit_of(outer=[size(2.0)], inner=[size(2.1)]).take_up.wanted_mm == 0


def test_a_rotating_pair_has_its_least_clearance_where_it_is_worst():
    found = fit_of(outer=[size(20.10), size(20.06)], inner=[size(20.00), size(20.04)])
    assert found.play.value == pytest.approx(0.06)
    assert found.least_mm == pytest.approx(0.02)
    assert found.take_up.wanted_mm == pytest.approx(0.02)
    assert fit_of(outer=[size(20.1)], inner=[size(20.0)]).least_mm is None


@given(
    hole=st.floats(1, 50),
    play=st.floats(0.001, 0.5),
    keep=st.floats(0, 0.1),
    leaves=st.lists(st.floats(0.005, 0.5), max_size=4),
)
def test_a_shim_never_takes_more_than_there_is(hole, play, keep, leaves):
    found = fit_of(outer=[size(hole + play)], inner=[size(hole)], keep_mm=keep, leaves_mm=leaves)
    assert (found.take_up.shim_mm or 0.0) <= max(0.0, play - keep) + 1e-9


@pytest.mark.parametrize(
    ("outer", "inner", "radius"),
    [
        ([], [size(1)], None),
        ([size(1)], [], None),
        ([size(0)], [size(1)], None),
        ([Reading(value=None, unit="mm", lower=1.0)], [size(1)], None),
        ([size(2)], [size(1)], 0.1),
    ],
)
def test_sizes_that_make_no_fit_are_refused(outer, inner, radius):
    with pytest.raises(BadInputError):
        fit_of(outer=outer, inner=inner, radius_mm=radius)
