"""Driver reach from the command line."""

import math
from typing import Any

import click

from asfound.bench.drivers import own_drivers
from asfound.book import Book
from asfound.cli.book_option import with_book
from asfound.cli.output import columns, emit
from asfound.teardown.reach import Obstacle, Reach, driver_reach, read_driver, read_obstacle


@click.command()
@with_book
@click.option("--depth", type=float, required=True, help="From the slot to where the handle has room, mm.")
@click.option("--opening", type=float, help="Diameter of the well over the screw, mm.")
@click.option("--obstacle", help="HEIGHTxGAP in mm: an edge so high over the slot, so far beside its axis (may be -).")
@click.option("--slot", type=float, help="Width of the slot, mm.")
@click.option("--head", type=float, help="Diameter of the head, mm.")
@click.option("--driver", "drivers", multiple=True, help='One more: "0.4x2 shaft 2x40 handle 8"; may be repeated.')
@click.option("--json", "as_json", is_flag=True, help="The same as JSON.")
def reach(
    book: Book,
    depth: float,
    opening: float | None,
    obstacle: str | None,
    slot: float | None,
    head: float | None,
    drivers: tuple[str, ...],
    as_json: bool,
) -> None:
    """Say what driver reaches a screw: shaft length and diameter, forced tilt, and which of yours.

    Your own drivers ("asfound drivers") are tried, and those named here.
    """
    found = driver_reach(
        depth_mm=depth,
        opening_mm=opening,
        obstacle=_obstacle(obstacle),
        slot_width_mm=slot,
        head_diameter_mm=head,
        drivers=[*own_drivers(book), *(read_driver(text, where="--driver") for text in drivers)],
    )
    emit(_data(found), _table(found), as_json=as_json)


def _obstacle(text: str | None) -> Obstacle | None:
    if text is None:
        return None
    return read_obstacle(text, where="--obstacle")


def _data(found: Reach) -> dict[str, Any]:
    return {
        "shaft_length_mm": found.shaft_length_mm,
        "straight_shaft_diameter_mm": found.straight_diameter_mm,
        "tilted_shaft_diameter_mm": found.tilted_diameter_mm,
        "blade_thickness_mm": list(found.blade_thickness_mm),
        "blade_width_mm": found.blade_width_mm,
        "drivers": [
            {
                "driver": str(fit.driver),
                "tilt_deg": fit.tilt_deg,
                "reaches": fit.reaches,
                "why_not": list(fit.why_not),
            }
            for fit in found.drivers
        ],
    }


def _table(found: Reach) -> list[str]:
    thin = f"at most {found.straight_diameter_mm:.1f} mm" if found.straight_diameter_mm > 0 else "none stands straight"
    lines = [f"shaft: at least {found.shaft_length_mm:.0f} mm long; upright {thin}"]
    if found.tilted_diameter_mm > found.straight_diameter_mm:
        lines.append(f"       leaning as far as a blade stands: at most {found.tilted_diameter_mm:.1f} mm")
    if found.blade_thickness_mm[1] < math.inf:
        lines.append(f"blade: {found.blade_thickness_mm[0]:.2f} to {found.blade_thickness_mm[1]:.2f} mm thick")
    if found.blade_width_mm < math.inf:
        lines.append(f"       at most {found.blade_width_mm:.1f} mm wide")
    rows = [
        (str(fit.driver), "reaches" if fit.reaches else "no", f"{fit.tilt_deg:.0f}", "; ".join(fit.why_not))
        for fit in found.drivers
    ]
    return lines + (["", *columns(["driver", "", "tilt deg", ""], rows)] if rows else [])
