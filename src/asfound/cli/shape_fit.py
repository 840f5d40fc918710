"""Play between two parts."""

from collections.abc import Iterator, Sequence
from typing import Any

import click

from asfound.cli.output import emit
from asfound.quantity import Reading, convert, parse_quantity, show_reading
from asfound.shape import Fit, fit_of


@click.command("fit")
@click.option(
    "--hole", "--groove", "holes", multiple=True, required=True, help="Its diameter or width; several directions."
)
@click.option("--pin", "--tab", "pins", multiple=True, required=True, help="Its diameter or width; several directions.")
@click.option("--uncertainty", default="0.01", show_default=True, help="Standard uncertainty of each size.")
@click.option("--radius", help="Where the play is met, from the axis: for the rattle angle.")
@click.option("--keep", default="0", show_default=True, help="Play that must stay.")
@click.option("--shim", "shims", multiple=True, help="A shim at hand; several.")
@click.option("--json", "as_json", is_flag=True, help="Print the same names as JSON.")
def fitted(
    holes: tuple[str, ...],
    pins: tuple[str, ...],
    uncertainty: str,
    radius: str | None,
    keep: str,
    shims: tuple[str, ...],
    as_json: bool,
) -> None:
    """Give the play of tab and groove, pin and hole or bayonet, and what takes it up."""
    u = parse_quantity(uncertainty, unit="mm", where="--uncertainty")
    found = fit_of(
        outer=_sizes(holes, "--hole", u),
        inner=_sizes(pins, "--pin", u),
        radius_mm=None if radius is None else parse_quantity(radius, unit="mm", where="--radius"),
        keep_mm=parse_quantity(keep, unit="mm", where="--keep"),
        leaves_mm=[parse_quantity(shim, unit="mm", where="--shim") for shim in shims],
    )
    emit(fit_data(found), fit_table(found), as_json=as_json)


def _sizes(texts: Sequence[str], where: str, u_mm: float) -> list[Reading]:
    values = [parse_quantity(text, unit="mm", where=where) for text in texts]
    return [Reading(value=value, unit="mm", standard_uncertainty=u_mm) for value in values]


def fit_data(found: Fit) -> dict[str, Any]:
    """Return the play of a pair by the names of the JSON."""
    rattle = found.rattle.flat("rattle") if found.rattle else {"rattle_deg": None, "u_rattle_deg": None}
    return {
        **found.play.flat("play"),
        "play_thou": convert(found.play.value or 0.0, "mm", "thou"),
        "free": found.free,
        **rattle,
        "least_clearance_mm": found.least_mm,
        "take_up_mm": found.take_up.wanted_mm,
        "shim_mm": found.take_up.shim_mm,
        **found.take_up.remains.flat("remains"),
    }


def fit_table(found: Fit) -> Iterator[str]:
    """Yield the lines that a person reads."""
    words = {"within": "free", "outside": "it binds", "cannot tell": "cannot tell whether it is free"}
    yield f"play {show_reading(found.play)}: {words[found.free]}"
    if found.rattle is not None:
        yield f"rattles {show_reading(found.rattle)} from side to side"
    if found.least_mm is not None:
        yield f"least clearance over a turn {found.least_mm:.3f} mm"
    take = found.take_up
    if take.shim_mm is not None:
        yield f"shim {take.shim_mm:.3f} mm; {show_reading(take.remains)} of play remains"
    elif take.wanted_mm > 0:
        yield f"a dimple or shim of {take.wanted_mm:.3f} mm takes it up"
    else:
        yield "there is nothing to take up"
