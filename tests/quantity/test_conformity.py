"""Guarded verdicts: how often an accepted value is bad, by drawing, by SciPy's integral and by the guide's figures."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from asfound.quantity import Reading
from asfound.quantity.conformity import MOST_RISK, conformance_probability, conformity
from asfound.quantity.tolerance import TWO_SIGMA, Tolerance

HELD = Tolerance(unit="mm", source="focus budget", lower=-0.10, upper=0.10)


def taken(value, u, dof=None, **bounds):
    return Reading(value=value, unit="mm", standard_uncertainty=u, degrees_of_freedom=dof, **bounds)


@pytest.mark.parametrize(("probability", "z"), [(0.80, 0.84), (0.90, 1.28), (0.95, 1.64), (0.99, 2.33), (0.999, 3.09)])
def test_one_sided_conformance_is_the_guide_s_table(probability, z):
    # JCGM 106:2012, table 1, conformance probability by z = (limit - value)/u for one limit (memory); z to 0.005.
    upper = Tolerance(unit="mm", source="x", upper=1.0)
    near = [conformance_probability(taken(1.0 - at, 1.0), upper) for at in (z - 0.006, z + 0.006)]
    assert near[0] < probability < near[1]


def test_the_guide_s_breakdown_voltage_conforms_with_92_percent():
    # JCGM 106:2012, 7.3, example of a diode: -5.47 V, u 0.05 V, to be at most -5.40 V: Phi(1.40) = 0.92 (memory).
    found = conformance_probability(
        Reading(value=-5.47, unit="V", standard_uncertainty=0.05), Tolerance(unit="V", source="x", upper=-5.40)
    )
    assert found == pytest.approx(0.92, abs=0.005)


@pytest.mark.parametrize("dof", [None, 2.0, 5.0, 30.0])
def test_conformance_is_the_integral_of_what_the_value_may_be(dof):
    # SciPy's own density and quadrature are the check.
    law = stats.norm() if dof is None else stats.t(dof)
    for value, u in ((0.0, 0.03), (0.07, 0.03), (0.13, 0.05), (-0.2, 0.02)):
        by_integral, _ = integrate.quad(lambda x, v=value, s=u: law.pdf((x - v) / s) / s, -0.10, 0.10, points=[value])
        assert conformance_probability(taken(value, u, dof), HELD) == pytest.approx(by_integral, abs=1e-6)


def test_accepted_but_bad_is_as_rare_by_drawing_as_by_the_integral():
    # Nothing known beforehand: true values anywhere, far beyond the limits. Of what is accepted, the share that is
    # in truth outside is the mean of the risk over the accepted values (JCGM 106:2012, 9.2 to 9.5, memory).
    draw, u = np.random.default_rng(106), 0.03
    true = draw.uniform(-0.4, 0.4, 400_000)
    shown = true + draw.normal(0.0, u, true.size)
    edge = next(v for v in np.arange(0.1, 0.0, -1e-5) if conformity(taken(float(v), u), HELD).verdict == "within")
    assert edge == pytest.approx(0.10 - 2 * u, abs=2e-5)
    accepted = np.abs(shown) <= edge
    by_drawing = float(np.mean(np.abs(true[accepted]) > 0.10))
    risk, _ = integrate.quad(lambda v: conformity(taken(v, u), HELD).consumers_risk or 0.0, -edge, edge)
    by_integral = risk / (2 * edge)
    spread = np.sqrt(by_integral * (1 - by_integral) / accepted.sum())
    assert abs(by_drawing - by_integral) < 4 * spread
    assert by_integral > 10 * spread  # the drawing could have told


@pytest.mark.parametrize("dof", [None, 2.0, 4.0, 9.0])
def test_at_the_edge_of_acceptance_the_risk_is_one_in_44_however_few_the_tries(dof):
    # A guard band of once U leaves at most 2.3 % at one limit (JCGM 106:2012, 8.3.2, memory).
    u, upper = 0.01, Tolerance(unit="mm", source="x", upper=0.10)
    factor = stats.t.ppf((1 + TWO_SIGMA) / 2, dof) if dof else 2.0
    at = taken(0.10 - factor * u - 1e-9, u, dof)
    assert conformity(at, upper).verdict == "within"
    assert conformity(at, upper).consumers_risk == pytest.approx(MOST_RISK, abs=1e-5)
    assert conformity(taken(0.10 - factor * u + 1e-6, u, dof), upper).verdict == "cannot tell"


@given(st.floats(-0.3, 0.3), st.floats(0.001, 0.2), st.one_of(st.none(), st.floats(1, 50)))
def test_no_accepted_value_has_more_risk_than_both_limits_allow(value, u, dof):
    found = conformity(taken(value, u, dof), HELD)
    if found.verdict == "within":
        assert found.consumers_risk is not None
        assert found.consumers_risk <= 2 * MOST_RISK + 1e-9
    else:
        assert found.consumers_risk is None


def test_a_bracket_lies_evenly_between_its_leaves():
    assert conformance_probability(taken(0.09, 0.01, lower=0.05, upper=0.13), HELD) == pytest.approx(5 / 8)
    assert conformity(taken(0.05, 0.01, lower=0.0, upper=0.1), HELD).consumers_risk == 0


def test_without_an_uncertainty_nothing_is_said_of_the_chance():
    bare = conformity(taken(0.05, None), HELD)
    assert (bare.verdict, bare.guard, bare.consumers_risk) == ("within", None, None)
