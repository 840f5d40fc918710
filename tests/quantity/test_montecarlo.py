"""Drawing at random against JCGM 101:2008's own examples (from memory, re-run) and closed forms."""

import numpy as np
import pytest

from asfound.problems import BadInputError
from asfound.quantity import FeelerAnswer, Reading, bracket, propagate
from asfound.quantity.montecarlo import Distribution, distribution_of, draw, linear_serves, monte_carlo


def total(**x):
    return sum(x.values())


def drawn(function, inputs, **options):
    return monte_carlo(function, inputs, random=np.random.default_rng(11), draws=1_000_000, **options)


def test_four_equal_rectangles():
    # JCGM 101:2008, 9.2.3: 95 % interval +-3.88, where first order gives +-3.92.
    inputs = {f"x{i}": Distribution("rectangular", 0.0, 3**0.5) for i in range(4)}
    found = drawn(total, inputs)
    assert found.standard_uncertainty == pytest.approx(2.0, abs=0.01)
    assert (found.low, found.high) == pytest.approx((-3.88, 3.88), abs=0.02)
    readings = {name: Reading(value=0.0, unit="1", standard_uncertainty=1.0) for name in inputs}
    linear = propagate(total, readings, unit="1").reading
    assert linear.standard_uncertainty == pytest.approx(2.0)


def test_one_wide_rectangle_among_narrow_ones_is_not_normal():
    # JCGM 101:2008, 9.2.4: 95 % interval +-17.0, where first order gives +-19.8.
    inputs = {f"x{i}": Distribution("rectangular", 0.0, 3**0.5) for i in range(3)}
    inputs["wide"] = Distribution("rectangular", 0.0, 10 * 3**0.5)
    found = drawn(total, inputs)
    assert (found.low, found.high) == pytest.approx((-17.0, 17.0), abs=0.05)
    readings = {f"x{i}": Reading(value=0.0, unit="1", standard_uncertainty=1.0) for i in range(3)}
    readings["wide"] = Reading(value=0.0, unit="1", standard_uncertainty=10.0)
    linear = propagate(total, readings, unit="1").reading
    assert not linear_serves(linear, found)


def test_squares_near_nought_need_drawing():
    # JCGM 101:2008, 9.4.2.2 (comparison loss): mean 150e-6, u 112e-6 for x1 = 0.010.
    inputs = {"a": Distribution("normal", 0.010, 0.005), "b": Distribution("normal", 0.0, 0.005)}
    found = drawn(lambda a, b: a * a + b * b, inputs)
    assert found.mean == pytest.approx(150e-6, rel=0.005)
    assert found.standard_uncertainty == pytest.approx(111.8e-6, rel=0.005)
    readings = {
        "a": Reading(value=0.010, unit="1", standard_uncertainty=0.005),
        "b": Reading(value=0.0, unit="1", standard_uncertainty=0.005),
    }
    assert not linear_serves(propagate(lambda a, b: a * a + b * b, readings, unit="1").reading, found)


def test_a_straight_function_of_normal_inputs_needs_no_drawing():
    inputs = {"a": Distribution("normal", 1.0, 0.1), "b": Distribution("normal", 2.0, 0.2)}
    readings = {
        "a": Reading(value=1.0, unit="1", standard_uncertainty=0.1),
        "b": Reading(value=2.0, unit="1", standard_uncertainty=0.2),
    }
    assert linear_serves(propagate(total, readings, unit="1").reading, drawn(total, inputs))


@pytest.mark.parametrize(
    ("kind", "factor"), [("normal", 1.0), ("rectangular", 3**-0.5), ("arcsine", 2**-0.5), ("student", 3**0.5)]
)
def test_each_distribution_has_its_textbook_deviation(kind, factor):
    # JCGM 101:2008, table 1 (from memory); t of 3 degrees has variance nu / (nu - 2).
    if kind == "student":
        kind_, freedom, within = "student", 3.0, 0.05
    else:
        kind_, freedom, within = kind, np.inf, 0.01
    values = draw(Distribution(kind_, 5.0, 2.0, freedom), np.random.default_rng(3), draws=400_000)
    assert values.mean() == pytest.approx(5.0, abs=0.03)
    assert values.std() == pytest.approx(2 * factor, rel=within)


def test_a_bracket_is_drawn_as_a_rectangle_and_few_repeats_as_student():
    gap, _ = bracket([FeelerAnswer((0.35,), "loose"), FeelerAnswer((0.40,), "no")])
    assert distribution_of(gap) == Distribution("rectangular", 0.375, pytest.approx(0.025))
    few = Reading(value=1.0, unit="mm", standard_uncertainty=0.1, degrees_of_freedom=4)
    assert distribution_of(few).kind == "student"
    assert distribution_of(Reading(value=1.0, unit="mm", standard_uncertainty=0.1)).kind == "normal"


def test_a_one_sided_reading_cannot_be_drawn():
    with pytest.raises(BadInputError, match="only a bound"):
        distribution_of(Reading(value=None, unit="mm", upper=0.3), name="gap")


def test_a_result_that_may_be_infinite_is_refused():
    with np.errstate(invalid="ignore"), pytest.raises(BadInputError, match="no value"):
        drawn(lambda a: np.sqrt(a), {"a": Distribution("normal", 0.0, 1.0)})


def test_the_same_seed_draws_the_same():
    inputs = {"a": Distribution("normal", 0.0, 1.0)}
    first, second = (monte_carlo(total, inputs, random=np.random.default_rng(1), draws=1000) for _ in range(2))
    assert first == second
