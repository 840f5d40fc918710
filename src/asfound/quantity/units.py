"""Text to a number with its unit, and back: the only place where units are read or printed."""

import math
import re
from dataclasses import dataclass
from fractions import Fraction

from asfound.problems import BadInputError, Problem


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: its symbol as printed, its dimension, and how many of the dimension's base unit it is."""

    symbol: str
    dimension: str
    factor: float


# Exact by definition: 1 in = 25.4 mm, 1 lbf = 4.4482216152605 N, 1 kgf = 9.80665 N, 1 turn = 360 deg
# (NIST SP 811, appendix B, from memory; the tests compare with a units library).
_LBF = 4.4482216152605
_GF = 9.80665e-3
_UNITS = (
    (Unit("mm", "length", 1.0), "mm millimetre millimetres millimeter millimeters"),
    (Unit("µm", "length", 1e-3), "µm μm um micron microns micrometre micrometres"),
    (Unit("cm", "length", 10.0), "cm"),
    (Unit("m", "length", 1000.0), "m metre metres meter meters"),
    (Unit("in", "length", 25.4), 'in inch inches "'),
    (Unit("ft", "length", 304.8), "ft foot feet"),
    (Unit("thou", "length", 0.0254), "thou thous mil mils"),
    (Unit("s", "time", 1.0), "s sec second seconds"),
    (Unit("ms", "time", 1e-3), "ms millisecond milliseconds"),
    (Unit("µs", "time", 1e-6), "µs μs us microsecond microseconds"),
    (Unit("N", "force", 1.0), "N newton newtons"),
    (Unit("mN", "force", 1e-3), "mN"),
    (Unit("gf", "force", _GF), "gf g gram grams pond"),
    (Unit("kgf", "force", 1000 * _GF), "kgf kg"),
    (Unit("lbf", "force", _LBF), "lbf lb"),
    (Unit("ozf", "force", _LBF / 16), "ozf oz"),
    (Unit("N·mm", "torque", 1.0), "N·mm Nmm"),
    (Unit("N·m", "torque", 1000.0), "N·m Nm"),
    (Unit("mN·m", "torque", 1.0), "mN·m mNm"),
    (Unit("gf·cm", "torque", 10 * _GF), "gf·cm gfcm g·cm gcm"),
    (Unit("gf·mm", "torque", _GF), "gf·mm gfmm g·mm"),
    (Unit("lbf·in", "torque", _LBF * 25.4), "lbf·in lbfin lb·in in·lbf in·lb"),
    (Unit("ozf·in", "torque", _LBF / 16 * 25.4), "ozf·in oz·in in·oz"),
    (Unit("deg", "angle", 1.0), "deg degree degrees °"),
    (Unit("turn", "angle", 360.0), "turn turns rev"),
    (Unit("rad", "angle", math.degrees(1.0)), "rad radian radians"),
    (Unit("MPa", "pressure", 1.0), "MPa N/mm2 N/mm²"),
    (Unit("GPa", "pressure", 1000.0), "GPa"),
    (Unit("psi", "pressure", _LBF / 25.4**2), "psi"),
    (Unit("kpsi", "pressure", 1000 * _LBF / 25.4**2), "kpsi ksi"),
    (Unit("N/mm", "rate", 1.0), "N/mm"),
    (Unit("gf/mm", "rate", _GF), "gf/mm"),
    (Unit("lbf/in", "rate", _LBF / 25.4), "lbf/in lb/in"),
    (Unit("stop", "stops", 1.0), "stop stops EV"),
    (Unit("Hz", "frequency", 1.0), "Hz"),
    (Unit("kHz", "frequency", 1e3), "kHz"),
    (Unit("%", "ratio", 0.01), "% percent"),
    (Unit("1", "ratio", 1.0), "1"),
)
UNITS = {unit.symbol: unit for unit, _ in _UNITS}
_BY_NAME = {name: unit for unit, names in _UNITS for name in names.split()}
_BY_LOWER = {name.lower(): unit for name, unit in _BY_NAME.items() if name not in ("mN", "mN·m", "MPa")}

# A number: 1/125, 1 1/2, 0.35, 0,35, 1e-3. A comma is a decimal comma.
NUMBER = r"[+-]?(?:\d+\s+\d+/\d+|\d+/\d+|\d+(?:[.,]\d*)?(?:[eE][+-]?\d+)?|[.,]\d+(?:[eE][+-]?\d+)?)"
_QUANTITY = re.compile(rf"\s*(?P<number>{NUMBER})\s*(?P<unit>\S.*?)?\s*$")


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number as typed, with its unit (None where none was typed)."""

    value: float
    unit: Unit | None


def find_unit(name: str) -> Unit | None:
    """Return the unit that `name` stands for ("N mm", "lbf in" and "N·mm" alike), or None."""
    joined = re.sub(r"\s*[·*.\s-]\s*", "·", name.strip())
    return _BY_NAME.get(joined) or _BY_NAME.get(name.strip()) or _BY_LOWER.get(joined.lower())


def read_number(text: str) -> float:
    """Return the number in `text`: "1/125", "1 1/2", "0,35", "1e-3".

    Raises
    ------
    ValueError
        If it is no number, or a fraction of zero.
    """
    if not re.fullmatch(NUMBER, text.strip()):
        raise ValueError(f"{text!r} is not a number")
    words = text.strip().replace(",", ".").split()
    try:
        return math.copysign(1, -1 if words[0].startswith("-") else 1) * sum(
            abs(float(Fraction(word)) if "/" in word else float(word)) for word in words
        )
    except ZeroDivisionError:
        raise ValueError(f"{text!r} divides by zero") from None


def read_quantity(text: str, where: str = "quantity") -> tuple[Quantity | None, tuple[Problem, ...]]:
    """Read a number with an optional unit.

    Parameters
    ----------
    text : str
        Such as "0.35 mm", "14 thou", "1/125 s", "20 N mm", "1/125".
    where : str
        What to call this place in a problem.

    Returns
    -------
    tuple
        The quantity (None if it could not be read) and the problems found.
    """
    match = _QUANTITY.fullmatch(text)
    if match is None:
        return None, (Problem(where, f"{text.strip()!r} does not begin with a number", "write it as in 0.35 mm"),)
    try:
        value = read_number(match["number"])
    except ValueError as error:
        return None, (Problem(where, str(error), "write it as in 1/125 or 0.35"),)
    if not math.isfinite(value):
        return None, (Problem(where, f"{match['number']} is too large", "check the exponent"),)
    if match["unit"] is None:
        return Quantity(value, None), ()
    unit = find_unit(match["unit"])
    if unit is None:
        known = "mm, thou, in, m, s, ms, N, gf, N mm, lbf in, deg, turns"
        problem = Problem(where, f"{match['unit']!r} is not a unit known here", f"use one such as {known}")
        return None, (problem,)
    return Quantity(value, unit), ()


def parse_quantity(text: str, *, unit: str, where: str) -> float:
    """Return `text` in `unit`; a number without a unit is taken to be in `unit`.

    Raises
    ------
    BadInputError
        If it is no number, or its unit is of another kind (a force given for a length).
    """
    quantity, problems = read_quantity(text, where)
    if quantity is None:
        raise BadInputError(*problems)
    if quantity.unit is None:
        return quantity.value
    if quantity.unit.dimension != UNITS[unit].dimension:
        kind, wanted = quantity.unit.dimension, UNITS[unit].dimension
        what = f"{text.strip()!r} is a {kind}, not a {wanted}"
        raise BadInputError(Problem(where, what, f"give it in {unit} or another unit of {wanted}"))
    return convert(quantity.value, quantity.unit.symbol, unit)


def convert(value: float, unit: str, to: str) -> float:
    """Return `value` of `unit` in the unit `to`; both symbols of one dimension.

    Raises
    ------
    ValueError
        If the two units measure different things.
    """
    source, target = UNITS[unit], UNITS[to]
    if source.dimension != target.dimension:
        raise ValueError(f"{unit} is a {source.dimension}, {to} a {target.dimension}")
    return value if source is target else value * source.factor / target.factor
