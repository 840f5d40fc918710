"""The spring commands that judge what is there: measured at the lever, and whether it holds."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

import click

from asfound.cli import spring_options as options
from asfound.cli.output import columns, emit
from asfound.problems import bad_input
from asfound.quantity import Reading, show_number, show_reading
from asfound.springs.hold import Holding, judge_hold
from asfound.springs.loaded import load_torsion
from asfound.springs.measured import (
    Finding,
    LeverTry,
    MeasuredSpring,
    Told,
    compare_cleaning,
    compare_with_dimensions,
    compare_with_twin,
    measure_spring,
    told_by_magnet_and_colour,
)
from asfound.springs.need import (
    Lock,
    Need,
    Strut,
    bellows_force,
    linkage_picture,
    torque_at_give_way,
    torque_needed,
    torque_to_keep,
)

_as_json = click.option("--json", "as_json", is_flag=True, help="Print the same names as JSON.")


def tries_of(texts: Sequence[str], where: str) -> list[LeverTry]:
    """Return tries from ``angle,winding force,unwinding force`` texts; the same angle again is a repeat."""
    winding: dict[float, list[float]] = defaultdict(list)
    unwinding: dict[float, list[float]] = defaultdict(list)
    for text in texts:
        angle, up, down = options.parts_of(text, units=("deg", "N", "N"), where=where, count=(3,))
        if up < down:
            what = f"{text!r}: unwinding is stronger than winding, which friction cannot do"
            raise bad_input(where, what, "give angle, winding, unwinding in this order")
        winding[angle].append(up)
        unwinding[angle].append(down)
    return [
        LeverTry(angle_deg=angle, winding_n=tuple(winding[angle]), unwinding_n=tuple(unwinding[angle]))
        for angle in sorted(winding)
    ]


@click.command()
@click.option("--at", "at", multiple=True, required=True, help="Angle, winding, unwinding: 30deg,1.2N,0.8N. Repeat.")
@click.option("--arm", required=True, help="From the pivot to where the force is, at right angles.")
@click.option("--arm-uncertainty", default="0 mm")
@click.option("--force-uncertainty", default="0 N", help="One standard uncertainty of the force gauge.")
@click.option("--clean/--dirty", default=False, help="Measured after cleaning? Only then is the spring judged.")
@click.option("--before-at", multiple=True, help="The same before cleaning.")
@click.option("--twin-at", multiple=True, help="The same on the other strut.")
@click.option("--wire", help="The spring's own wire, to compare with its dimensions.")
@click.option("--wire-uncertainty", default="0.005 mm", show_default=True)
@click.option("--mean-diameter")
@click.option("--outside-diameter")
@click.option("--body-turns", type=options.number)
@click.option("--legs")
@click.option("--material", default="music wire", show_default=True)
@click.option("--modulus")
@click.option("--constant", type=click.Choice(options.CONSTANT_NAMES), default="textbook", show_default=True)
@click.option("--magnet", type=click.Choice(["pulls", "does not"]), help="Does a magnet pull the wire?")
@click.option("--colour", type=click.Choice(["grey", "yellow"]), help="Of the bare wire, under its tarnish.")
@click.option("--free-angle", help="Lever angle at which it stood free when new, where known.")
@click.option("--as-typed", is_flag=True)
@_as_json
def measured(
    at: tuple[str, ...],
    arm: str,
    arm_uncertainty: str,
    force_uncertainty: str,
    clean: bool,
    before_at: tuple[str, ...],
    twin_at: tuple[str, ...],
    wire: str | None,
    free_angle: str | None,
    as_json: bool,
    **dimensions: Any,
) -> None:
    """Part spring from friction by forces winding and unwinding, and compare."""
    arm_mm = options.positive(arm, unit="mm", where="--arm")
    u_arm = options.any_size(arm_uncertainty, unit="mm", where="--arm-uncertainty")
    u_force = options.any_size(force_uncertainty, unit="N", where="--force-uncertainty")

    def take(texts: Sequence[str], where: str, is_clean: bool) -> MeasuredSpring:
        return measure_spring(tries_of(texts, where), arm_mm=arm_mm, u_force_n=u_force, u_arm_mm=u_arm, clean=is_clean)

    found = take(at, "--at", clean)
    data = _measured_data(found)
    lines = _measured_table(found)
    if before_at:
        _add_cleaning(data, lines, take(before_at, "--before-at", False), found)
    if twin_at:
        _add_twins(data, lines, found, take(twin_at, "--twin-at", clean))
    if wire is not None:
        finding = _finding(found, wire=wire, free_angle=free_angle, **dimensions)
        data["finding"] = asdict(finding)
        data |= options.constant_fields(options.constant_of(dimensions["constant"]))
        lines += [f"{finding.kind}: {finding.words}", *(f"  ask: {ask}" for ask in finding.asks)]
        lines.append(options.constant_line(options.constant_of(dimensions["constant"])))
    elif not clean:
        lines.append("not clean: clean it and measure again before the spring is judged")
    emit(data, lines, as_json=as_json)


def _flat_rate(found: MeasuredSpring) -> dict[str, float | None]:
    rate, free = found.rate, found.free_angle
    return {
        "rate_n_mm_per_turn": rate.value if rate else None,
        "u_rate_n_mm_per_turn": rate.standard_uncertainty if rate else None,
        "free_angle_deg": free.value if free else None,
        "u_free_angle_deg": free.standard_uncertainty if free else None,
        "dof_rate": rate.degrees_of_freedom if rate else None,
    }


def _measured_data(found: MeasuredSpring) -> dict[str, Any]:
    splits = [
        {
            "angle_deg": split.angle_deg,
            **split.spring.flat("spring"),
            **split.friction.flat("friction"),
        }
        for split in found.splits
    ]
    return {"clean": found.clean, "splits": splits, **_flat_rate(found)}


def _measured_table(found: MeasuredSpring) -> list[str]:
    rows = [
        (f"{split.angle_deg:g} deg", show_reading(split.spring), show_reading(split.friction)) for split in found.splits
    ]
    lines = columns(("angle", "spring", "friction"), rows)
    if found.rate is not None and found.free_angle is not None:
        lines += [f"rate {show_reading(found.rate)}", f"free at {show_reading(found.free_angle)}"]
    return lines


def _add_cleaning(data: dict[str, Any], lines: list[str], before: MeasuredSpring, after: MeasuredSpring) -> None:
    same = {split.angle_deg: split for split in before.splits}
    pairs = [(same[split.angle_deg], split) for split in after.splits if split.angle_deg in same]
    if not pairs:
        raise bad_input("--before-at", "no angle in common with --at", "measure at the same angles")
    data["cleaning"] = [{"angle_deg": b.angle_deg, **asdict(compare_cleaning(b, a))} for b, a in pairs]
    for b, a in pairs:
        gone = compare_cleaning(b, a).gone_share
        if gone is not None:
            lines.append(f"cleaning took away {gone:.0%} of the friction at {b.angle_deg:g} deg")


def _add_twins(data: dict[str, Any], lines: list[str], found: MeasuredSpring, twin: MeasuredSpring) -> None:
    same = {split.angle_deg: split for split in twin.splits}
    pairs = [(split, same[split.angle_deg]) for split in found.splits if split.angle_deg in same]
    if not pairs:
        raise bad_input("--twin-at", "no angle in common with --at", "measure both struts at the same angles")
    if any(not other.spring.value for _, other in pairs):
        raise bad_input("--twin-at", "the twin gives nothing", "compare where both give something")
    twins = [compare_with_twin(mine, other) for mine, other in pairs]
    data["twin"] = [asdict(one) for one in twins]
    lines += [f"{one.ratio:.0%} of its twin at {one.angle_deg:g} deg: {one.words}" for one in twins]
    lines.append(twins[0].warning)


def _finding(
    found: MeasuredSpring,
    *,
    wire: str,
    wire_uncertainty: str,
    mean_diameter: str | None,
    outside_diameter: str | None,
    body_turns: float | None,
    legs: str | None,
    material: str,
    modulus: str | None,
    constant: str,
    free_angle: str | None,
    magnet: str | None,
    colour: str | None,
    as_typed: bool,
) -> Finding:
    if body_turns is None:
        raise bad_input("--body-turns", "wanted with --wire", "count the turns of the coil")
    kind = options.material_of(material)
    made = options.torsion_spring(
        wire=wire, mean=mean_diameter, outside=outside_diameter, body_turns=body_turns, legs=legs,
        material=kind, modulus=modulus, constant=constant, as_typed=as_typed,
    )  # fmt: skip
    u_wire = options.any_size(wire_uncertainty, unit="mm", where="--wire-uncertainty")
    # The mean diameter by calliper, and the modulus as it scatters between batches: 1 % each.
    expected = load_torsion(
        made,
        torque_n_mm=1.0,
        material=kind,
        u_wire_mm=u_wire,
        u_mean_diameter_mm=0.01 * made.mean_diameter_mm,
        u_modulus_mpa=0.01 * made.modulus_mpa,
    )
    told: Told = "cannot tell"
    if magnet is not None and colour is not None:
        told = told_by_magnet_and_colour(pulled=magnet == "pulls", yellow=colour == "yellow")
    return compare_with_dimensions(
        found,
        rate_n_mm_per_turn=expected.rate_n_mm_per_turn,
        u_rate_n_mm_per_turn=expected.u_rate_n_mm_per_turn or 0.0,
        wire_diameter_mm=made.wire_diameter_mm,
        modulus_mpa=made.modulus_mpa,
        free_angle_deg=None if free_angle is None else options.any_size(free_angle, unit="deg", where="--free-angle"),
        told=told,
    )


@click.command()
@click.option("--strut-length", required=True, help="From the pivot at the body to the pin at the front.")
@click.option("--angle-erected", required=True, help="Strut to body plane: 90deg stands straight out.")
@click.option("--angle-folded", default="0 deg", show_default=True)
@click.option("--weight", default="0 N", help="Weight of the front, such as 60g.")
@click.option("--elevation", default="90 deg", show_default=True, help="Where the lens points: 90deg is up.")
@click.option("--bellows", help="Force of the bellows towards the body, erected.")
@click.option("--pull-attached", help="Instead: pull with the bellows attached.")
@click.option("--pull-detached", help="And with them detached.")
@click.option("--bellows-folded", default="0 N", help="The same folded; below zero pushes the front out.")
@click.option("--friction", default="0 N mm", help="Friction torque, as measured.")
@click.option("--lock", type=click.Choice(["none", "over-centre", "groove"]), default="none", show_default=True)
@click.option("--finger", default="0 N", help="Push on the shutter release, towards the body.")
@click.option("--groove-arm", help="From the pivot to the locking pin in its groove.")
@click.option("--groove-slope", default="45 deg", show_default=True)
@click.option("--groove-friction", type=options.number, default=0.15, show_default=True)
@click.option("--bears-at", help="From the pivot to where the leg bears.")
@click.option("--bears-from-coil", help="From the coil to the same, where the coil is not on the pivot.")
@click.option("--gives-erected", multiple=True, help="Torque of a spring erected, such as '12 N mm'. Once a strut.")
@click.option("--gives-folded", multiple=True)
@click.option("--gives-uncertainty", help="One standard uncertainty of each.")
@click.option("--gives-way", help="Force at which it gives way now.")
@click.option("--gives-way-arm", help="And its arm.")
@click.option("--margin", type=options.number, default=1.3, show_default=True)
@_as_json
def hold(
    lock: Lock,
    gives_erected: tuple[str, ...],
    gives_folded: tuple[str, ...],
    gives_uncertainty: str | None,
    gives_way: str | None,
    gives_way_arm: str | None,
    margin: float,
    as_json: bool,
    angle_erected: str,
    angle_folded: str,
    **sizes: Any,
) -> None:
    """Say what torque a strut needs, erected and folded, and whether its springs give it."""
    strut = _strut(lock=lock, **sizes)
    erected_deg = options.any_size(angle_erected, unit="deg", where="--angle-erected")
    folded_deg = options.any_size(angle_folded, unit="deg", where="--angle-folded")
    if not -30 <= folded_deg < erected_deg <= 150:
        what = f"{folded_deg:g} to {erected_deg:g} deg is no strut opening"
        raise bad_input("--angle-erected", what, "measure both from the body's plane, folded below erected")
    if lock == "over-centre" and erected_deg <= 90:
        what = f"an over-centre strut stands past 90 deg, not at {erected_deg:g}"
        raise bad_input("--lock", what, "give the angle it stands at, or --lock none")
    arrive = torque_needed(strut, angle_deg=erected_deg)
    keep = torque_to_keep(strut, angle_deg=erected_deg)
    start = torque_needed(strut, angle_deg=folded_deg, folded=True)
    erected = max(arrive.spring_n_mm, keep.spring_n_mm)
    held = [
        _judge("erected", erected, gives_erected, gives_uncertainty, margin),
        _judge("folded", start.spring_n_mm, gives_folded, gives_uncertainty, margin),
    ]
    way, most = _give_way(gives_way, gives_way_arm), max(arrive.pivot_n_mm, keep.pivot_n_mm)
    data = {
        "needed_erected_n_mm": erected,
        "needed_folded_n_mm": start.spring_n_mm,
        "bellows_n": strut.bellows_n,
        "picture_erected": asdict(linkage_picture(strut, need=arrive, finger=strut.finger_n > 0)),
        "picture_folded": asdict(linkage_picture(strut, need=start, folded=True)),
        "to_arrive": asdict(arrive),
        "to_keep": asdict(keep),
        "to_start": asdict(start),
        "gives_way_n_mm": way,
        "gives_way_over_needed": way / most if way is not None and most > 0 else None,
        "wanted_margin": margin,
        **_held_data(held),
    }
    emit(data, _held_table(arrive, keep, start, held, way), as_json=as_json)


def _strut(*, lock: Lock, **sizes: Any) -> Strut:
    def read(name: str, unit: str) -> float:
        return options.any_size(sizes[name], unit=unit, where=f"--{name.replace('_', '-')}")

    def maybe(name: str, unit: str) -> float | None:
        return options.maybe(sizes[name], unit=unit, where=f"--{name.replace('_', '-')}")

    if lock == "groove" and sizes["groove_arm"] is None:
        raise bad_input("--groove-arm", "wanted with a groove", "measure from the pivot to the locking pin")
    if (sizes["pull_attached"] is None) != (sizes["pull_detached"] is None):
        raise bad_input("--pull-attached", "both pulls are wanted", "measure with and without the bellows")
    bellows = 0.0 if sizes["bellows"] is None else read("bellows", "N")
    if sizes["pull_attached"] is not None:
        bellows = bellows_force(attached_n=read("pull_attached", "N"), detached_n=read("pull_detached", "N"))
    return Strut(
        length_mm=options.positive(sizes["strut_length"], unit="mm", where="--strut-length"),
        weight_n=read("weight", "N"),
        elevation_deg=read("elevation", "deg"),
        bellows_n=bellows,
        bellows_folded_n=read("bellows_folded", "N"),
        friction_n_mm=read("friction", "N·mm"),
        bears_mm=maybe("bears_at", "mm"),
        bears_from_coil_mm=maybe("bears_from_coil", "mm"),
        lock=lock,
        finger_n=read("finger", "N"),
        groove_arm_mm=maybe("groove_arm", "mm"),
        groove_slope_deg=read("groove_slope", "deg"),
        groove_friction=sizes["groove_friction"],
    )


def _judge(position: str, needed: float, gives: Sequence[str], u_text: str | None, margin: float) -> Holding | None:
    if not gives:
        return None
    where = f"--gives-{position}"
    u = options.maybe(u_text, unit="N·mm", where="--gives-uncertainty")
    springs = [
        Reading(value=options.any_size(text, unit="N·mm", where=where), unit="N·mm", standard_uncertainty=u)
        for text in gives
    ]
    return judge_hold(position=position, needed_n_mm=needed, springs=springs, wanted_margin=margin)


def _give_way(force: str | None, arm: str | None) -> float | None:
    if force is None and arm is None:
        return None
    if force is None or arm is None:
        raise bad_input("--gives-way", "force and arm are wanted together", "give --gives-way-arm too")
    return torque_at_give_way(
        force_n=options.positive(force, unit="N", where="--gives-way"),
        arm_mm=options.positive(arm, unit="mm", where="--gives-way-arm"),
    )


def _held_data(held: Sequence[Holding | None]) -> dict[str, Any]:
    data: dict[str, Any] = {}
    for position, one in zip(("erected", "folded"), held, strict=True):
        data[f"given_{position}_n_mm"] = one.given_n_mm if one else None
        data[f"u_given_{position}_n_mm"] = one.u_given_n_mm if one else None
        data[f"margin_{position}"] = one.margin if one else None
        data[f"verdict_{position}"] = one.verdict if one else "cannot tell"
        data[f"share_of_each_{position}"] = list(one.share_of_each) if one else []
    return data


def _held_table(arrive: Need, keep: Need, start: Need, held: Sequence[Holding | None], way: float | None) -> list[str]:
    lines = []
    named = (("to come home", arrive), ("to keep there, finger on", keep), ("to start, folded", start))
    for words, need in named:
        terms = ", ".join(f"{term.name} {show_number(term.torque_n_mm)}" for term in need.terms)
        lines.append(f"{words}: {show_number(need.spring_n_mm)} N·mm at {need.angle_deg:g} deg ({terms})")
    lines += [f"{one.position}: {one.verdict}; {one.words}" for one in held if one is not None]
    if way is not None:
        needed = show_number(max(arrive.pivot_n_mm, keep.pivot_n_mm))
        lines.append(f"gives way now at {show_number(way)} N·mm about the pivot; {needed} N·mm are needed there")
    lines.append("needed for all struts together")
    return lines
