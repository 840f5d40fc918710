import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.problems import BadInputError
from asfound.quantity import UNITS, convert, find_unit, parse_quantity, read_number, read_quantity

PINT = pint.UnitRegistry()
PINT.define("thou_ = 0.001 * inch")
# Our symbol -> the units library's name, the outside authority for every factor.
NAMES = {
    "µm": "micrometer", "in": "inch", "ft": "foot", "thou": "thou_", "ms": "millisecond",
    "µs": "microsecond", "mN": "millinewton", "gf": "gram * standard_gravity", "kgf": "kilogram_force",
    "lbf": "pound_force", "ozf": "ounce * standard_gravity", "N·mm": "newton * millimeter",
    "N·m": "newton * meter", "mN·m": "millinewton * meter", "gf·cm": "gram * standard_gravity * centimeter",
    "gf·mm": "gram * standard_gravity * millimeter", "lbf·in": "pound_force * inch",
    "ozf·in": "ounce * standard_gravity * inch", "deg": "degree", "rad": "radian",
    "MPa": "megapascal", "GPa": "gigapascal", "psi": "pound_force_per_square_inch",
    "kpsi": "kilopound_force_per_square_inch", "N/mm": "newton / millimeter",
    "gf/mm": "gram * standard_gravity / millimeter", "lbf/in": "pound_force / inch",
    "kHz": "kilohertz", "Hz": "hertz", "%": "percent", "1": "dimensionless", "N": "newton",
}  # fmt: skip
BASE = {
    "length": "mm", "time": "s", "force": "N", "torque": "N·mm", "angle": "deg", "pressure": "MPa",
    "rate": "N/mm", "frequency": "Hz", "ratio": "1", "stops": "stop",
}  # fmt: skip


@pytest.mark.parametrize("symbol", [symbol for symbol in UNITS if symbol != "stop"])
def test_every_factor_is_that_of_a_general_units_library(symbol):
    unit = UNITS[symbol]
    base = BASE[unit.dimension]
    theirs = PINT.Quantity(1, NAMES.get(symbol, symbol)).to(NAMES.get(base, base)).magnitude
    assert convert(1.0, symbol, base) == pytest.approx(theirs, rel=1e-12)


@given(value=st.floats(-1e6, 1e6), pair=st.sampled_from([(a, b) for a in UNITS for b in UNITS]))
def test_there_and_back_is_where_it_began(value, pair):
    there, here = pair
    if UNITS[there].dimension != UNITS[here].dimension:
        with pytest.raises(ValueError, match="is a"):
            convert(value, there, here)
    else:
        assert convert(convert(value, there, here), here, there) == pytest.approx(value, rel=1e-12, abs=1e-300)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1/125", 0.008),
        ("1 1/2", 1.5),
        ("-1 1/2", -1.5),
        ("0,35", 0.35),
        ("1e-3", 1e-3),
        (".5", 0.5),
        ("-0.2", -0.2),
    ],
)
def test_numbers_are_read_as_a_bench_writes_them(text, value):
    assert read_number(text) == pytest.approx(value)


@pytest.mark.parametrize("text", ["", "a", "1/0", "1..2", "1/", "--1", "nan", "inf"])
def test_what_is_no_number_is_said(text):
    with pytest.raises(ValueError, match=r"number|zero"):
        read_number(text)


@pytest.mark.parametrize("name", ["N mm", "N·mm", "N*mm", "Nmm", "n mm"])
def test_a_torque_may_be_written_with_any_joint(name):
    assert find_unit(name) is UNITS["N·mm"]


def test_megapascal_is_not_millipascal_nor_meganewton_millinewton():
    assert find_unit("mPa") is None
    assert find_unit("MN") is None


def test_a_length_in_thou_becomes_mm():
    assert parse_quantity("14 thou", unit="mm", where="gap") == pytest.approx(0.3556)
    assert parse_quantity("0,35", unit="mm", where="gap") == pytest.approx(0.35)


@pytest.mark.parametrize("text", ["20 gf", "0.35 furlong", "mm", "1e999 mm", "1/0 mm"])
def test_a_wrong_unit_or_number_is_one_clear_problem(text):
    with pytest.raises(BadInputError) as refused:
        parse_quantity(text, unit="mm", where="gap")
    (problem,) = refused.value.problems
    assert problem.where == "gap"
    assert problem.remedy


@given(st.floats(-1e6, 1e6, allow_subnormal=False), st.sampled_from(sorted(UNITS)))
def test_what_is_printed_with_a_symbol_is_read_back(value, symbol):
    quantity, problems = read_quantity(f"{value!r} {symbol}")
    assert problems == ()
    assert quantity is not None
    assert quantity.unit is not None
    assert math.isclose(quantity.value, value, rel_tol=1e-15)
    assert quantity.unit.symbol == symbol
