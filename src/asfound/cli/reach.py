"""Driver reach from the command line."""

import math
import re
from typing import Any

import click

from asfound.cli.output import columns, emit
from asfound.problems import BadInputError, Problem
from asfound.teardown.reach import Driver, Obstacle, Reach, driver_reach


@click.command()
@click.option("--depth", type=float, required=True, help="From the slot to where the handle has room, mm.")
@click.option("--opening", type=float, help="Diameter of the well over the screw, mm.")
@click.option("--obstacle", help="HEIGHTxGAP in mm: an edge so high over the slot, so far beside its axis (may be -).")
@click.option("--slot", type=float, help="Width of the slot, mm.")
@click.option("--head", type=float, help="Diameter of the head, mm.")
@click.option("--driver", "drivers", multiple=True, help='One at hand: "0.4x2 shaft 2x40 handle 8"; may be repeated.')
@click.option("--json", "as_json", is_flag=True, help="The same as JSON.")
def reach(
    depth: float,
    opening: float | None,
    obstacle: str | None,
    slot: float | None,
    head: float | None,
    drivers: tuple[str, ...],
    as_json: bool,
) -> None:
    """Say what driver reaches a screw: shaft length and diameter, forced tilt, and which of yours."""
    found = driver_reach(
        depth_mm=depth,
        opening_mm=opening,
        obstacle=_obstacle(obstacle),
        slot_width_mm=slot,
        head_diameter_mm=head,
        drivers=[_driver(text) for text in drivers],
    )
    emit(_data(found), _table(found), as_json=as_json)


_NUMBER = r"(-?\d+(?:[.,]\d+)?)"


def _numbers(pattern: str, text: str, where: str, like: str) -> list[float]:
    match = re.fullmatch(pattern, text.strip())
    if match is None:
        raise BadInputError(Problem(where, f"{text!r} cannot be read", f'type such as "{like}"'))
    return [float(group.replace(",", ".")) for group in match.groups() if group]


def _obstacle(text: str | None) -> Obstacle | None:
    if text is None:
        return None
    height, gap = _numbers(rf"{_NUMBER}\s*x\s*{_NUMBER}", text, "--obstacle", "8x1.5")
    if height <= 0:
        raise BadInputError(
            Problem("--obstacle", f"a height of {height:g} mm is not above the slot", "give more than 0")
        )
    return Obstacle(height_mm=height, gap_mm=gap)


def _driver(text: str) -> Driver:
    size = rf"{_NUMBER}\s*x\s*{_NUMBER}"
    like = "0.4x2 shaft 2x40 handle 8"
    numbers = _numbers(rf"{size}\s*shaft\s*{size}(?:\s*handle\s*{_NUMBER})?", text, "--driver", like)
    if min(numbers) <= 0:
        raise BadInputError(Problem("--driver", f"{text!r} has a measure that is not more than 0", f'type "{like}"'))
    return Driver(
        blade_thickness_mm=numbers[0],
        blade_width_mm=numbers[1],
        shaft_diameter_mm=numbers[2],
        shaft_length_mm=numbers[3],
        handle_diameter_mm=numbers[4] if len(numbers) > 4 else 10.0,
    )


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
