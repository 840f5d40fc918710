import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.quantity import FeelerAnswer, bracket


def tried(*tries: tuple[object, str], **options: float):
    answers = [FeelerAnswer(leaf if isinstance(leaf, tuple) else (leaf,), said) for leaf, said in tries]
    return bracket(answers, **options)


def reading(*tries, **options):
    result, problems = tried(*tries, **options)
    assert problems == ()
    return result


def test_go_and_no_go_is_a_rectangular_distribution():
    # JCGM 100:2008, 4.3.7 (read): half-width over the square root of three.
    found = reading((0.35, "loose"), (0.40, "no"))
    assert found.value == pytest.approx(0.375, abs=1e-12)
    assert found.standard_uncertainty == pytest.approx(0.01443, abs=5e-6)
    assert (found.lower, found.upper) == (0.35, 0.40)


def test_leaf_tolerance_widens_the_uncertainty_and_the_bounds():
    # Two independent leaves, each +-0.005 rectangular, in the mean of both: JCGM 100:2008, 4.3.7 and 5.1.2.
    found = reading((0.35, "loose"), (0.40, "no"), leaf_tolerance_mm=0.005)
    assert found.standard_uncertainty == pytest.approx(0.01458, abs=5e-6)
    assert (found.lower, found.upper) == pytest.approx((0.345, 0.405))


def test_inch_leaves_one_thou_apart_give_seven_micrometres():
    found = reading((0.014 * 25.4, "loose"), (0.015 * 25.4, "no"))
    assert found.standard_uncertainty == pytest.approx(0.0073, abs=5e-5)


def test_rectangular_uncertainty_agrees_with_drawing_at_random():
    draw = np.random.default_rng(1)
    low = 0.35 + draw.uniform(-0.005, 0.005, 400_000)
    high = 0.40 + draw.uniform(-0.005, 0.005, 400_000)
    gap = draw.uniform(low, high)
    found = reading((0.35, "loose"), (0.40, "no"), leaf_tolerance_mm=0.005)
    assert found.value == pytest.approx(gap.mean(), abs=1e-4)
    assert found.standard_uncertainty == pytest.approx(gap.std(), rel=0.02)


@pytest.mark.parametrize(("said", "bounds"), [("loose", (0.35, None)), ("no", (None, 0.35))])
def test_one_bound_alone_is_one_sided_and_never_a_plus_or_minus(said, bounds):
    found = reading((0.35, said))
    assert found.value is None
    assert found.standard_uncertainty is None
    assert (found.lower, found.upper) == bounds


def test_one_sided_bound_allows_for_each_stacked_leaf():
    found = reading(((0.30, 0.05), "loose"), leaf_tolerance_mm=0.005)
    assert found.lower == pytest.approx(0.34)


def test_drag_is_the_leaf_with_the_uncertainty_that_the_user_sets():
    found = reading((0.35, "drag"))
    assert (found.value, found.standard_uncertainty) == pytest.approx((0.35, 0.01))
    found = reading(((0.3, 0.05), "drag"), drag_uncertainty_mm=0.004, leaf_tolerance_mm=0.003 * math.sqrt(3))
    assert found.standard_uncertainty == pytest.approx(math.sqrt(0.004**2 + 2 * 0.003**2))


def test_far_bounds_do_not_move_a_drag():
    found = reading((0.30, "loose"), (0.35, "drag"), (0.40, "no"))
    assert (found.value, found.standard_uncertainty) == pytest.approx((0.35, 0.01))


def test_a_near_bound_cuts_a_drag():
    found = reading((0.35, "drag"), (0.35, "loose"))
    assert found.value > 0.35
    assert found.standard_uncertainty < 0.01


@pytest.mark.parametrize(
    "tries",
    [
        [(0.40, "loose"), (0.35, "no")],
        [(0.35, "loose"), (0.35, "no")],
        [(0.35, "drag"), (0.30, "no")],
        [(0.35, "drag"), (0.45, "drag")],
        [(0.35, "drag"), (0.40, "loose")],
    ],
)
def test_contradictory_tries_are_said_with_both_leaves(tries):
    found, (problem,) = tried(*tries)
    assert found is None
    assert all(f"{leaf:g} mm" in problem.what for leaf, _ in tries)


def test_stacks_of_one_size_differ_within_their_tolerance():
    tries = [((0.20, 0.15), "loose"), (0.35, "no")]
    assert tried(*tries)[0] is None
    found = reading(*tries, leaf_tolerance_mm=0.005)
    assert found.value == pytest.approx(0.35)
    assert found.standard_uncertainty == pytest.approx(0.005 / math.sqrt(3) * math.sqrt(3) / 2)


def test_the_same_leaf_loose_and_refused_is_a_contradiction_whatever_its_tolerance():
    found, problems = tried((0.35, "loose"), (0.35, "no"), leaf_tolerance_mm=0.01)
    assert found is None
    assert problems


@pytest.mark.parametrize("tries", [[], [(0.0, "loose")], [(-0.1, "no")], [((), "drag")], [(math.nan, "no")]])
def test_tries_that_say_nothing_are_refused(tries):
    found, problems = tried(*tries)
    assert found is None
    assert problems


def test_negative_uncertainty_is_refused():
    assert tried((0.35, "drag"), drag_uncertainty_mm=-0.01)[1]
    assert tried((0.35, "drag"), leaf_tolerance_mm=math.inf)[1]


@given(
    gap=st.floats(0.05, 1.5),
    leaves=st.lists(st.floats(0.03, 2), min_size=1, max_size=8),
    order=st.randoms(use_true_random=False),
)
def test_every_true_gap_lies_in_its_bracket_and_order_does_not_matter(gap, leaves, order):
    tries = [(leaf, "loose" if leaf <= gap else "no") for leaf in leaves]
    found = reading(*tries)
    assert found.lower is None or found.lower <= gap
    assert found.upper is None or gap <= found.upper
    assert (found.value is None) == (found.lower is None or found.upper is None)
    order.shuffle(tries)
    assert reading(*tries) == found


@given(gap=st.floats(0.1, 1), leaf=st.floats(0.05, 1.2), more=st.floats(0.05, 1.2))
def test_a_further_try_never_widens_the_bracket(gap, leaf, more):
    both_sides = [(0.01, "loose"), (2.0, "no"), (leaf, "loose" if leaf <= gap else "no")]
    fewer = reading(*both_sides)
    further = reading(*both_sides, (more, "loose" if more <= gap else "no"))
    assert further.standard_uncertainty <= fewer.standard_uncertainty + 1e-15
