"""A ring from a photograph, and the printed square that it is photographed in."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any, Literal

import click

from asfound.cli.output import emit
from asfound.cli.shape_ring import ring_data, ring_table
from asfound.problems import bad_input
from asfound.quantity import parse_quantity
from asfound.shape import ring_from_points

_SIDE, _BAR = "120mm", "6mm"


@click.command()
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--edge", type=click.Choice(["outer", "inner"]), default="outer", show_default=True)
@click.option("--side", default=_SIDE, show_default=True, help="Outer side of the printed square, as measured.")
@click.option("--bar", default=_BAR, show_default=True, help="Width of its bars, as measured.")
@click.option("--side-uncertainty", default="0.1mm", show_default=True, help="Standard uncertainty of the side.")
@click.option("--points", type=click.Path(dir_okay=False, path_type=Path), help="Write the edge to this CSV file.")
@click.option("--json", "as_json", is_flag=True, help="Print the same names as JSON.")
def photograph(
    file: Path,
    edge: Literal["outer", "inner"],
    side: str,
    bar: str,
    side_uncertainty: str,
    points: Path | None,
    as_json: bool,
) -> None:
    """Measure a dark ring photographed on light paper within the printed square (see: shape target)."""
    # Imported here because the image library takes longer to start than the other shape commands to run.
    from asfound.capture.photograph import read_light
    from asfound.capture.ring_photograph import ring_in_photograph

    seen = ring_in_photograph(
        read_light(file),
        name=file.name,
        edge=edge,
        side_mm=parse_quantity(side, unit="mm", where="--side"),
        bar_mm=parse_quantity(bar, unit="mm", where="--bar"),
        u_side_mm=parse_quantity(side_uncertainty, unit="mm", where="--side-uncertainty"),
    )
    found = ring_from_points(seen.points_mm)
    data = ring_data(found) | {
        "edge": edge,
        "edge_points": seen.edge_points,
        "pixel_mm": seen.pixel_mm,
        "u_deviation_mm": seen.u_deviation_mm,
        "u_out_of_round_mm": seen.u_out_of_round_mm,
        "u_radius_mm": seen.u_radius_mm,
        "bar_wider_mm": seen.bar_wider_mm,
        "remarks": [str(remark) for remark in (*found.remarks, *seen.remarks)],
    }
    if points is not None:
        _write(points, "x_mm,y_mm\n" + "".join(f"{x:.5f},{y:.5f}\n" for x, y in seen.points_mm.tolist()))
    emit(data, _table(data), as_json=as_json)


def _table(data: dict[str, Any]) -> Iterator[str]:
    yield (
        f"{data['edge']} edge, {data['edge_points']} points, a pixel is {data['pixel_mm']:.3f} mm; standard "
        f"uncertainty {data['u_out_of_round_mm']:.4f} mm of the out of round, "
        f"{data['u_radius_mm']:.3f} mm of the radius"
    )
    yield from ring_table(data)


def _write(path: Path, content: str | bytes) -> None:
    try:
        path.write_bytes(content.encode() if isinstance(content, str) else content)
    except OSError as error:
        raise bad_input(str(path), f"cannot be written ({error.strerror})", "give another place") from None


@click.command()
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--side", default=_SIDE, show_default=True, help="Outer side of the square.")
@click.option("--bar", default=_BAR, show_default=True, help="Width of its bars.")
@click.option("--paper", default="a4", show_default=True, help="a4 or us-letter.")
@click.option("--json", "as_json", is_flag=True, help="Print the same names as JSON.")
def target(file: Path, side: str, bar: str, paper: str, as_json: bool) -> None:
    """Make the square that a ring is photographed in, as FILE.pdf."""
    from asfound.capture.target import target_pdf

    side_mm, bar_mm = (parse_quantity(t, unit="mm", where=w) for t, w in ((side, "--side"), (bar, "--bar")))
    _write(file, target_pdf(side_mm=side_mm, bar_mm=bar_mm, paper=paper))
    line = f"{file}: a square of {side_mm:g} mm; print it without scaling, then measure its side and bars"
    emit({"file": str(file), "side_mm": side_mm, "bar_mm": bar_mm, "paper": paper}, line, as_json=as_json)
