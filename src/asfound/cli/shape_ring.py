"""How round a ring is, where it rubs, and where to press it."""

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import click

from asfound.cli.output import columns, emit
from asfound.cli.shape_table import table_of
from asfound.problems import bad_input
from asfound.quantity import convert, parse_quantity
from asfound.shape import (
    UNKNOWN_SPRING_BACK,
    Circle,
    Overlay,
    Ring,
    Rub,
    Scuff,
    Zone,
    deg_to_clock,
    overlay,
    polar,
    press_places,
    profile,
    radii_from_clearance,
    ring_from_diameters,
    ring_from_points,
    ring_from_radii,
    rub_on_pointer,
)

_LAYOUTS = (("x", "y"), ("angle", "radius"), ("angle", "diameter"), ("clock", "clearance"), ("angle", "clearance"))


@click.command()
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--flat", "flats", multiple=True, help="An arc flat by design, left out, such as 80:100 (degrees).")
@click.option("--mating-radius", help="For clearances: radius of the true round they were taken to.")
@click.option("--inside/--outside", "outside", default=True, help="The ring lies inside the true round, or outside.")
@click.option("--pointer", help="Radius of a fixed pointer outside the ring, from its centre: where does it rub?")
@click.option("--needed", default="0", show_default=True, help="Clearance to keep to the pointer.")
@click.option("--scuff", "scuffs", multiple=True, help="A scuff mark seen, such as 350:20 (degrees).")
@click.option("--allowed", default="0", show_default=True, help="Deviation that may stay, when told where to press.")
@click.option("--uncertainty", help="Standard uncertainty of each point or radius.")
@click.option("--json", "as_json", is_flag=True, help="Print the same names as JSON.")
def ring(
    file: Path,
    flats: tuple[str, ...],
    mating_radius: str | None,
    outside: bool,
    pointer: str | None,
    needed: str,
    scuffs: tuple[str, ...],
    allowed: str,
    uncertainty: str | None,
    as_json: bool,
) -> None:
    """Fit a ring in FILE.csv: columns x_mm,y_mm or angle_deg,radius_mm.

    Also angle_deg,diameter_mm (by calliper), and clock,clearance_mm or angle_deg,clearance_mm (by feeler,
    with --mating-radius). Degrees run against the clock from 3 o'clock.
    """
    found = _ring_of(file, [_arc(flat, "--flat") for flat in flats], mating_radius, outside)
    data = ring_data(found, allowed_mm=parse_quantity(allowed, unit="mm", where="--allowed"))
    if uncertainty is not None:
        u = parse_quantity(uncertainty, unit="mm", where="--uncertainty")
        data["minimum_zone"]["u_out_of_round_mm"] = found.minimum_zone.uncertainty_mm(u)
    if pointer is not None:
        tip = parse_quantity(pointer, unit="mm", where="--pointer")
        clearance = parse_quantity(needed, unit="mm", where="--needed")
        marks = [Scuff(*_arc(scuff, "--scuff")) for scuff in scuffs]
        data |= _rub_data(found, tip, clearance, marks)
    elif scuffs:
        raise bad_input("--scuff", "is laid over where the ring rubs", "give --pointer too")
    emit(data, ring_table(data), as_json=as_json)


def _ring_of(file: Path, flats: list[tuple[float, float]], mating_radius: str | None, outside: bool) -> Ring:
    table = table_of(file, _LAYOUTS)
    c = table.columns
    if table.has("x", "y"):
        return ring_from_points(_stacked(c["x"], c["y"]), flats_deg=flats)
    angle = c["angle"] if "angle" in c else c["clock"]
    if table.has("radius"):
        return ring_from_radii(angle_deg=angle, radius_mm=c["radius"], flats_deg=flats)
    if table.has("diameter"):
        return ring_from_diameters(angle_deg=angle, diameter_mm=c["diameter"], flats_deg=flats)
    if mating_radius is None:
        raise bad_input(file.name, "clearances alone give no ring", "give --mating-radius of the true round")
    true_radius = parse_quantity(mating_radius, unit="mm", where="--mating-radius")
    radii = radii_from_clearance(clearance_mm=c["clearance"], mating_radius_mm=true_radius, outside=outside)
    return ring_from_radii(angle_deg=angle, radius_mm=radii, flats_deg=flats)


def _stacked(x: Any, y: Any) -> Any:
    import numpy as np

    return np.column_stack([x, y])


def _arc(text: str, where: str) -> tuple[float, float]:
    parts = text.split(":")
    if len(parts) != 2:
        raise bad_input(where, f"{text!r} is no arc", "write it as in 80:100")
    start, end = (parse_quantity(part, unit="deg", where=where) for part in parts)
    return start, end


def ring_data(found: Ring, *, allowed_mm: float = 0.0) -> dict[str, Any]:
    """Return what a ring's points tell, by the names of the JSON."""
    return {
        "points": len(found.points_mm),
        "least_squares": circle_data(found.least_squares),
        "minimum_zone": zone_data(found.minimum_zone),
        "minimum_circumscribed": circle_data(found.minimum_circumscribed),
        "maximum_inscribed": circle_data(found.maximum_inscribed),
        "harmonics": [
            {
                "order": h.order,
                "amplitude_mm": h.amplitude_mm,
                "direction_deg": h.direction_deg,
                "u_amplitude_mm": h.u_amplitude_mm,
            }
            for h in found.harmonics
        ],
        "press": [
            {"angle_deg": p.angle_deg, "clock": deg_to_clock(p.angle_deg), "way": p.way, "shortfall_mm": p.shortfall_mm}
            for p in press_places(found.harmonics, allowed_mm=allowed_mm)[:8]
        ],
        "remarks": [str(remark) for remark in found.remarks],
    }


def circle_data(circle: Circle | None) -> dict[str, Any] | None:
    """Return a circle by the names of the JSON."""
    if circle is None:
        return None
    return {
        "centre_mm": list(circle.centre_mm),
        "radius_mm": circle.radius_mm,
        "out_of_round_mm": circle.out_of_round_mm,
    }


def zone_data(zone: Zone) -> dict[str, Any]:
    """Return the minimum zone and its proof by the names of the JSON."""
    proof = zone.certificate
    return {
        "centre_mm": list(zone.centre_mm),
        "radius_mm": zone.radius_mm,
        "inner_radius_mm": zone.inner_radius_mm,
        "outer_radius_mm": zone.outer_radius_mm,
        "out_of_round_mm": zone.out_of_round_mm,
        "certificate": {
            "lower_bound_mm": proof.lower_bound_mm,
            "gap_mm": proof.gap_mm,
            "proved": proof.proved,
            "contacts": list(proof.contacts),
            "weights": list(proof.weights),
        },
    }


def _rub_data(found: Ring, tip_mm: float, needed_mm: float, scuffs: Sequence[Scuff]) -> dict[str, Any]:
    angle, radius = polar(found.points_mm, found.least_squares.centre_mm)
    shape = profile(angle_deg=angle, radius_mm=radius)
    rub = rub_on_pointer(shape, pointer_radius_mm=tip_mm, pointer_deg=0.0, needed_mm=needed_mm)
    return {"rub": rub_data(rub), "scuffs": [_scuff_data(o) for o in overlay(scuffs, shape, rub)]}


def rub_data(rub: Rub) -> dict[str, Any]:
    """Return the tightest place of a turn by the names of the JSON."""
    return {
        "clearance_mm": rub.clearance_mm,
        "short_mm": rub.short_mm,
        "place_deg": rub.place_deg,
        "clock": deg_to_clock(rub.place_deg),
        "rubbing_deg": [list(arc) for arc in rub.rubbing],
    }


def _scuff_data(laid: Overlay) -> dict[str, Any]:
    return {
        "from_deg": laid.scuff.from_deg,
        "to_deg": laid.scuff.to_deg,
        "highest_mm": laid.deviation_mm,
        "rubs_there": laid.rubs_there,
    }


def ring_table(data: Mapping[str, Any]) -> Iterator[str]:
    """Yield the lines that a person reads."""
    names = ("least_squares", "minimum_zone", "minimum_circumscribed", "maximum_inscribed")
    yield from columns(
        ["circle", "centre x", "centre y", "radius mm", "out of round mm", "thou"],
        [_circle_row(name, data[name]) for name in names],
    )
    if data["harmonics"]:
        yield ""
        heads = ["lobes", "amplitude mm", "towards deg", "clock"]
        yield from columns(heads, [_wave_row(h) for h in data["harmonics"][:6]])
    if data["press"]:
        yield ""
        worst = data["press"][0]
        yield (
            f"press {worst['way']} at {worst['clock']} o'clock ({worst['angle_deg']:.0f} deg): it must stay moved "
            f"by {worst['shortfall_mm']:.3f} mm"
        )
        yield UNKNOWN_SPRING_BACK
    if rub := data.get("rub"):
        room = f"short by {rub['short_mm']:.3f} mm" if rub["short_mm"] else f"{rub['clearance_mm']:.3f} mm free"
        yield f"nearest to the pointer at {rub['clock']} o'clock ({rub['place_deg']:.0f} deg): {room}"
    for scuff in data.get("scuffs", ()):
        says = "rubs there, as reckoned" if scuff["rubs_there"] else "nothing rubs there by this ring's shape"
        yield f"scuff {scuff['from_deg']:g} to {scuff['to_deg']:g} deg: {says}"
    yield from data["remarks"]


def _circle_row(name: str, circle: Mapping[str, Any] | None) -> list[str]:
    title = name.replace("_", " ")
    if circle is None:
        return [title, "", "", "none", "", ""]
    x, y = circle["centre_mm"]
    thou = convert(circle["out_of_round_mm"], "mm", "thou")
    numbers = [x, y, circle["radius_mm"], circle["out_of_round_mm"]]
    return [title, *(f"{number:.4f}" for number in numbers), f"{thou:.2f}"]


def _wave_row(wave: Mapping[str, Any]) -> list[str]:
    amplitude, direction = wave["amplitude_mm"], wave["direction_deg"]
    return [str(wave["order"]), f"{amplitude:.4f}", f"{direction:.1f}", deg_to_clock(direction)]
