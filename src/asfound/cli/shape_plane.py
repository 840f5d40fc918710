"""How a front standard lies to the film, and how well it comes back."""

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import click
import numpy as np

from asfound.cli.output import columns, emit
from asfound.cli.shape_table import table_of
from asfound.problems import bad_input
from asfound.quantity import convert, parse_quantity, show_reading
from asfound.shape import (
    CORNERS,
    FrameFocus,
    Plane,
    PlaneFit,
    compare_struts,
    corner_moves,
    corner_points,
    erection,
    fit_plane,
    frame_focus,
    from_first,
    give,
)


@click.command()
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--uncertainty", help="Standard uncertainty of one depth; else the scatter about the plane.")
@click.option("--json", "as_json", is_flag=True, help="Print the same names as JSON.")
def plane(file: Path, uncertainty: str | None, as_json: bool) -> None:
    """Fit planes to depths in FILE.csv: columns x_mm,y_mm,z_mm, three places or more.

    tilt_x is the tilt about the x axis (z rises with y), tilt_y that about the y axis (z rises with x).
    """
    table = table_of(file, (("x", "y", "z"),))
    points = np.column_stack([table.columns[name] for name in "xyz"])
    fit = fit_plane(points, depth_uncertainty_mm=_length(uncertainty, "--uncertainty"))
    data = plane_data(fit)
    emit(data, plane_table(data), as_json=as_json)


def _length(text: str | None, where: str) -> float | None:
    return None if text is None else parse_quantity(text, unit="mm", where=where)


def plane_data(fit: PlaneFit) -> dict[str, Any]:
    """Return both planes by the names of the JSON."""
    return {
        "least_squares": _one_plane(fit.least_squares)
        | {
            "u_slope_x": fit.u_slope_x,
            "u_slope_y": fit.u_slope_y,
            "u_height_mm": fit.u_height_mm,
            "dof": fit.degrees_of_freedom,
        },
        "minimum_zone": _one_plane(fit.minimum_zone),
        "twist_mm": fit.twist_mm,
    }


def _one_plane(found: Plane) -> dict[str, Any]:
    return {
        "tilt_x_deg": found.tilt_x_deg,
        "tilt_y_deg": found.tilt_y_deg,
        "tilt_deg": found.tilt_deg,
        "slope_x": found.slope_x,
        "slope_y": found.slope_y,
        "height_mm": found.height_mm,
        "flatness_mm": found.flatness_mm,
    }


def plane_table(data: Mapping[str, Any]) -> Iterator[str]:
    """Yield the lines that a person reads."""
    names = ("tilt_x_deg", "tilt_y_deg", "tilt_deg", "height_mm", "flatness_mm")
    heads = ["plane", *(name.replace("_", " ") for name in names), "flatness thou"]
    rows = []
    for title in ("least_squares", "minimum_zone"):
        thou = convert(data[title]["flatness_mm"], "mm", "thou")
        rows.append([title.replace("_", " "), *(f"{data[title][n]:.4f}" for n in names), f"{thou:.2f}"])
    yield from columns(heads, rows)
    if data["twist_mm"] is not None:
        yield f"twist {data['twist_mm']:+.4f} mm at the corners"


@click.command(context_settings={"ignore_unknown_options": True})  # so that -4 is a depth
@click.argument("depths", nargs=-1, required=True)
@click.option("--width", required=True, help="Between the corners measured, along the frame's long side.")
@click.option("--height", required=True, help="Between the corners measured, across.")
@click.option("--frame", "frame_size", help="Film frame, such as 56x84 (mm); else the corners' rectangle.")
@click.option("--aperture", "apertures", multiple=True, type=float, help="f-numbers to judge at, such as 3.5.")
@click.option("--circle", default="0.05", show_default=True, help="Circle of confusion; the budget is ± N c.")
@click.option("--uncertainty", default="0.01", show_default=True, help="Standard uncertainty of one depth.")
@click.option("--opening", "openings", multiple=True, help="Height at each of several openings: their scatter counts.")
@click.option("--hundredths", is_flag=True, help="After the first depth, give hundredths of a mm from it.")
@click.option("--strut", "struts", multiple=True, help="Names of the four corners or struts, in their order.")
@click.option("--json", "as_json", is_flag=True, help="Print the same names as JSON.")
def standard(
    depths: tuple[str, ...],
    width: str,
    height: str,
    frame_size: str | None,
    apertures: tuple[float, ...],
    circle: str,
    uncertainty: str,
    openings: tuple[str, ...],
    hundredths: bool,
    struts: tuple[str, ...],
    as_json: bool,
) -> None:
    """Judge a front standard from DEPTHS to the film rails at its four corners.

    Lower left first, then against the clock, seen from the front: --hundredths 50.02 8 4 -4.
    """
    wide, high = (parse_quantity(t, unit="mm", where=w) for t, w in ((width, "--width"), (height, "--height")))
    points = corner_points(width_mm=wide, height_mm=high, depth_mm=_depths(depths, hundredths))
    fit = fit_plane(points, depth_uncertainty_mm=_length(uncertainty, "--uncertainty"))
    frame = _frame(frame_size) or (wide, high)
    focus = frame_focus(
        fit,
        width_mm=frame[0],
        height_mm=frame[1],
        circle_mm=parse_quantity(circle, unit="mm", where="--circle"),
        f_numbers=apertures,
        scatter=erection(_heights(openings, "--opening")).scatter if openings else None,
    )
    if struts and len(struts) != len(CORNERS):
        raise bad_input("--strut", f"{len(struts)} names", "name all four, lower left first")
    data = plane_data(fit) | focus_data(focus) | {"corners": _corners(points, fit, struts or CORNERS)}
    emit(data, _standard_table(data), as_json=as_json)


def _depths(texts: Sequence[str], hundredths: bool) -> list[float]:
    first = parse_quantity(texts[0], unit="mm", where="depth 1")
    if not hundredths:
        return _heights(texts, "depth")
    return from_first(first_mm=first, hundredths=[_plain(text) for text in texts[1:]])


def _plain(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise bad_input("hundredths", f"{text!r} is not a number", "give hundredths of a mm, as in -4") from None


def _heights(texts: Sequence[str], where: str) -> list[float]:
    return [parse_quantity(text, unit="mm", where=f"{where} {i}") for i, text in enumerate(texts, start=1)]


def _frame(text: str | None) -> tuple[float, float] | None:
    if text is None:
        return None
    sides = text.lower().replace("×", "x").split("x")
    if len(sides) != 2:
        raise bad_input("--frame", f"{text!r} is no frame", "give both sides, as in 56x84")
    short, long = sorted(parse_quantity(side, unit="mm", where="--frame") for side in sides)
    return long, short


def focus_data(focus: FrameFocus) -> dict[str, Any]:
    """Return the defocus over the frame by the names of the JSON."""
    return {
        "frame_corners": [{"corner": name, "defocus_mm": z} for name, z in focus.corner_mm.items()],
        "apertures": [
            {
                "f_number": a.f_number,
                "budget_mm": a.budget_mm,
                **a.worst.flat("worst_defocus"),
                "share": a.share,
                "verdict": a.verdict,
            }
            for a in focus.apertures
        ],
        "grid": {
            "x_mm": focus.x_mm.tolist(),
            "y_mm": focus.y_mm.tolist(),
            "defocus_mm": focus.defocus_mm.tolist(),
        },
    }


def _corners(points: Any, fit: PlaneFit, names: Sequence[str]) -> list[dict[str, Any]]:
    return [
        {"name": m.name, "off_level_mm": m.off_level_mm, "off_plane_mm": m.off_plane_mm}
        for m in corner_moves(points, fit, names)
    ]


def _signed(value_mm: float) -> str:
    return f"{round(value_mm, 3) + 0.0:+.3f}"


def _standard_table(data: Mapping[str, Any]) -> Iterator[str]:
    yield from plane_table(data)
    yield ""
    rows = [[c["name"], _signed(c["off_level_mm"]), _signed(c["off_plane_mm"])] for c in data["corners"]]
    yield from columns(["corner", "off level mm", "of it twist mm"], rows)
    worst = data["corners"][0]
    side = "in" if worst["off_level_mm"] > 0 else "out"
    yield f"first move {worst['name']} {side} by {abs(worst['off_level_mm']):.3f} mm, then measure again"
    for a in data["apertures"]:
        yield (
            f"f/{a['f_number']:g}: worst corner {a['worst_defocus_mm']:+.3f} mm, {a['share']:.0%} of the focus "
            f"budget of ±{a['budget_mm']:.3f} mm: {a['verdict']}"
        )


@click.command("erection")
@click.argument("heights", nargs=-1, required=True)
@click.option("--push", help="Force at the lens while pushed, such as 5N or 500gf.")
@click.option("--pull", help="Force while pulled.")
@click.option("--strut", "struts", multiple=True, help="Heights of a strut pushed and pulled: 'left 40.00 40.05'.")
@click.option("--uncertainty", default="0.01", show_default=True, help="Standard uncertainty of one height.")
@click.option("--json", "as_json", is_flag=True, help="Print the same names as JSON.")
def erected(
    heights: tuple[str, ...],
    push: str | None,
    pull: str | None,
    struts: tuple[str, ...],
    uncertainty: str,
    as_json: bool,
) -> None:
    """Give the scatter of HEIGHTS at repeated openings (five are usual), and what struts give to a force."""
    u = parse_quantity(uncertainty, unit="mm", where="--uncertainty")
    found = erection(_heights(heights, "height"), instrument_uncertainty_mm=u)
    data: dict[str, Any] = {
        "openings": len(heights),
        **found.height.flat("height"),
        "scatter_mm": found.scatter.standard_uncertainty,
        "dof_scatter": found.scatter.degrees_of_freedom,
        "range_mm": found.range_mm,
        "struts": _gives(struts, push, pull, u),
    }
    table = [
        f"height {show_reading(found.height)}",
        f"scatter {data['scatter_mm']:.4f} mm, range {found.range_mm:.3f} mm over {len(heights)} openings: it goes "
        "into every focus uncertainty",
    ]
    table += [
        f"{s['name']}: {s['give_mm_n']:.4f} ± {s['u_give_mm_n']:.4f} mm/N, {s['verdict']}" for s in data["struts"]
    ]
    emit(data, table, as_json=as_json)


def _gives(struts: Sequence[str], push: str | None, pull: str | None, u_mm: float) -> list[dict[str, Any]]:
    if not struts:
        return []
    if push is None or pull is None:
        raise bad_input("--strut", "needs the force it was pushed and pulled with", "give --push and --pull")
    forces = [parse_quantity(t, unit="N", where=w) for t, w in ((push, "--push"), (pull, "--pull"))]
    readings = {}
    for text in struts:
        words = text.rsplit(maxsplit=2)
        if len(words) != 3:
            raise bad_input("--strut", f"{text!r} has not a name and two heights", "write 'left 40.00 40.05'")
        pushed, pulled = _heights(words[1:], f"--strut {words[0]}")
        readings[words[0]] = give(
            pushed_mm=pushed, pulled_mm=pulled, push_n=forces[0], pull_n=forces[1], u_height_mm=u_mm
        )
    if len(readings) == 1:
        ((name, only),) = readings.items()
        return [{"name": name, **only.flat("give"), "times_others": None, "verdict": "cannot tell"}]
    return [
        {"name": s.name, **s.give.flat("give"), "times_others": s.times_others, "verdict": s.verdict}
        for s in compare_struts(readings)
    ]
