"""Straight lines against the Guide, NIST's reference data, and published inverse predictions."""

import math

import GTC
import numpy as np
import pytest

from asfound.problems import BadInputError
from asfound.quantity.calibration import fit_line, setting_between, setting_for

# JCGM 100:2008, table H.6 (read): thermometer readings and corrections.
TEMPERATURE = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]
CORRECTION = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160]

# NIST StRD, Norris (read): certified to 15 digits.
NORRIS_X = [.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777, 558.2, .4, .6, 775.5, 666.9, 338,
            447.5, 11.6, 556, 228.1, 995.8, 887.6, 120.2, .3, .3, 556.8, 339.1, 887.2, 999, 779, 11.1, 118.3,
            229.2, 669.1, 448.9, .5]  # fmt: skip
NORRIS_Y = [.1, 338.8, 118.1, 888, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, .3, .1, 778.1, 668.8, 339.3,
            448.9, 10.8, 557.7, 228.3, 998, 888.8, 119.6, .3, .6, 557.6, 339.3, 888, 998.5, 778.9, 10.2, 117.6,
            228.9, 668.4, 449.2, .2]  # fmt: skip


def test_thermometer_of_the_guide():
    # JCGM 100:2008, H.3.3: y1 -0.1712(29), y2 0.00218(67), r -0.930, b(30) -0.1494(41).
    line = fit_line([t - 20 for t in TEMPERATURE], CORRECTION)
    assert line.intercept == pytest.approx(-0.1712, abs=5e-5)
    assert line.u_intercept == pytest.approx(0.0029, abs=5e-5)
    assert line.slope == pytest.approx(0.00218, abs=5e-6)
    assert line.u_slope == pytest.approx(0.00067, abs=5e-6)
    assert line.correlation == pytest.approx(-0.930, abs=5e-4)
    assert line.degrees_of_freedom == 9
    value, u = line.at(10)
    assert value == pytest.approx(-0.1494, abs=5e-5)
    assert u == pytest.approx(0.0041, abs=5e-5)


def test_thermometer_agrees_with_the_metrology_library():
    line = fit_line([t - 20 for t in TEMPERATURE], CORRECTION)
    theirs = GTC.ta.line_fit([t - 20 for t in TEMPERATURE], CORRECTION)
    a, b = theirs.a_b
    assert (line.intercept, line.u_intercept) == pytest.approx((a.x, a.u), rel=1e-9)
    assert (line.slope, line.u_slope) == pytest.approx((b.x, b.u), rel=1e-9)
    assert line.at(10)[1] == pytest.approx((a + b * 10).u, rel=1e-9)


def test_certified_line_of_nist():
    line = fit_line(NORRIS_X, NORRIS_Y)
    # Certified values of NIST StRD Norris; 1e-11 is what double precision keeps of them.
    assert line.intercept == pytest.approx(-0.262323073774029, rel=1e-11)
    assert line.u_intercept == pytest.approx(0.232818234301152, rel=1e-11)
    assert line.slope == pytest.approx(1.00211681802045, rel=1e-13)
    assert line.u_slope == pytest.approx(0.429796848199937e-3, rel=1e-11)
    assert line.residual == pytest.approx(0.884796396144373, rel=1e-11)


def test_thermostat_setting_has_fiellers_interval():
    # Graybill and Iyer, Regression Analysis (read): 103.995, 103.40 to 104.59.
    x = list(range(96, 111, 2))
    line = fit_line(x, [95.71, 98.16, 99.52, 102.09, 103.79, 106.18, 108.14, 110.21])
    found = setting_for(line, 104)
    assert found.x == pytest.approx(103.995, abs=5e-4)
    assert (found.low, found.high) == pytest.approx((103.40, 104.59), abs=6e-3)


def test_chamber_setting_for_a_mean_response():
    # Published inverse prediction of a mean response, 99 % (read): 66.52, 65.07 to 68.03.
    y = [206.36, 225.52, 252.18, 289.33, 318.11, 349.49, 383.03, 410.70, 444.40, 469.14, 501.16]
    found = setting_for(fit_line(range(0, 101, 10), y), 400, repeats=None, coverage=0.99)
    assert found.x == pytest.approx(66.52, abs=0.02)
    assert (found.low, found.high) == pytest.approx((65.07, 68.03), abs=0.02)


def test_fiellers_interval_holds_the_truth_as_often_as_it_says():
    rng = np.random.default_rng(4)
    x = np.arange(6.0)
    held = 0
    for _ in range(2000):
        line = fit_line(x, 0.5 * x + 0.3 * rng.normal(size=6))
        try:
            found = setting_for(line, 0.5 * 2.0 + 0.3 * rng.normal())
        except BadInputError:
            continue
        held += found.low <= 2.0 <= found.high
    # Standard error of a share of 2000 near 95 % is 0.5 %; a refusal counts against.
    assert held / 2000 > 0.90


def test_a_slope_that_may_be_nought_is_refused():
    line = fit_line([0, 1, 2, 3], [1.0, -1.0, 1.1, -0.9])
    with pytest.raises(BadInputError, match="nought"):
        setting_for(line, 0.5)


def test_between_two_readings():
    # u^2 = ((1-l)^2 u1^2 + l^2 u2^2)/slope^2, worked by hand: l = .75, slope -.2.
    x, u = setting_between((0, 0.30), (2, -0.10), 0.0, u_first=0.02, u_second=0.02)
    assert x == pytest.approx(1.5)
    assert u == pytest.approx(0.0790569, abs=5e-8)


@pytest.mark.parametrize(("x", "y"), [([1, 2], [1, 2]), ([1, 1, 1], [1, 2, 3]), ([1, 2, 3], [1, 2])])
def test_too_little_for_a_line_is_refused(x, y):
    with pytest.raises(BadInputError):
        fit_line(x, y)


def test_two_equal_readings_have_nothing_between():
    with pytest.raises(BadInputError):
        setting_between((0, 1.0), (1, 1.0), 0.5, u_first=math.inf, u_second=0.1)
