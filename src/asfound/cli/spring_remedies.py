"""The spring commands that propose work: reform, sleeve, choose."""

from collections.abc import Callable, Iterable
from dataclasses import asdict
from pathlib import Path
from typing import Any, cast

import click

from asfound.cli import spring_options as options
from asfound.cli.output import columns, emit
from asfound.problems import BadInputError, bad_input
from asfound.quantity import show_number
from asfound.springs.chance import Chance, chance_that_it_will_do, usual_tolerances
from asfound.springs.choose import Design, steps, wire_choices
from asfound.springs.choose import choose as choose_designs
from asfound.springs.drawer import DrawerFit, look_through, read_drawer
from asfound.springs.reform import Way
from asfound.springs.reform import reform as reform_spring
from asfound.springs.search import Demands, Grid
from asfound.springs.sleeve import sleeved
from asfound.springs.strength import bending_limits
from asfound.springs.torsion import bending_stress, inner_stress_factor, rate_of
from asfound.springs.winding import Hand, winding_sheet
from asfound.springs.wire import find_material, sold_sizes, tensile_strength

_as_json = click.option("--json", "as_json", is_flag=True, help="Print the same names as JSON.")


def _coil_options(command: Callable[..., None]) -> Callable[..., None]:
    for option in (
        click.option("--as-typed", is_flag=True, help="Sizes are meant as typed, however large."),
        click.option("--constant", type=click.Choice(options.CONSTANT_NAMES), default="textbook"),
        click.option("--modulus", help="Young's modulus; else as listed."),
        click.option("--material", default="music wire", show_default=True),
        click.option("--legs", help="Such as 10mm,10mm."),
        click.option("--body-turns", type=options.number, required=True),
        click.option("--outside-diameter", help="Instead of the mean diameter."),
        click.option("--mean-diameter"),
        click.option("--wire", required=True),
    ):
        command = option(command)
    return command


def _spring_from(sizes: dict[str, Any]) -> Any:
    return options.torsion_spring(
        wire=sizes["wire"],
        mean=sizes["mean_diameter"],
        outside=sizes["outside_diameter"],
        body_turns=sizes["body_turns"],
        legs=sizes["legs"],
        material=options.material_of(sizes["material"]),
        modulus=sizes["modulus"],
        constant=sizes["constant"],
        as_typed=sizes["as_typed"],
    )


@click.command()
@_coil_options
@click.option("--erected", required=True, help="Torque erected, as measured.")
@click.option("--folded", required=True, help="Torque folded, as measured.")
@click.option("--rate", help="N mm per turn, as measured; else from the dimensions.")
@click.option("--by", "by", required=True, help="How far the free leg is moved: 20deg or '0.1 turns'.")
@click.option("--way", type=click.Choice(["legs", "coil"]), default="legs", show_default=True)
@_as_json
def reform(erected: str, folded: str, rate: str | None, by: str, way: Way, as_json: bool, **sizes: Any) -> None:
    """Say what bending the legs, or opening the coil, gains and what remains of it."""
    made = _spring_from(sizes)
    formed = options.positive(by, unit="deg", where="--by")
    if way == "coil" and formed / 360 >= made.body_turns:
        raise bad_input("--by", f"{by!r} is the whole coil", "open it by a fraction of a turn")
    low = options.any_size(erected, unit="N·mm", where="--erected")
    high = options.positive(folded, unit="N·mm", where="--folded")
    if high <= low:
        raise bad_input("--folded", "no more torque than erected", "a strut's spring is wound further folded")
    factor = inner_stress_factor(index=made.mean_diameter_mm / made.wire_diameter_mm)
    limits = bending_limits(options.material_of(sizes["material"]), wire_diameter_mm=made.wire_diameter_mm)
    result = reform_spring(
        way=way,
        formed_deg=formed,
        rate_n_mm_per_turn=rate_of(made)
        if rate is None
        else options.positive(rate.removesuffix("per turn").removesuffix("/turn"), unit="N·mm", where="--rate"),
        erected_n_mm=low,
        folded_n_mm=high,
        stress_per_torque=bending_stress(torque_n_mm=1.0, wire_diameter_mm=made.wire_diameter_mm, stress_factor=factor),
        yield_mpa=limits.yield_mpa,
        body_turns=made.body_turns,
        mean_diameter_mm=made.mean_diameter_mm,
    )
    data = {**asdict(result), "strength_source": limits.source, **options.constant_fields(made.constant)}
    lines = options.named(
        (
            ("gain, as formed", result.gain_n_mm, "N·mm everywhere"),
            ("what remains", result.remaining_gain_n_mm, "N·mm"),
            ("erected", result.erected_n_mm, "N·mm"),
            ("folded", result.folded_n_mm, "N·mm"),
            ("stress folded", result.stress_folded_mpa, "MPa"),
            ("yield", result.yield_mpa, "MPa"),
            ("turns then", result.body_turns, ""),
            ("mean diameter then", result.mean_diameter_mm, "mm"),
        )
    )
    lines += [result.words, options.constant_line(made.constant), *_cautions(result.cautions)]
    emit(data, lines, as_json=as_json)


@click.command()
@_coil_options
@click.option("--sleeve", "sleeve_size", required=True, help="Outer diameter of the sleeve.")
@click.option("--cover", type=options.number, required=True, help="Turns that it lies under.")
@click.option("--arbor", required=True, help="Diameter beneath the other turns.")
@click.option("--erected-angle", required=True, help="Wound from free, erected.")
@click.option("--folded-angle", required=True, help="Wound from free, folded.")
@_as_json
def sleeve(
    sleeve_size: str, cover: float, arbor: str, erected_angle: str, folded_angle: str, as_json: bool, **sizes: Any
) -> None:
    """Say what a sleeve under part of the coil gains, and where the coil binds."""
    made = _spring_from(sizes)
    result, problems = sleeved(
        made,
        sleeve_mm=options.positive(sleeve_size, unit="mm", where="--sleeve"),
        covered_turns=cover,
        arbor_mm=options.positive(arbor, unit="mm", where="--arbor"),
        erected_deg=options.any_size(erected_angle, unit="deg", where="--erected-angle"),
        folded_deg=options.positive(folded_angle, unit="deg", where="--folded-angle"),
    )
    if result is None:
        raise BadInputError(*problems)
    factor = inner_stress_factor(index=made.mean_diameter_mm / made.wire_diameter_mm)
    stress = bending_stress(
        torque_n_mm=result.folded_n_mm, wire_diameter_mm=made.wire_diameter_mm, stress_factor=factor
    )
    limits = bending_limits(options.material_of(sizes["material"]), wire_diameter_mm=made.wire_diameter_mm)
    data = {
        **asdict(result),
        "stress_folded_mpa": stress,
        "yield_mpa": limits.yield_mpa,
        **options.constant_fields(made.constant),
    }
    lines = options.named(
        (
            ("grips at", result.binds_at_deg, "deg wound"),
            ("turns lost", result.turns_lost, ""),
            ("stiffer by", result.stiffness_gained, "times"),
            ("erected", result.erected_n_mm, "N·mm"),
            ("gained erected", result.gain_erected_n_mm, "N·mm"),
            ("folded", result.folded_n_mm, "N·mm"),
            ("gained folded", result.gain_folded_n_mm, "N·mm"),
            ("stress folded", stress, "MPa"),
            ("yield", limits.yield_mpa, "MPa"),
            ("clearance left", result.remaining_clearance_mm, "mm on the diameter"),
        )
    )
    lines += [result.words, options.constant_line(made.constant), *_cautions(result.cautions)]
    emit(data, lines, as_json=as_json)


@click.command()
@click.option("--erected", required=True, help="Torque this spring must give erected.")
@click.option("--folded", default="0 N mm", help="And folded, where more is needed than that.")
@click.option("--travel", required=True, help="Angle of the lever from erected to folded.")
@click.option("--pin", required=True, help="Diameter of the pin.")
@click.option("--outside", required=True, help="Room across the coil.")
@click.option("--between-cheeks", required=True, help="Room along the coil.")
@click.option("--legs", default="10mm,10mm", show_default=True)
@click.option("--leg-angle", default="0 deg", help="Between the legs when erected.")
@click.option("--clearance", default="0.1 mm", show_default=True, help="Kept between pin and bore.")
@click.option("--material", "materials", multiple=True, help="Repeat for several; default music wire.")
@click.option("--sizes", type=click.Choice(["metric", "all"]), default="all", show_default=True)
@click.option("--turns", default="1,20", show_default=True, help="Fewest and most whole turns.")
@click.option("--diameter-step", default="0.1 mm", show_default=True)
@click.option("--preload-step", default="5 deg", show_default=True)
@click.option("--most-preload", default="360 deg", show_default=True)
@click.option("--least-index", type=options.number, default=4.0, show_default=True)
@click.option("--most-index", type=options.number, default=20.0, show_default=True)
@click.option("--most-erected", help="Torque not to be exceeded erected.")
@click.option("--margin", type=options.number, default=1.0, show_default=True)
@click.option("--constant", type=click.Choice(options.CONSTANT_NAMES), default="textbook", show_default=True)
@click.option("--hand", type=click.Choice(["left", "right"]), default="right", help="That closes the coil.")
@click.option("--drawer", type=click.Path(exists=True, dir_okay=False, path_type=Path), help="Stock table (CSV).")
@click.option("--keep", type=click.IntRange(1, 100), default=8, show_default=True)
@click.option("--each-wire/--best", default=True, help="The best of each wire, or the best of all.")
@_as_json
def choose(
    materials: tuple[str, ...],
    drawer: Path | None,
    keep: int,
    each_wire: bool,
    hand: Hand,
    as_json: bool,
    **asked: Any,
) -> None:
    """Find a spring for the same space: the drawer first, then every sold wire, ranked by margin."""
    demands, grid, missing = _asked(materials or ("music wire",), asked)
    from_drawer = _drawer(drawer, demands, grid, hand)
    choice = choose_designs(grid, demands, keep=keep, each_wire=each_wire, missing=missing)
    rows = [_design_data(rank, one, demands, hand) for rank, one in enumerate(choice.designs, start=1)]
    data = {
        "drawer": [_fit_data(fit) for fit in from_drawer],
        "designs": rows,
        "space": choice.space,
        "evaluated": choice.evaluated,
        "hand": hand,
        "not_listed": list(choice.not_listed),
        "cautions": list(choice.designs[0].cautions) if choice.designs else [],
        **options.constant_fields(demands.constant),
    }
    emit(data, _choice_table(data, from_drawer), as_json=as_json)


def _asked(materials: Iterable[str], asked: dict[str, Any]) -> tuple[Demands, Grid, tuple[str, ...]]:
    def size(name: str, unit: str = "mm") -> float:
        return options.positive(asked[name], unit=unit, where=f"--{name.replace('_', '-')}")

    most = asked["most_erected"]
    demands = Demands(
        erected_n_mm=size("erected", "N·mm"),
        folded_n_mm=options.any_size(asked["folded"], unit="N·mm", where="--folded"),
        travel_deg=size("travel", "deg"),
        pin_mm=size("pin"),
        outside_mm=size("outside"),
        cheeks_mm=size("between_cheeks"),
        constant=options.constant_of(asked["constant"]),
        clearance_mm=options.any_size(asked["clearance"], unit="mm", where="--clearance"),
        least_index=asked["least_index"],
        most_index=asked["most_index"],
        most_erected_n_mm=float("inf") if most is None else size("most_erected", "N·mm"),
        least_margin=asked["margin"],
    )
    if demands.least_index < 3:
        raise bad_input("--least-index", "an index below 3 cannot be wound", "ask for 3 or more")
    if demands.pin_mm >= demands.outside_mm:
        raise bad_input("--outside", "no room for a coil between pin and outside", "measure both again")
    turns = options.parts_of(asked["turns"], units=("1",), where="--turns", count=(2,))
    if not 0 < turns[0] <= turns[1] <= 1000:
        raise bad_input("--turns", f"{asked['turns']!r} is no range of turns", "write it as in 1,20")
    kinds = [options.material_of(name) for name in materials]
    sizes = [s for s in sold_sizes() if asked["sizes"] == "all" or not s.label.startswith("music wire")]
    wires, missing = wire_choices(kinds, sizes)
    step, apart = size("preload_step", "deg"), size("diameter_step")
    longest = max(size("most_preload", "deg") / step, demands.outside_mm / apart)
    if longest > 100_000:
        raise bad_input("choose", f"{longest:.3g} steps are too many", "take larger steps")
    means = steps(demands.pin_mm + 0.2, demands.outside_mm, apart)
    grid = Grid(
        wires=wires,
        mean_diameters_mm=means,
        whole_turns=tuple(range(max(1, int(turns[0])), int(turns[1]) + 1)),
        preloads_deg=steps(step, size("most_preload", "deg"), step),
        erected_leg_angle_deg=options.any_size(asked["leg_angle"], unit="deg", where="--leg-angle"),
        leg_lengths_mm=options.legs_of(asked["legs"]),
    )
    if not grid.size:
        raise bad_input("choose", "nothing to choose from", "widen turns, preload or sizes")
    if grid.size > 300_000_000:
        raise bad_input("choose", f"{grid.size:.3g} designs are too many", "take larger steps or fewer materials")
    return demands, grid, missing


def _drawer(path: Path | None, demands: Demands, grid: Grid, hand: Hand) -> tuple[DrawerFit, ...]:
    if path is None:
        return ()
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise bad_input("--drawer", f"{path.name} cannot be read ({error})", "save it as CSV in UTF-8") from None
    stock, problems = read_drawer(text)
    if problems:
        raise BadInputError(*problems)
    legs = grid.leg_lengths_mm
    return look_through(
        stock,
        demands,
        hand=hand,
        erected_leg_angle_deg=grid.erected_leg_angle_deg,
        leg_lengths_mm=(legs[0], legs[-1] if len(legs) > 1 else 0.0),
    )


def _fit_data(fit: DrawerFit) -> dict[str, Any]:
    found = fit.found
    return {
        "name": fit.stock.name,
        "from": fit.stock.donor,
        "way": fit.way,
        "why": fit.why,
        "margin": found.margin if found else None,
        "body_turns": found.body_turns if found else None,
        "preload_deg": found.preload_deg if found else None,
        "erected_n_mm": found.erected_n_mm if found else None,
        "folded_n_mm": found.folded_n_mm if found else None,
        "cautions": list(fit.cautions) if found else [],
    }


def _design_data(rank: int, design: Design, demands: Demands, hand: Hand) -> dict[str, Any]:
    made, loaded = design.spring, design.folded
    limit = loaded.limits.static_limit_mpa or 0.0
    chance: Chance = chance_that_it_will_do(
        made,
        demands=demands,
        preload_deg=design.preload_deg,
        limit_mpa=limit,
        tolerances=usual_tolerances(made),
    )
    return {
        "rank": rank,
        "material": design.material,
        "wire": design.wire,
        "wire_diameter_mm": made.wire_diameter_mm,
        "mean_diameter_mm": made.mean_diameter_mm,
        "outside_diameter_mm": made.mean_diameter_mm + made.wire_diameter_mm,
        "index": loaded.index,
        "body_turns": made.body_turns,
        "active_turns": loaded.active_turns,
        "free_leg_angle_deg": design.free_leg_angle_deg,
        "preload_deg": design.preload_deg,
        "rate_n_mm_per_turn": loaded.rate_n_mm_per_turn,
        "erected_n_mm": design.erected_n_mm,
        "folded_n_mm": design.folded_n_mm,
        "stress_mpa": loaded.stress_mpa,
        "static_limit_mpa": limit,
        "tensile_mpa": loaded.limits.tensile_mpa,
        "loaded_inner_diameter_mm": loaded.cautious_inner_diameter_mm,
        "pin_clearance_mm": loaded.pin_clearance_mm,
        "loaded_body_length_mm": loaded.loaded_body_length_mm,
        "margin": design.margin,
        "chance": asdict(chance),
        "winding": _winding_data(design, hand),
    }


def _winding_data(design: Design, hand: Hand) -> dict[str, Any]:
    material = find_material(design.material)
    assert material is not None
    strength = tensile_strength(material, wire_diameter_mm=design.spring.wire_diameter_mm)
    assert strength is not None
    sheet = winding_sheet(
        design.spring,
        hand=hand,
        tensile_mpa=strength.minimum_mpa,
        most_tensile_mpa=strength.maximum_mpa,
    )
    return {
        "hand": hand,
        "mandrels": [asdict(mandrel) for mandrel in sheet.mandrels],
        "wire_length_mm": sheet.wire_length_mm,
        "body_length_mm": sheet.body_length_mm,
        "free_leg_angle_deg": sheet.free_leg_angle_deg,
    }


_HEADS = ("", "material", "wire", "mean mm", "turns", "leg deg", "wound deg", "erected", "folded", "margin", "will do")


def _choice_table(data: dict[str, Any], fits: Iterable[DrawerFit]) -> list[str]:
    lines = [f"drawer: {fit.stock.name}: {fit.why}" for fit in fits]
    rows = [
        (
            row["rank"], row["material"], row["wire"], f"{row['mean_diameter_mm']:.2f}",
            f"{row['body_turns']:.2f}", f"{row['free_leg_angle_deg']:.0f}", f"{row['preload_deg']:.0f}",
            show_number(row["erected_n_mm"]), show_number(row["folded_n_mm"]), f"{row['margin']:.2f}",
            f"{row['chance']['will_do']:.0%}",
        )
        for row in data["designs"]
    ]  # fmt: skip
    lines += columns(_HEADS, rows) if rows else ["no sold wire does it in this space: ask for less, or make room"]
    lines += _mandrel_lines(data["designs"][:1])
    lines.append(f"{data['space']:,} designs in the space; torques in N·mm, margin against need and static limit")
    lines.append(f"torsion constant  {data['constant']}, K = {data['constant_value']:.0f} ({data['constant_source']})")
    return [*lines, *_cautions(cast("list[str]", data["cautions"]))]


def _mandrel_lines(rows: Iterable[dict[str, Any]]) -> list[str]:
    return [
        f"no. {row['rank']}: mandrel {mandrel['diameter_mm']:.2f} mm, wind {mandrel['turns_to_wind']:.2f} turns "
        f"(wire of {mandrel['flow_mpa']:.0f} MPa; a first trial)"
        for row in rows
        for mandrel in row["winding"]["mandrels"]
    ]


def _cautions(cautions: Iterable[str]) -> list[str]:
    return [f"CAUTION: {text}" for text in cautions]
