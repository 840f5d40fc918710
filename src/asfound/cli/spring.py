"""Springs: what one is, what it gives, and what can be done about it."""

from collections.abc import Callable
from dataclasses import asdict
from typing import Any

import click

from asfound.cli import spring_options as options
from asfound.cli.output import emit
from asfound.cli.spring_measured import hold, measured
from asfound.cli.spring_remedies import choose, reform, sleeve
from asfound.problems import bad_input
from asfound.quantity import show_number
from asfound.springs.compression import Ends, compress
from asfound.springs.extension import extend
from asfound.springs.flat import WIDE_RATIO, bend_leaf
from asfound.springs.helical import ShearRule
from asfound.springs.loaded import LoadedTorsion, fit_problems, load_torsion
from asfound.springs.strength import Direction
from asfound.springs.torsion import StressRule, TorsionSpring, dimension_problems


@click.group()
def spring() -> None:
    """Say what a spring is, whether it is too weak, and what can be done."""


for _command in (measured, choose, reform, sleeve, hold):
    spring.add_command(_command)

_as_json = click.option("--json", "as_json", is_flag=True, help="Print the same names as JSON.")
_as_typed = click.option("--as-typed", is_flag=True, help="Sizes are meant as typed, however large.")
_material = click.option("--material", default="music wire", show_default=True)


def _dimensions(command: Callable[..., None]) -> Callable[..., None]:
    for option in (
        click.option("--outside-diameter", help="Instead of the mean diameter."),
        click.option("--mean-diameter", help="Outside diameter less one wire."),
        click.option("--wire", required=True, help="Diameter, such as 0.5mm or 20thou."),
    ):
        command = option(command)
    return command


@spring.command()
@_dimensions
@click.option("--body-turns", type=options.number, required=True, help="Turns of the coil, legs left out.")
@click.option("--legs", help="Lengths from coil to where each leg bears, such as 10mm,10mm.")
@click.option("--torque", required=True, help="Such as '20 N mm'.")
@_material
@click.option("--modulus", help="Young's modulus, such as '203.4 GPa'; else as listed.")
@click.option("--constant", type=click.Choice(options.CONSTANT_NAMES), default="textbook", show_default=True)
@click.option("--direction", type=click.Choice(["closing", "opening"]), default="closing", show_default=True)
@click.option("--stress-factor", "rule", type=click.Choice(["inner fibre", "EN"]), default="inner fibre")
@click.option("--pin", help="Diameter of the pin or arbor.")
@click.option("--outside", help="Room across the coil.")
@click.option("--between-cheeks", help="Room along the coil.")
@click.option("--wire-uncertainty", help="One standard uncertainty of the wire's diameter.")
@_as_typed
@_as_json
def torsion(
    wire: str,
    mean_diameter: str | None,
    outside_diameter: str | None,
    body_turns: float,
    legs: str | None,
    torque: str,
    material: str,
    modulus: str | None,
    constant: str,
    direction: Direction,
    rule: StressRule,
    pin: str | None,
    outside: str | None,
    between_cheeks: str | None,
    wire_uncertainty: str | None,
    as_typed: bool,
    as_json: bool,
) -> None:
    """Say what a torsion spring of these dimensions does at a torque."""
    kind = options.material_of(material)
    made = options.torsion_spring(
        wire=wire, mean=mean_diameter, outside=outside_diameter, body_turns=body_turns, legs=legs,
        material=kind, modulus=modulus, constant=constant, as_typed=as_typed,
    )  # fmt: skip
    torque_n_mm = options.positive(torque, unit="N·mm", where="--torque")
    pin_mm = options.maybe(pin, unit="mm", where="--pin")
    options.refuse(
        fit_problems(
            made,
            torque_n_mm=torque_n_mm,
            pin_mm=pin_mm,
            outside_mm=options.maybe(outside, unit="mm", where="--outside"),
            between_cheeks_mm=options.maybe(between_cheeks, unit="mm", where="--between-cheeks"),
            direction=direction,
        )
    )
    loaded = load_torsion(
        made,
        torque_n_mm=torque_n_mm,
        material=kind,
        pin_mm=pin_mm,
        direction=direction,
        stress_rule=rule,
        u_wire_mm=options.maybe(wire_uncertainty, unit="mm", where="--wire-uncertainty") or 0.0,
    )
    emit(_torsion_data(made, loaded, kind.name), _torsion_table(made, loaded), as_json=as_json)


def _torsion_data(made: TorsionSpring, loaded: LoadedTorsion, material: str) -> dict[str, Any]:
    data = asdict(loaded)
    limits = data.pop("limits")
    return {
        **data,
        "yield_mpa": limits["yield_mpa"],
        "tensile_mpa": limits["tensile_mpa"],
        "static_limit_mpa": limits["static_limit_mpa"],
        "strength_source": limits["source"],
        "strength_mark": limits["mark"],
        "material": material,
        "modulus_mpa": made.modulus_mpa,
        **options.constant_fields(made.constant),
    }


def _torsion_table(made: TorsionSpring, loaded: LoadedTorsion) -> list[str]:
    limits = loaded.limits
    listed: list[tuple[str, float | None, str]] = [
        ("index", loaded.index, ""),
        ("active turns", loaded.active_turns, ""),
        ("rate", loaded.rate_n_mm_per_turn, "N·mm per turn"),
        ("angle", loaded.angle_deg, "deg"),
        ("of which body", loaded.body_angle_deg, "deg"),
        ("stress factor", loaded.stress_factor, ""),
        ("stress", loaded.stress_mpa, "MPa"),
        ("yield", limits.yield_mpa, "MPa"),
        ("tensile", limits.tensile_mpa, "MPa"),
        ("bore under load", loaded.loaded_inner_diameter_mm, "mm"),
        ("bore, cautiously", loaded.cautious_inner_diameter_mm, "mm"),
        ("body length", loaded.body_length_mm, "mm"),
        ("body, loaded", loaded.loaded_body_length_mm, "mm"),
    ]
    if loaded.u_rate_n_mm_per_turn:
        listed.insert(3, ("u of the rate", loaded.u_rate_n_mm_per_turn, "N·mm per turn"))
    if loaded.pin_clearance_mm is not None:
        listed.append(("clear of pin", loaded.pin_clearance_mm, "mm on the diameter"))
    rows = options.named(listed)
    mark = f" ({limits.mark})" if limits.mark else ""
    rows.append(f"stress is {loaded.verdict}: {loaded.meaning}")
    rows.append(f"strength from {limits.source}{mark}; E {made.modulus_mpa / 1000:.4g} GPa")
    return [*rows, options.constant_line(made.constant)]


@spring.command()
@_dimensions
@click.option("--total-turns", type=options.number, required=True)
@click.option("--ends", type=click.Choice(["plain", "plain ground", "closed", "closed ground"]), default="closed")
@click.option("--force", required=True, help="Such as '2 N' or 200gf.")
@click.option("--free-length", help="Length unloaded: then the way to solid is known.")
@_material
@click.option("--shear-modulus", help="Such as '82.7 GPa'; else as listed.")
@click.option("--shear-factor", "rule", type=click.Choice(["none", "Wahl", "Bergstraesser"]), default="Bergstraesser")
@_as_typed
@_as_json
def compression(
    wire: str,
    mean_diameter: str | None,
    outside_diameter: str | None,
    total_turns: float,
    ends: Ends,
    force: str,
    free_length: str | None,
    material: str,
    shear_modulus: str | None,
    rule: ShearRule,
    as_typed: bool,
    as_json: bool,
) -> None:
    """Say what a compression spring does at a force."""
    d, mean = _coil(wire, mean_diameter, outside_diameter, as_typed, total_turns)
    dead = {"plain": 0.0, "plain ground": 1.0}.get(ends, 2.0)
    if total_turns <= dead:
        raise bad_input("--total-turns", f"{total_turns:g} leaves no active turn", "count the turns again")
    result = compress(
        wire_diameter_mm=d,
        mean_diameter_mm=mean,
        total_turns=total_turns,
        ends=ends,
        force_n=options.positive(force, unit="N", where="--force"),
        material=options.material_of(material),
        free_length_mm=_free_length(free_length),
        shear_modulus_mpa=_modulus(shear_modulus, "--shear-modulus"),
        rule=rule,
    )
    if result.travel_to_solid_mm is not None and result.travel_to_solid_mm <= 0:
        what = f"the free length is no more than the solid length of {result.solid_length_mm:.3g} mm"
        raise bad_input("--free-length", what, "measure both again")
    data = {**asdict(result), "shear_factor_rule": rule}
    emit(data, [*_plain_table(data), f"factor on stress: {rule}"], as_json=as_json)


@spring.command()
@_dimensions
@click.option("--body-turns", type=options.number, required=True)
@click.option("--force", required=True)
@click.option("--initial-tension", default="0 N", help="Force at which the turns begin to part.")
@_material
@click.option("--modulus", help="Young's modulus; else as listed.")
@click.option("--shear-modulus", help="Such as '82.7 GPa'; else as listed.")
@click.option("--shear-factor", "rule", type=click.Choice(["none", "Wahl", "Bergstraesser"]), default="Bergstraesser")
@_as_typed
@_as_json
def extension(
    wire: str,
    mean_diameter: str | None,
    outside_diameter: str | None,
    body_turns: float,
    force: str,
    initial_tension: str,
    material: str,
    modulus: str | None,
    shear_modulus: str | None,
    rule: ShearRule,
    as_typed: bool,
    as_json: bool,
) -> None:
    """Say what an extension spring with full-loop hooks does at a force."""
    d, mean = _coil(wire, mean_diameter, outside_diameter, as_typed, body_turns)
    result = extend(
        wire_diameter_mm=d,
        mean_diameter_mm=mean,
        body_turns=body_turns,
        force_n=options.positive(force, unit="N", where="--force"),
        initial_tension_n=options.any_size(initial_tension, unit="N", where="--initial-tension"),
        material=options.material_of(material),
        youngs_modulus_mpa=_modulus(modulus, "--modulus"),
        shear_modulus_mpa=_modulus(shear_modulus, "--shear-modulus"),
        rule=rule,
    )
    data = {**asdict(result), "shear_factor_rule": rule}
    emit(data, [*_plain_table(data), f"factor on stress: {rule}"], as_json=as_json)


@spring.command()
@click.option("--width", required=True)
@click.option("--thickness", required=True)
@click.option("--length", required=True, help="From where it is held to where the force is.")
@click.option("--force", required=True)
@click.option("--modulus", default="206 GPa", show_default=True)
@click.option("--wide", is_flag=True, help="Reckon it held flat across its width.")
@_as_json
def leaf(width: str, thickness: str, length: str, force: str, modulus: str, wide: bool, as_json: bool) -> None:
    """Say what a leaf spring, held at one end, does at a force."""
    e_mpa = _modulus(modulus, "--modulus")
    assert e_mpa is not None
    result = bend_leaf(
        width_mm=options.positive(width, unit="mm", where="--width"),
        thickness_mm=options.positive(thickness, unit="mm", where="--thickness"),
        length_mm=(length_mm := options.positive(length, unit="mm", where="--length")),
        force_n=options.positive(force, unit="N", where="--force"),
        modulus_mpa=e_mpa,
        wide=wide,
    )
    data = asdict(result)
    notes = []
    if result.width_over_thickness > WIDE_RATIO and not wide:
        notes.append("a wide strip: up to a tenth stiffer than this (--wide)")
    if result.deflection_mm > length_mm / 10:
        notes.append("bends by more than a tenth of its length: beam theory is out of its range here")
    emit({**data, "notes": notes}, [*_plain_table(data), *notes], as_json=as_json)


def _coil(wire: str, mean: str | None, outside: str | None, as_typed: bool, turns: float) -> tuple[float, float]:
    d = options.wire_of(wire, as_typed=as_typed)
    mean_mm = options.mean_of(mean, outside, wire_mm=d)
    options.refuse(dimension_problems(wire_diameter_mm=d, mean_diameter_mm=mean_mm, body_turns=turns))
    return d, mean_mm


def _free_length(text: str | None) -> float | None:
    return options.maybe(text, unit="mm", where="--free-length")


def _modulus(text: str | None, where: str) -> float | None:
    value = options.maybe(text, unit="GPa", where=where)
    return None if value is None else value * 1000


_UNIT_WORDS = (("_n_mm_per_turn", "N·mm per turn"), ("_n_per_mm", "N/mm"), ("_mpa", "MPa"), ("_mm", "mm"), ("_n", "N"))


def _plain_table(data: dict[str, Any]) -> list[str]:
    """Return every field as "words  value unit", from its JSON name."""
    rows = []
    for name, value in data.items():
        ending, unit = next(((e, u) for e, u in _UNIT_WORDS if name.endswith(e)), ("", ""))
        words = name.removesuffix(ending).replace("_", " ")
        number = isinstance(value, float)
        shown = show_number(value, significant=4) if number else "not known" if value is None else str(value)
        rows.append(f"{words:<24}{shown} {unit if value is not None else ''}".rstrip())
    return rows
