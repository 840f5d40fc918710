"""A strut to scale, erected and folded, with the forces on it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from asfound.plots.palette import drawn
from asfound.plots.picture import TEXT_SIZES, Picture, Width, make_axes
from asfound.springs import Arrow, LinkagePicture

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

_TITLE = "The strut and the forces on it, to scale"
_HEIGHTS = {"narrow": 290.0, "wide": 430.0, "print": 250.0}
# The longest arrow as a share of the strut's length.
_LONGEST = 0.5


def linkage_picture_of(
    erected: LinkagePicture, folded: LinkagePicture | None = None, *, width: Width = "wide"
) -> Picture:
    """Return the picture of a strut in one or both of its positions.

    Parameters
    ----------
    erected, folded : LinkagePicture
        Points in mm, forces in N; an arrow ends where its force acts, and its length is the force.
    """
    figure, axes = make_axes(width=width, height=_HEIGHTS[width])
    axes.set_axis_off()
    places = [erected] if folded is None else [erected, folded]
    length = max(math.hypot(*place.tip_mm) for place in places)
    scale = _scale(places, length)
    _body(axes, length)
    if folded is not None:
        _swing(axes, erected, folded, length)
    tails = []
    for place, colour in zip(places, ("ink", "stale"), strict=False):
        _strut(axes, place, colour, TEXT_SIZES[width])
        tails += _forces(axes, place, scale, length, TEXT_SIZES[width])
    _scale_bar(axes, length, scale, width)
    _limits(axes, [*tails, *(place.tip_mm for place in places)], length, width)
    return Picture(figure, "linkage", width, _TITLE, _said(places))


def _scale(places: Sequence[LinkagePicture], length: float) -> float:
    """Return mm of drawing for one newton."""
    most = max((math.hypot(*arrow.force_n) for place in places for arrow in place.arrows), default=0.0)
    return _LONGEST * length / most if most > 0 else 0.0


def _body(axes: Axes, length: float) -> None:
    axes.plot((0, 0), (-0.2 * length, 1.12 * length), color=drawn("soft"), linewidth=1.5, zorder=1)
    axes.fill_betweenx((-0.2 * length, 1.12 * length), -0.05 * length, 0, color=drawn("grid"), linewidth=0, zorder=0)


def _swing(axes: Axes, erected: LinkagePicture, folded: LinkagePicture, length: float) -> None:
    low, high = sorted((erected.angle_deg, folded.angle_deg))
    angles = [math.radians(low + (high - low) * i / 40) for i in range(41)]
    arc = ([length * math.sin(a) for a in angles], [length * math.cos(a) for a in angles])
    axes.plot(*arc, color=drawn("grid"), linewidth=1.2, linestyle=(0, (4, 3)), zorder=1)


def _strut(axes: Axes, place: LinkagePicture, colour: str, size: float) -> None:
    (x0, y0), (x1, y1) = place.pivot_mm, place.tip_mm
    axes.plot((x0, x1), (y0, y1), color=drawn(colour), linewidth=size * 0.45, solid_capstyle="round", zorder=3)
    axes.plot(x0, y0, marker="o", markersize=size, markerfacecolor=drawn("paper"), color=drawn("ink"), zorder=6)
    axes.plot(x1, y1, marker="o", markersize=size * 0.7, markerfacecolor=drawn("paper"), color=drawn(colour), zorder=6)


def _forces(axes: Axes, place: LinkagePicture, scale: float, length: float, size: float) -> list[tuple[float, float]]:
    """Draw a position's forces and return where their tails are; those along one line stand side by side."""
    tails = []
    beside: dict[tuple[tuple[float, float], int], int] = {}
    for arrow in place.arrows:
        force = math.hypot(*arrow.force_n)
        if force * scale < 0.004 * length:
            continue
        along = (arrow.force_n[0] / force, arrow.force_n[1] / force)
        key = (arrow.foot_mm, round(math.degrees(math.atan2(along[1], along[0])) / 20) % 18)
        row = beside.get(key, 0)
        beside[key] = row + 1
        tails.append(_force(axes, arrow, along, force * scale, row * 0.2 * length, size))
    return tails


def _force(
    axes: Axes, arrow: Arrow, along: tuple[float, float], reach: float, aside: float, size: float
) -> tuple[float, float]:
    spring = arrow.name.startswith("leg")
    colour = drawn("left" if spring else "found")
    # Beside one another, at right angles to the force, away from the pivot's side.
    head = (arrow.foot_mm[0] + aside * along[1], arrow.foot_mm[1] - aside * along[0])
    tail = (head[0] - reach * along[0], head[1] - reach * along[1])
    axes.plot(*zip(arrow.foot_mm, head, strict=True), color=colour, linewidth=0.8, linestyle=(0, (1, 2)), zorder=2)
    style = {"arrowstyle": f"-|>,head_width={size * 0.025:.3f},head_length={size * 0.05:.3f}", "color": colour}
    axes.annotate("", xy=head, xytext=tail, arrowprops={**style, "linewidth": size * 0.16, "shrinkA": 0, "shrinkB": 2})
    steep = abs(along[1]) > abs(along[0])
    name = arrow.name.removesuffix(" of the spring").removesuffix(" on the release")
    text = f"{name} {math.hypot(*arrow.force_n):.2g} N"
    side = math.copysign(1, along[1] if steep else -along[0])
    # Over a level arrow from its head on, past the end of a steep one: so the names need little room of their own.
    axes.annotate(
        text, xy=tail if steep else head, textcoords="offset points", color=colour, fontsize=size, zorder=7,
        xytext=(0.0, -size * 0.4 * side) if steep else (side * size * 0.9, size * 0.3),
        ha="left" if steep or side > 0 else "right", va="top" if steep and side > 0 else "bottom",
    )  # fmt: skip
    return tail


def _scale_bar(axes: Axes, length: float, scale: float, width: Width) -> None:
    """Draw a length of a round number of mm, and say what it is as a force."""
    bar = _round_down(length / 3)
    y = -0.33 * length
    axes.plot((0, bar), (y, y), color=drawn("soft"), linewidth=1.5)
    for x in (0, bar):
        axes.plot((x, x), (y - 0.02 * length, y + 0.02 * length), color=drawn("soft"), linewidth=1.5)
    force = f" or {bar / scale:.2g} N" if scale > 0 else ""
    axes.annotate(
        f"{bar:g} mm{force}", xy=(bar, y), xytext=(TEXT_SIZES[width] * 0.5, 0), textcoords="offset points",
        color=drawn("soft"), fontsize=TEXT_SIZES[width], va="center",
    )  # fmt: skip


def _round_down(value: float) -> float:
    """Return the largest of 1, 2, 5 times a power of ten that is not above a value."""
    power = 10.0 ** math.floor(math.log10(value))
    return next(step * power for step in (5.0, 2.0, 1.0) if step * power <= value * (1 + 1e-9))


def _limits(axes: Axes, points: Sequence[tuple[float, float]], length: float, width: Width) -> None:
    """Leave room for the names: on a telephone they are long beside the strut."""
    name = {"narrow": 0.3, "wide": 0.15, "print": 0.2}[width] * length
    axes.set_aspect("equal")
    axes.set_xlim(min(-0.1 * length, *(x for x, _ in points)) - name, max(x for x, _ in points) + name)
    axes.set_ylim(min(-0.4 * length, *(y for _, y in points)) - 0.05 * length, max(y for _, y in points) + 0.2 * length)


def _said(places: Sequence[LinkagePicture]) -> str:
    return " ".join(
        f"{name} at {place.angle_deg:.0f} degrees from the body's plane: "
        + "; ".join(f"{arrow.name} {math.hypot(*arrow.force_n):.2g} N" for arrow in place.arrows)
        + "."
        for name, place in zip(("Erected", "Folded"), places, strict=False)
    )
