"""What the spring commands share: reading lengths, legs and materials from the command line."""

from collections.abc import Iterable
from typing import Any

from asfound.problems import BadInputError, Problem, bad_input
from asfound.quantity import parse_quantity, read_quantity, show_number
from asfound.springs.torsion import CONSTANTS, TorsionConstant, TorsionSpring, dimension_problems, thou_problem
from asfound.springs.wire import MATERIALS, Material, find_material, moduli

CONSTANT_NAMES = tuple(CONSTANTS)

# Beyond these a number is a slip of the keys, whatever its unit; arithmetic stays finite within them.
_LEAST, _MOST = 1e-6, 1e9


def number(text: str) -> float:
    """Return a plain number that is one: neither nan nor without end (ValueError, which click reports)."""
    value = float(text)
    if not abs(value) <= _MOST:
        raise ValueError(text)
    return value


def positive(text: str, *, unit: str, where: str) -> float:
    """Return a quantity above zero in `unit`."""
    value = parse_quantity(text, unit=unit, where=where)
    if value <= 0:
        raise bad_input(where, f"{text.strip()!r} is not above zero", "measure it again")
    if not _LEAST <= value <= _MOST:
        raise bad_input(where, f"{text.strip()!r} is out of all proportion", "check the number and its unit")
    return value


def any_size(text: str, *, unit: str, where: str) -> float:
    """Return a quantity in `unit` that may be zero or below."""
    value = parse_quantity(text, unit=unit, where=where)
    if abs(value) > _MOST:
        raise bad_input(where, f"{text.strip()!r} is out of all proportion", "check the number and its unit")
    return value


def maybe(text: str | None, *, unit: str, where: str) -> float | None:
    """Return a quantity above zero, or None where the option was left out."""
    return None if text is None else positive(text, unit=unit, where=where)


def wire_of(text: str, *, as_typed: bool, where: str = "--wire") -> float:
    """Return a wire diameter in mm, asking where thou were typed as mm."""
    diameter = positive(text, unit="mm", where=where)
    quantity, _ = read_quantity(text, where)
    in_mm = quantity is not None and (quantity.unit is None or quantity.unit.symbol == "mm")
    question = thou_problem(diameter_mm=diameter, where=where)
    if question and in_mm and not as_typed:
        raise BadInputError(question)
    return diameter


def parts_of(text: str, *, units: tuple[str, ...], where: str, count: Iterable[int]) -> tuple[float, ...]:
    """Return a list such as ``10mm,10mm`` in mm; refuses a decimal comma, which would be a second number."""
    pieces = [piece for piece in text.replace(";", ",").split(",") if piece.strip()]
    if len(pieces) not in set(count):
        wanted = " or ".join(str(n) for n in count)
        raise bad_input(where, f"{text!r} has {len(pieces)} parts, not {wanted}", "write it as in 10mm,10mm")
    read = [read_quantity(piece, where)[0] for piece in pieces]
    with_unit = [quantity is not None and quantity.unit is not None for quantity in read]
    if any(with_unit) and not all(with_unit):
        what = f"{text!r} mixes numbers with and without a unit; is a comma a decimal comma?"
        raise bad_input(where, what, "write a decimal point, and a unit after every number")
    return tuple(any_size(piece, unit=units[min(i, len(units) - 1)], where=where) for i, piece in enumerate(pieces))


def legs_of(text: str | None) -> tuple[float, ...]:
    """Return leg lengths in mm."""
    if text is None:
        return ()
    legs = parts_of(text, units=("mm",), where="--legs", count=(1, 2))
    if min(legs) < 0:
        raise bad_input("--legs", f"{text!r} has a length below zero", "measure from coil to where it bears")
    return legs


def material_of(name: str) -> Material:
    """Return a material by name, or name those known."""
    found = find_material(name)
    if found is None:
        known = ", ".join(material.name for material in MATERIALS)
        raise bad_input("--material", f"{name!r} is not a wire known here", f"use one of: {known}")
    return found


def mean_of(mean: str | None, outside: str | None, *, wire_mm: float) -> float:
    """Return the mean diameter in mm from itself or from the outside diameter."""
    if (mean is None) == (outside is None):
        raise bad_input("--mean-diameter", "one diameter is wanted", "give --mean-diameter or --outside-diameter")
    if mean is not None:
        return positive(mean, unit="mm", where="--mean-diameter")
    assert outside is not None
    outer = positive(outside, unit="mm", where="--outside-diameter")
    if outer <= wire_mm:
        raise bad_input("--outside-diameter", f"{outer:g} mm is no more than one wire", "check both units")
    return outer - wire_mm


def torsion_spring(
    *,
    wire: str,
    mean: str | None,
    outside: str | None,
    body_turns: float,
    legs: str | None,
    material: Material,
    modulus: str | None,
    constant: str,
    as_typed: bool,
) -> TorsionSpring:
    """Return a torsion spring from options, or raise what is impossible in it."""
    d = wire_of(wire, as_typed=as_typed)
    mean_mm = mean_of(mean, outside, wire_mm=d)
    problems = dimension_problems(wire_diameter_mm=d, mean_diameter_mm=mean_mm, body_turns=body_turns)
    if problems:
        raise BadInputError(*problems)
    return TorsionSpring(
        wire_diameter_mm=d,
        mean_diameter_mm=mean_mm,
        body_turns=body_turns,
        leg_lengths_mm=legs_of(legs),
        modulus_mpa=modulus_of(modulus, material, wire_mm=d),
        constant=constant_of(constant),
    )


def modulus_of(text: str | None, material: Material, *, wire_mm: float) -> float:
    """Return Young's modulus in MPa: as typed (a bare number is GPa), else as listed."""
    if text is None:
        return moduli(material, wire_diameter_mm=wire_mm).youngs_mpa
    value = positive(text, unit="GPa", where="--modulus") * 1000
    if not 10_000 <= value <= 500_000:
        raise bad_input("--modulus", f"{text!r} is no metal's modulus", "write it as in 203.4 GPa")
    return value


def constant_of(name: str) -> TorsionConstant:
    """Return a torsion constant by name."""
    return CONSTANTS[name]


def constant_fields(constant: TorsionConstant) -> dict[str, Any]:
    """Return the constant in use as it is printed with every result."""
    return {
        "constant": constant.name,
        "constant_value": constant.value,
        "constant_source": constant.source,
    }


def constant_line(constant: TorsionConstant) -> str:
    """Return the constant in use as a line for people."""
    return f"torsion constant  {constant.name}, K = {constant.value:.0f} ({constant.source})"


def named(rows: Iterable[tuple[str, float | None, str]]) -> list[str]:
    """Return "name  value unit" lines; a value not known is said to be so."""
    shown = [
        (name, "not known" if value is None else f"{show_number(value, significant=4)} {unit}")
        for name, value, unit in rows
    ]
    width = max(len(name) for name, _ in shown)
    return [f"{name.ljust(width)}  {text}".rstrip() for name, text in shown]


def refuse(problems: Iterable[Problem]) -> None:
    """Raise the problems, where there are any."""
    found = tuple(problems)
    if found:
        raise BadInputError(*found)
