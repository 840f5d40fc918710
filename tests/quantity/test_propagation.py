"""Propagation against the Guide's own examples and against a metrology library (GTC)."""

import itertools
import math

import GTC
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asfound.problems import BadInputError
from asfound.quantity import Reading, correlation, propagate, student_factor


def known(value, u, freedom=None):
    return Reading(value=value, unit="1", standard_uncertainty=u, degrees_of_freedom=freedom)


def test_gauge_block_of_the_guide():
    # JCGM 100:2008, H.1 (inputs read): l = 50 000 838 nm, u_c = 32 nm, nu_eff 16, U99 = 93 nm.
    root3 = math.sqrt(3)
    inputs = {
        "standard": known(50_000_623, 25, 18),
        "repeats": known(215, 5.8, 24),
        "random": known(0, 3.9, 5),
        "systematic": known(0, 6.7, 8),
        "expansion": known(11.5e-6, 2e-6 / root3),
        "difference": known(0, 1e-6 / root3, 50),
        "offset": known(0, 0.05 / root3, 2),
        "mean_temperature": known(-0.1, 0.2),
        "cycle": known(0, 0.5 / math.sqrt(2)),
    }

    def length(standard, repeats, random, systematic, expansion, difference, offset, mean_temperature, cycle):
        theta = mean_temperature + cycle
        return standard + repeats + random + systematic - standard * (difference * theta + expansion * offset)

    found = propagate(length, inputs, unit="1").reading
    assert round(found.value) == 50_000_838
    # Document: 32; 31.66 unrounded.
    assert found.standard_uncertainty == pytest.approx(31.66, abs=0.01)
    assert found.degrees_of_freedom == pytest.approx(16.75, abs=0.01)
    factor = student_factor(math.floor(found.degrees_of_freedom), coverage=0.99)
    assert factor == pytest.approx(2.92, abs=0.005)
    assert factor * 32 == pytest.approx(93, abs=0.5)


def ensemble():
    """JCGM 100:2008, H.2, table H.2 (from memory, consistent): volts, amperes, radians."""
    columns = {
        "v": [5.007, 4.994, 5.005, 4.990, 4.999],
        "i": [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3],
        "phi": [1.0456, 1.0438, 1.0468, 1.0428, 1.0433],
    }
    inputs = {k: known(np.mean(x), np.std(x, ddof=1) / math.sqrt(5), 4) for k, x in columns.items()}
    pairs = itertools.combinations(columns, 2)
    return columns, inputs, {(a, b): float(np.corrcoef(columns[a], columns[b])[0, 1]) for a, b in pairs}


RESULTS = {
    "resistance": lambda v, i, phi: v / i * math.cos(phi),
    "reactance": lambda v, i, phi: v / i * math.sin(phi),
    "impedance": lambda v, i, phi: v / i,
}


def test_correlated_impedance_of_the_guide():
    # JCGM 100:2008, H.2, table H.4: R 127.732(71), X 219.847(295), Z 254.260(236) ohm.
    _, inputs, correlations = ensemble()
    found = {k: propagate(f, inputs, unit="1", correlations=correlations) for k, f in RESULTS.items()}
    expected = {
        "resistance": (127.732, 0.071),
        "reactance": (219.847, 0.295),
        "impedance": (254.260, 0.236),
    }
    for name, (value, u) in expected.items():
        assert found[name].reading.value == pytest.approx(value, abs=6e-4)
        assert found[name].reading.standard_uncertainty == pytest.approx(u, abs=6e-4)
        assert found[name].reading.degrees_of_freedom == pytest.approx(4)
    for pair, r in {
        ("resistance", "reactance"): -0.588,
        ("resistance", "impedance"): -0.485,
        ("reactance", "impedance"): 0.993,
    }.items():
        assert correlation(found[pair[0]], found[pair[1]], correlations) == pytest.approx(r, abs=6e-4)


def test_correlated_impedance_agrees_with_the_metrology_library():
    columns, inputs, correlations = ensemble()
    v, i, phi = GTC.ta.multi_estimate_real(list(columns.values()))
    for name, theirs in {"resistance": v / i * GTC.cos(phi), "reactance": v / i * GTC.sin(phi)}.items():
        ours = propagate(RESULTS[name], inputs, unit="1", correlations=correlations).reading
        assert ours.standard_uncertainty == pytest.approx(theirs.u, rel=1e-6)
        assert ours.degrees_of_freedom == pytest.approx(theirs.df, rel=1e-6)


@settings(max_examples=60, deadline=None)
@given(
    st.tuples(*[st.floats(0.5, 5)] * 3),
    st.tuples(*[st.floats(1e-4, 5e-3)] * 3),
    st.tuples(*[st.integers(2, 40)] * 3),
)
def test_uncertainty_and_degrees_of_freedom_agree_with_the_metrology_library(values, us, freedoms):
    a, b, c = (GTC.ureal(x, u, nu) for x, u, nu in zip(values, us, freedoms, strict=True))
    theirs = a * GTC.exp(-b) / c + GTC.sqrt(a * c)
    inputs = {k: known(x, u, nu) for k, x, u, nu in zip("abc", values, us, freedoms, strict=True)}
    ours = propagate(lambda a, b, c: a * math.exp(-b) / c + math.sqrt(a * c), inputs, unit="1")
    assert ours.reading.value == pytest.approx(theirs.x, rel=1e-12)
    assert ours.reading.standard_uncertainty == pytest.approx(theirs.u, rel=1e-6)
    assert ours.reading.degrees_of_freedom == pytest.approx(theirs.df, rel=1e-5)


def test_shares_come_largest_first_and_make_up_the_whole():
    found = propagate(lambda a, b: a + 3 * b, {"a": known(1, 0.1), "b": known(2, 0.2)}, unit="1")
    assert [share.name for share in found.shares] == ["b", "a"]
    whole = math.sqrt(sum(share.signed**2 for share in found.shares))
    assert found.reading.standard_uncertainty == pytest.approx(whole)
    assert found.reading.degrees_of_freedom is None


def test_an_exact_input_brings_nothing():
    found = propagate(lambda a, b: a * b, {"a": known(2, 0.1), "b": Reading(value=5.0, unit="1")}, unit="1")
    assert found.reading.standard_uncertainty == pytest.approx(0.5)


def test_a_one_sided_reading_has_nothing_to_carry():
    with pytest.raises(BadInputError, match="only a bound"):
        propagate(lambda a: a, {"a": Reading(value=None, unit="mm", lower=0.3)}, unit="mm")


def test_fully_correlated_inputs_cancel_in_their_difference():
    inputs = {"a": known(2, 0.1), "b": known(1, 0.1)}
    found = propagate(lambda a, b: a - b, inputs, unit="1", correlations={("b", "a"): 1.0})
    assert found.reading.standard_uncertainty == pytest.approx(0.0, abs=1e-9)
