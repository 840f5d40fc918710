from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.focus.budget import focus_budget
from asfound.focus.datum import choose_leaves, datum_correction
from asfound.problems import BadInputError
from asfound.quantity import Reading

BUDGET = focus_budget(f_number=3.5, circle_mm=0.05)
DRAWER = [round(0.05 * i, 2) for i in range(1, 21)]  # a metric set of twenty leaves, from memory


def height(value: float | None, u: float | None = 0.01) -> Reading:
    return Reading(value=value, unit="mm", standard_uncertainty=u)


def test_a_tenth_on_a_lead_of_three_is_twelve_degrees() -> None:
    # Axial travel = lead x angle / 360: a thread's definition.
    found = datum_correction(height_error=height(0.1), lead_mm=3.0, budget=BUDGET)
    assert found.turn.value == pytest.approx(12)
    assert found.turn.standard_uncertainty == pytest.approx(1.2)
    assert found.turns == pytest.approx(1 / 30)
    assert found.shim.value == pytest.approx(-0.1)
    assert found.share == pytest.approx(0.1 / 0.175)
    assert found.verdict == "within"


def test_the_image_of_infinity_moves_one_to_one_with_the_lens(trace) -> None:
    before, after = trace([(0, 75)], float("inf")), trace([(-0.1, 75)], float("inf"))
    shift = datum_correction(height_error=height(0.1)).image_shift_mm
    assert before - after == pytest.approx(shift)


def test_a_lens_too_near_the_film_is_packed_up_from_the_drawer() -> None:
    found = datum_correction(height_error=height(-0.37), budget=BUDGET, drawer_mm=[0.1, 0.1, 0.15, 0.2, 0.3])
    assert found.stacks[0].leaves_mm == (0.3,)
    assert found.stacks[-1].left_mm == pytest.approx(0.02, abs=1e-9)
    assert found.stacks[-1].share == pytest.approx(0.02 / 0.175)


def test_a_lens_too_far_out_needs_no_leaves() -> None:
    assert datum_correction(height_error=height(0.37), drawer_mm=DRAWER).stacks == ()


def test_without_a_lead_nothing_is_turned() -> None:
    found = datum_correction(height_error=height(0.1))
    assert (found.turn, found.turns, found.verdict) == (None, None, None)


@given(
    st.lists(st.integers(10, 400), min_size=1, max_size=8),
    st.integers(10, 900),
)
def test_no_other_stack_of_as_many_leaves_comes_nearer(leaves, wanted) -> None:
    drawer = [leaf / 1000 for leaf in leaves]
    found = choose_leaves(wanted_mm=wanted / 1000, drawer_mm=drawer)
    every = [c for n in range(1, 5) for c in combinations(leaves, min(n, len(leaves)))]
    nearest = min(abs(wanted - sum(c)) for c in every)
    assert min(abs(stack.left_mm) for stack in found) * 1000 == pytest.approx(nearest, abs=1e-6)
    for stack in found:
        assert sum(stack.leaves_mm) == pytest.approx(stack.total_mm)
        assert stack.total_mm + stack.left_mm == pytest.approx(wanted / 1000)


def test_a_leaf_is_used_as_often_as_it_is_there() -> None:
    assert choose_leaves(wanted_mm=0.2, drawer_mm=[0.1])[-1].leaves_mm == (0.1,)
    assert choose_leaves(wanted_mm=0.2, drawer_mm=[0.1, 0.1])[-1].leaves_mm == (0.1, 0.1)


def test_the_turn_is_as_uncertain_as_stated() -> None:
    rng = np.random.default_rng(1)
    drawn = [
        datum_correction(height_error=height(value), lead_mm=12).turn.value for value in rng.normal(0.1, 0.01, 4000)
    ]
    stated = datum_correction(height_error=height(0.1), lead_mm=12).turn
    assert stated.standard_uncertainty == pytest.approx(np.std(drawn), rel=0.04)


def test_a_lead_of_zero_is_refused() -> None:
    with pytest.raises(BadInputError, match="lead"):
        datum_correction(height_error=height(0.1), lead_mm=0)


def test_a_one_sided_height_is_refused_with_what_to_do() -> None:
    with pytest.raises(BadInputError, match="try the next leaf"):
        datum_correction(height_error=height(None))


def test_a_leaf_of_no_thickness_is_refused() -> None:
    with pytest.raises(BadInputError, match="leaf"):
        choose_leaves(wanted_mm=0.2, drawer_mm=[0.1, 0.0])
