"""A torsion spring as it is to be wound: along and across its axis, to scale, with its sizes."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from asfound.plots.palette import drawn
from asfound.plots.picture import TEXT_SIZES, Picture, Width, make_axes
from asfound.springs import Outline, WindingSheet

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

_TITLE = "The spring to be wound, to scale"
Point = tuple[float, float]


def winding_picture(sheet: WindingSheet, *, mandrel: bool = True, width: Width = "wide") -> Picture:
    """Return the drawing of a winding sheet: the end view beside the side view, on a telephone above it.

    Without its mandrel it is the drawing of a spring as it is.
    """
    height = {"narrow": 470.0, "wide": 400.0, "print": 230.0}[width]
    figure, axes = make_axes(width=width, height=height)
    axes.set_axis_off()
    size = TEXT_SIZES[width]
    d, outside = sheet.spring.wire_diameter_mm, sheet.spring.mean_diameter_mm + sheet.spring.wire_diameter_mm
    _end_view(axes, sheet, size, mandrel=mandrel)
    low, high = extent(sheet.end_view)
    gap = 1.1 * outside
    shift = (high[0] + gap, 0.0) if width != "narrow" else (-sheet.body_length_mm / 2, low[1] - gap - outside / 2)
    _side_view(axes, sheet, shift)
    _names(axes, sheet, shift, outside, size)
    if mandrel:
        _name_mandrel(axes, sheet, outside, size)
    _bar(axes, min(low[1], shift[1] - outside / 2) - 0.6 * outside, low[0], outside, size)
    _limits(axes, (low, high), shift, sheet.body_length_mm, outside)
    said = (
        f"Wire {d:.3g} mm, {outside:.3g} mm outside, {sheet.spring.body_turns:.2f} turns, {sheet.hand}-hand; free, the "
        f"legs stand {sheet.free_leg_angle_deg:.0f} degrees apart."
    )
    return Picture(figure, "winding", width, _TITLE, said)


def extent(outlines: Sequence[Outline]) -> tuple[Point, Point]:
    """Return the lowest and the highest corner of outlines, in mm."""
    xs, ys = zip(*(point for outline in outlines for point in outline.points_mm), strict=True)
    return (min(xs), min(ys)), (max(xs), max(ys))


def wire_outline(outline: Outline, *, wire_diameter_mm: float) -> tuple[Point, ...]:
    """Return the four corners of a straight leg as thick as its wire, given its centre line."""
    (x0, y0), (x1, y1) = outline.points_mm[0], outline.points_mm[-1]
    reach = math.hypot(x1 - x0, y1 - y0)
    if reach == 0:
        return ((x0, y0),)
    across = (-(y1 - y0) / reach * wire_diameter_mm / 2, (x1 - x0) / reach * wire_diameter_mm / 2)
    return (
        (x0 + across[0], y0 + across[1]),
        (x1 + across[0], y1 + across[1]),
        (x1 - across[0], y1 - across[1]),
        (x0 - across[0], y0 - across[1]),
    )


def _end_view(axes: Axes, sheet: WindingSheet, size: float, *, mandrel: bool) -> None:
    rings = {outline.name: outline for outline in sheet.end_view}
    for outline in sheet.end_view:
        if outline.name.endswith("leg"):
            corners = wire_outline(outline, wire_diameter_mm=sheet.spring.wire_diameter_mm)
            _filled(axes, corners, "area", 2)
    _filled(axes, rings["outside"].points_mm, "area", 3)
    _filled(axes, rings["bore"].points_mm, "paper", 4)
    if mandrel:
        ring = rings["mandrel"].points_mm
        axes.plot(*_closed(ring), color=drawn("found"), linewidth=size * 0.1, linestyle=(0, (4, 2)), zorder=5)
    axes.plot(0, 0, marker="+", markersize=size, color=drawn("soft"), zorder=5)


def _filled(axes: Axes, points: Sequence[Point], colour: str, order: int) -> None:
    xs, ys = _closed(points)
    axes.fill(xs, ys, facecolor=drawn(colour), edgecolor=drawn("ink"), linewidth=0.9, zorder=order)


def _closed(points: Sequence[Point]) -> tuple[list[float], list[float]]:
    ring = [*points, points[0]]
    return [x for x, _ in ring], [y for _, y in ring]


def _side_view(axes: Axes, sheet: WindingSheet, shift: Point) -> None:
    for outline in sheet.side_view:
        moved = [(x + shift[0], y + shift[1]) for x, y in outline.points_mm]
        if outline.closed:
            _filled(axes, moved, "area", 2)
        else:
            axes.plot(*zip(*moved, strict=True), color=drawn("ink"), linewidth=0.9, zorder=3)


def _names(axes: Axes, sheet: WindingSheet, shift: Point, outside: float, size: float) -> None:
    for outline in sheet.end_view:
        if outline.name.endswith("leg") and len(set(outline.points_mm)) > 1:
            _name_leg(axes, outline, size)
    ink: dict[str, Any] = {"fontsize": size, "color": drawn("ink"), "zorder": 7}
    middle = shift[0] + sheet.body_length_mm / 2
    axes.annotate(
        f"{sheet.spring.body_turns:.2f} turns, {sheet.hand}-hand", xy=(middle, shift[1] + outside / 2), xytext=(0, 6),
        textcoords="offset points", ha="center", va="bottom", **ink,
    )  # fmt: skip
    axes.annotate(
        f"{sheet.body_length_mm:.2f} mm long, {outside:.2f} mm outside", xy=(middle, shift[1] - outside / 2),
        xytext=(0, -6), textcoords="offset points", ha="center", va="top", **ink,
    )  # fmt: skip


def _name_mandrel(axes: Axes, sheet: WindingSheet, outside: float, size: float) -> None:
    thickest = max(mandrel.diameter_mm for mandrel in sheet.mandrels)
    axes.annotate(
        f"dashed: mandrel {thickest:.2f} mm", xy=(0, -outside / 2), xytext=(0, -6), textcoords="offset points",
        ha="center", va="top", fontsize=size, color=drawn("found"), zorder=7,
    )  # fmt: skip


def _name_leg(axes: Axes, leg: Outline, size: float) -> None:
    """Name a leg past its tip, where nothing of it is hidden."""
    (x0, y0), (x1, y1) = leg.points_mm
    level, up, right = abs(x1 - x0) >= 2 * abs(y1 - y0), y1 >= y0, x1 >= x0
    axes.annotate(
        f"{leg.name} {math.hypot(x1 - x0, y1 - y0):.3g} mm", xy=(x1, y1), textcoords="offset points", fontsize=size,
        xytext=(0, size * 0.6) if level else (0, size * (0.5 if up else -0.5)), color=drawn("ink"), zorder=7,
        ha=("right" if right else "left") if level else "center", va="bottom" if level or up else "top",
    )  # fmt: skip


def _bar(axes: Axes, y: float, x: float, outside: float, size: float) -> None:
    length = 10.0 if outside > 8 else 5.0 if outside > 3 else 2.0
    axes.plot((x, x + length), (y, y), color=drawn("soft"), linewidth=1.5)
    for end in (x, x + length):
        axes.plot((end, end), (y - 0.05 * length, y + 0.05 * length), color=drawn("soft"), linewidth=1.5)
    axes.annotate(
        f"{length:g} mm", xy=(x + length, y), xytext=(size * 0.5, 0), textcoords="offset points", va="center",
        fontsize=size, color=drawn("soft"),
    )  # fmt: skip


def _limits(axes: Axes, end: tuple[Point, Point], shift: Point, length: float, outside: float) -> None:
    (x0, y0), (x1, y1) = end
    xs, ys = (x0, x1, shift[0], shift[0] + length), (y0, y1, shift[1] - outside / 2, shift[1] + outside / 2)
    axes.set_aspect("equal")
    axes.set_xlim(min(xs) - 0.5 * outside, max(xs) + 0.5 * outside)
    axes.set_ylim(min(ys) - 0.85 * outside, max(ys) + 0.4 * outside)
