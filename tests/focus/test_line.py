import numpy as np
import pytest

from asfound.focus.line import fit_line
from asfound.problems import BadInputError

NORRIS_X = (
    ".2,337.4,118.2,884.6,10.1,226.5,666.3,996.3,448.6,777,558.2,.4,.6,775.5,666.9,338,447.5,11.6,556,228.1,"
    "995.8,887.6,120.2,.3,.3,556.8,339.1,887.2,999,779,11.1,118.3,229.2,669.1,448.9,.5"
)
NORRIS_Y = (
    ".1,338.8,118.1,888,9.2,228.1,668.5,998.5,449.1,778.9,559.2,.3,.1,778.1,668.8,339.3,448.9,10.8,557.7,228.3,"
    "998,888.8,119.6,.3,.6,557.6,339.3,888,998.5,778.9,10.2,117.6,228.9,668.4,449.2,.2"
)


def _numbers(text: str) -> list[float]:
    return [float(word) for word in text.split(",")]


def test_the_norris_data_give_their_certified_line() -> None:
    # NIST Statistical Reference Datasets, Norris (read).
    line = fit_line(x=_numbers(NORRIS_X), y=_numbers(NORRIS_Y))
    assert line.intercept == pytest.approx(-0.262323073774029, rel=1e-10)
    assert line.slope == pytest.approx(1.00211681802045, rel=1e-12)
    assert line.u_intercept == pytest.approx(0.232818234301152, rel=1e-10)
    assert line.u_slope == pytest.approx(0.429796848199937e-3, rel=1e-10)
    assert line.residual_sd == pytest.approx(0.884796396144373, rel=1e-10)


def test_the_thermometer_calibration_of_the_guide() -> None:
    # JCGM 100:2008, H.3 (read), as printed.
    t = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]
    b = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160]
    line = fit_line(x=[value - 20 for value in t], y=b)
    assert (line.intercept, line.u_intercept) == pytest.approx((-0.1712, 0.0029), abs=5e-5)
    assert (line.slope, line.u_slope) == pytest.approx((0.00218, 0.00067), abs=5e-6)
    assert line.covariance / (line.u_intercept * line.u_slope) == pytest.approx(-0.930, abs=5e-4)
    assert line.degrees_of_freedom == 9


def test_stated_uncertainties_agree_with_drawing_at_random() -> None:
    rng = np.random.default_rng(7)
    x = [0.0, 0.6, 1.2, 3.0]
    drawn = [fit_line(x=x, y=3 + 2 * np.array(x) + rng.normal(0, 0.1, 4)) for _ in range(5000)]
    stated = fit_line(x=x, y=[3, 4.2, 5.4, 9], u_y=0.1)
    assert stated.u_slope == pytest.approx(np.std([line.slope for line in drawn]), rel=0.04)
    assert stated.u_intercept == pytest.approx(np.std([line.intercept for line in drawn]), rel=0.04)


def test_two_readings_alone_leave_the_uncertainty_unknown() -> None:
    line = fit_line(x=[0, 1], y=[1, 3])
    assert (line.intercept, line.slope, line.u_slope) == (1, 2, None)


@pytest.mark.parametrize("x", [[], [1.0], [2.0, 2.0]])
def test_readings_at_one_place_are_refused(x: list[float]) -> None:
    with pytest.raises(BadInputError, match="two or more places"):
        fit_line(x=x, y=[1.0] * len(x))
