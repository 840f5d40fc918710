"""A drawing board: axes whose unit is a point, for pictures that are laid out by hand."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from asfound.plots.palette import drawn
from asfound.plots.picture import TEXT_SIZES, WIDTHS, Width, make_axes

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Point = tuple[float, float]
_LARGER = 1.2


def board(*, width: Width, height: float) -> tuple[Figure, Axes]:
    """Return a figure of a width variant, and axes over all of it that run from (0, 0) at the lower left in points."""
    figure, axes = make_axes(width=width, height=height)
    figure.set_layout_engine(None)
    axes.set_axis_off()
    axes.set_position((0, 0, 1, 1))
    axes.set_xlim(0, WIDTHS[width])
    axes.set_ylim(0, height)
    return figure, axes


def write(
    axes: Axes, at: Point, text: str, *, width: Width, ha: str = "left", va: str = "center", colour: str = "ink",
    weight: str = "normal", share: float = 1.0, behind: bool = False,
) -> None:  # fmt: skip
    """Write a line of text; `behind` puts paper under it, so that no line runs through.

    Wide pictures are shown a little smaller than they are drawn, so that their letters are a little larger.
    """
    share *= _LARGER if width == "wide" else 1.0
    paper = {"boxstyle": "square,pad=0.12", "facecolor": drawn("paper"), "linewidth": 0}
    axes.text(
        *at, text, ha=ha, va=va, color=drawn(colour), fontsize=TEXT_SIZES[width] * share, fontweight=weight,
        bbox=paper if behind else None, zorder=9,
    )  # fmt: skip


def line(
    axes: Axes, points: Sequence[Point], *, colour: str = "ink", weight: float = 1.4, dashes: Sequence[float] = (),
    zorder: float = 4,
) -> None:  # fmt: skip
    """Draw straight lines from point to point."""
    style = (0, tuple(dashes)) if dashes else "-"
    x, y = zip(*points, strict=True)
    axes.plot(x, y, color=drawn(colour), linewidth=weight, linestyle=style, zorder=zorder, solid_capstyle="round")


def shape(
    axes: Axes, points: Sequence[Point], *, fill: str | None = None, edge: str | None = "ink", weight: float = 1.4,
    zorder: float = 3,
) -> None:  # fmt: skip
    """Draw a closed outline."""
    from matplotlib.patches import Polygon

    axes.add_patch(
        Polygon(
            list(points), closed=True, facecolor=drawn(fill) if fill else "none",
            edgecolor=drawn(edge) if edge else "none", linewidth=weight if edge else 0, zorder=zorder,
            joinstyle="round",
        )
    )  # fmt: skip


def box(axes: Axes, at: Point, size: Point, *, fill: str | None = None, edge: str | None = "ink") -> None:
    """Draw an upright rectangle from its lower left corner."""
    (x, y), (w, h) = at, size
    shape(axes, [(x, y), (x + w, y), (x + w, y + h), (x, y + h)], fill=fill, edge=edge)


def arrow(
    axes: Axes, start: Point, end: Point, *, colour: str = "found", weight: float = 2.2, both: bool = False
) -> None:
    """Draw an arrow."""
    from matplotlib.patches import FancyArrowPatch

    head = "head_length=5,head_width=3"
    style = f"<|-|>,{head}" if both else f"-|>,{head}"
    axes.add_patch(
        FancyArrowPatch(
            start, end, arrowstyle=style, color=drawn(colour), linewidth=weight, shrinkA=0, shrinkB=0, zorder=8,
            mutation_scale=1.2,
        )
    )  # fmt: skip


def around(centre: Point, radius: float, angle_deg: float) -> Point:
    """Return the point at an angle (0 to the right, 90 up) and a radius."""
    angle = math.radians(angle_deg)
    return centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle)


def arc(centre: Point, radius: float, from_deg: float, to_deg: float) -> list[Point]:
    """Return an arc against the clock as points, two degrees or less apart."""
    turn = 360.0 if abs(to_deg - from_deg) >= 360 else (to_deg - from_deg) % 360
    count = max(2, math.ceil(turn / 2) + 1)
    return [around(centre, radius, from_deg + turn * n / (count - 1)) for n in range(count)]
