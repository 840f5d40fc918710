"""A front standard out of parallel: its corners lifted off level, and the frame sharp or not at each aperture."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from asfound.plots.board import Point, arrow, board, line, shape, write
from asfound.plots.palette import drawn
from asfound.plots.picture import WIDTHS, Picture, Width, legend_above, make_axes
from asfound.shape import ApertureFocus, CornerMove, FrameFocus

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

_SIGNS = {"within": "✓ within", "outside": "✕ outside", "cannot tell": "? cannot tell"}
_ORDER = ("bottom left", "bottom right", "top right", "top left")
_LINE: dict[Width, float] = {"narrow": 17.0, "wide": 24.0, "print": 12.0}
_ARROW = 34.0
_LEVEL_MM = 0.0005  # a corner off by less than this is pointed at by nothing


@dataclass(frozen=True, slots=True)
class _Corner:
    """A corner on the board: level at `foot`, measured at `top`, its name at `name_y` and its number below that."""

    move: CornerMove
    foot: Point
    top: Point
    name_y: float
    worst: bool


def standard_picture(moves: Sequence[CornerMove], *, width: Width = "wide") -> Picture:
    """Return the standard seen from the front and above, the camera on its back, heights much magnified.

    Parameters
    ----------
    moves : sequence of CornerMove
        All four corners by their names: bottom left, bottom right, top right, top left; the worst first.
    """
    step = _LINE[width]
    corners = _laid_out(moves, step, width)
    low = min(corner.name_y for corner in corners) - 2.6 * step
    high = max(max(corner.name_y, corner.top[1] + _ARROW) for corner in corners) + step
    figure, axes = board(width=width, height=high - low)
    axes.set_ylim(low, high)
    level, lifted = [corner.foot for corner in corners], [corner.top for corner in corners]
    shape(axes, level, edge=None, fill="grid", zorder=1)
    line(axes, [*level, level[0]], colour="soft", weight=1.2, dashes=(5, 3), zorder=2)
    shape(axes, lifted, fill="area", zorder=3)
    for corner in corners:
        _corner(axes, corner, step, width)
    write(axes, (10, low + 0.7 * step), "dashed: level, at the mean of all four", width=width, colour="soft")
    return Picture(figure, "standard", width, "The front standard's corners off level, magnified", _said(moves))


def _laid_out(moves: Sequence[CornerMove], step: float, width: Width) -> list[_Corner]:
    across = WIDTHS[width]
    left, right, lean, deep = 0.17 * across, 0.68 * across, 0.14 * across, 0.11 * across + 30
    feet = dict(zip(_ORDER, [(left, 0.0), (right, 0.0), (right + lean, deep), (left + lean, deep)], strict=True))
    by_name = {move.name: move for move in moves}
    stretch = 0.06 * (across + 400) / max(*(abs(move.off_level_mm) for move in moves), 1e-6)
    found = []
    for name in _ORDER:
        foot, move = feet[name], by_name[name]
        top = (foot[0], foot[1] + stretch * move.off_level_mm)
        worst = move is moves[0] and abs(move.off_level_mm) > _LEVEL_MM
        upper = name.startswith("top")
        clear = 0.9 * step + (_ARROW if worst and upper == (move.off_level_mm > 0) else 0)
        name_y = max(foot[1], top[1]) + clear + step if upper else min(foot[1], top[1]) - clear
        found.append(_Corner(move, foot, top, name_y, worst))
    return found


def _corner(axes: Axes, corner: _Corner, step: float, width: Width) -> None:
    (x, y), off = corner.top, corner.move.off_level_mm
    colour = "found" if corner.worst else "left"
    line(axes, [corner.foot, corner.top], colour=colour, weight=3, zorder=5)
    if corner.worst:
        way = -1 if off > 0 else 1
        arrow(axes, (x, y - way * (_ARROW - 4)), (x, y - way * 3), colour="found")
    weight = "bold" if corner.worst else "normal"
    write(axes, (x, corner.name_y), corner.move.name, width=width, ha="center", weight=weight)
    told = f"{round(off, 3) + 0.0:+.3f} mm".replace("-", "−")
    write(axes, (x, corner.name_y - step), told, width=width, ha="center", colour="found" if corner.worst else "soft")


def _said(moves: Sequence[CornerMove]) -> str:
    return " ".join(f"{m.name.capitalize()} {m.off_level_mm:+.3f} mm off level." for m in moves)


def frame_picture(focus: FrameFocus, *, width: Width = "wide") -> Picture:
    """Return the frame at each aperture: shaded where it is sharp, hatched where the defocus is over the budget.

    Each corner bears its defocus in mm; the line through the frame is where there is none.
    """
    count = max(1, len(focus.apertures))
    columns = min(count, 2 if width == "narrow" else 3)
    across = WIDTHS[width]
    gap = 14.0 if width == "narrow" else 26.0
    step = {"narrow": 17.0, "wide": 25.0, "print": 12.0}[width]
    each = (across - gap * (columns + 1)) / columns
    shrink = each / float(np.ptp(focus.x_mm))
    tall = shrink * float(np.ptp(focus.y_mm))
    if tall > each:  # an upright frame is not to fill the page
        shrink *= each / tall
        tall = each
    row = tall + 2 * step + 22
    rows = -(-count // columns)
    height = rows * row + step * 2.4
    figure, axes = board(width=width, height=height)
    for n, aperture in enumerate(focus.apertures):
        wide = shrink * float(np.ptp(focus.x_mm))
        cell = gap + (n % columns) * (each + gap) + (each - wide) / 2
        _one(axes, focus, aperture, (cell, height - (n // columns) * row - 2 * step - tall), (wide, tall), width)
    _key(axes, (gap, step * 1.1), width)
    return Picture(figure, "frame", width, "Where the frame is sharp at each aperture", _frame_said(focus))


def _one(
    axes: Axes, focus: FrameFocus, aperture: ApertureFocus, at: Point, size: Point, width: Width
) -> None:  # fmt: skip
    (x, y), (w, h) = at, size
    corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
    step = {"narrow": 17.0, "wide": 25.0, "print": 12.0}[width]
    write(
        axes,
        (x, y + h + 1.5 * step),
        f"f/{aperture.f_number:g}: {_SIGNS[aperture.verdict]}",
        width=width,
        weight="bold",
    )
    told = f"{aperture.share:.0%} of ±{aperture.budget_mm:.3f} mm"
    write(axes, (x, y + h + 0.55 * step), told, width=width, colour="soft")
    values = list(focus.corner_mm.values())
    shape(axes, corners, fill="paper", zorder=1)
    sharp = _between(corners, values, aperture.budget_mm)
    if len(sharp) > 2:
        shape(axes, sharp, fill="band", edge=None, zorder=2)
    _hatch(axes, at, size, values, aperture.budget_mm)
    for bound in (-aperture.budget_mm, aperture.budget_mm):
        _level(axes, corners, values, bound, "bound", 1.4)
    _level(axes, corners, values, 0.0, "ink", 1.2)
    shape(axes, corners, zorder=5, weight=1.8)
    inset = 7.0
    for (cx, cy), z, (left, low) in zip(corners, values, ((1, 1), (0, 1), (0, 0), (1, 0)), strict=True):
        place = (cx + (inset if left else -inset), cy + (inset + 6 if low else -inset - 6))
        text = f"{z:+.2f}".replace("-", "−")
        write(axes, place, text, width=width, ha="left" if left else "right", share=0.92, behind=True)


def _between(corners: Sequence[Point], values: Sequence[float], budget: float) -> list[Point]:
    """Return the part of the frame in which the plane through its corners lies within the budget."""
    kept = [(p, z) for p, z in zip(corners, values, strict=True)]
    for sign in (1, -1):
        clipped: list[tuple[Point, float]] = []
        for (p, z), (q, v) in zip(kept, kept[1:] + kept[:1], strict=True):
            if sign * z <= budget:
                clipped.append((p, z))
            if (sign * z - budget) * (sign * v - budget) < 0:
                share = (sign * budget - z) / (v - z)
                clipped.append(((p[0] + share * (q[0] - p[0]), p[1] + share * (q[1] - p[1])), sign * budget))
        kept = clipped
    return [p for p, _ in kept]


def _level(
    axes: Axes, corners: Sequence[Point], values: Sequence[float], level: float, colour: str, weight: float
) -> None:
    """Draw where the defocus has one value: a straight line across the frame, or nothing."""
    found: list[Point] = []
    pairs = list(zip(corners, values, strict=True))
    for (p, z), (q, v) in zip(pairs, pairs[1:] + pairs[:1], strict=True):
        if (z - level) * (v - level) < 0:
            share = (level - z) / (v - z)
            found.append((p[0] + share * (q[0] - p[0]), p[1] + share * (q[1] - p[1])))
    if len(found) == 2:
        line(axes, found, colour=colour, weight=weight, zorder=4)


def _hatch(axes: Axes, at: Point, size: Point, values: Sequence[float], budget: float) -> None:
    """Draw slanting lines where the plane is over the budget."""
    (x, y), (w, h) = at, size
    low_left, low_right, _, high_left = values
    for c in np.arange(9.0, w + h, 9.0):
        t = np.linspace(max(0.0, c - h), min(w, c), 90)
        u = c - t
        z = low_left + (low_right - low_left) * t / w + (high_left - low_left) * u / h
        over = np.abs(z) > budget
        if over.any():
            px, py = np.where(over, x + t, np.nan), np.where(over, y + u, np.nan)
            line(axes, list(zip(px.tolist(), py.tolist(), strict=True)), colour="found", weight=1.1, zorder=3)


def _key(axes: Axes, at: Point, width: Width) -> None:
    x, y = at
    shape(axes, [(x, y - 7), (x + 26, y - 7), (x + 26, y + 7), (x, y + 7)], fill="band", edge="bound", weight=1.2)
    write(axes, (x + 34, y), "sharp", width=width)
    x += {"narrow": 84.0, "wide": 112.0, "print": 70.0}[width]
    for n in range(4):
        line(axes, [(x + 7 * n, y + 7), (x + 7 * n + 9, y - 7)], colour="found", weight=1.2)
    write(axes, (x + 40, y), "over the budget", width=width)
    x += {"narrow": 146.0, "wide": 208.0, "print": 120.0}[width]
    line(axes, [(x, y), (x + 26, y)], colour="ink", weight=1.4)
    write(axes, (x + 34, y), "in focus" if width == "narrow" else "in focus; corners in mm", width=width)


def _frame_said(focus: FrameFocus) -> str:
    corners = ", ".join(f"{name} {z:+.3f} mm" for name, z in focus.corner_mm.items())
    told = [
        f"At f/{a.f_number:g} the worst corner takes {a.share:.0%} of the budget: {a.verdict}." for a in focus.apertures
    ]
    return " ".join([f"Defocus at the corners of the frame: {corners}.", *told])


def erection_picture(heights_mm: Sequence[float], *, width: Width = "wide") -> Picture:
    """Return the height at each opening, with their mean and one standard deviation either side shaded."""
    height = {"narrow": 220.0, "wide": 260.0, "print": 140.0}[width]
    figure, axes = make_axes(width=width, height=height)
    mean, count = float(np.mean(heights_mm)), len(heights_mm)
    s = float(np.std(heights_mm, ddof=1)) if count > 1 else 0.0
    off = [100 * (h - mean) for h in heights_mm]
    reach = 1.35 * max(max(map(abs, off)), 100 * s, 0.5)
    axes.fill_between((0.4, count + 0.6), -100 * s, 100 * s, color=drawn("band"), linewidth=0, zorder=1, label="± 1 s")
    axes.axhline(0, color=drawn("soft"), linewidth=1.2, zorder=2)
    axes.plot(
        range(1, count + 1), off, linestyle="-", linewidth=1, marker="o", markersize=10, color=drawn("found"),
        markerfacecolor=drawn("paper"), markeredgewidth=2.4, zorder=4, label="each opening",
    )  # fmt: skip
    axes.set_xlim(0.4, count + 0.6)
    axes.set_ylim(-reach, reach)
    axes.set_xticks(range(1, count + 1) if count <= 12 else range(1, count + 1, count // 10))
    axes.locator_params(axis="y", nbins=6)
    axes.grid(visible=True, axis="y", zorder=0)
    axes.set_xlabel("opening")
    axes.set_ylabel("from the mean, 0.01 mm")
    legend_above(axes, width=width, columns=2)
    told = ", ".join(f"{h:.3f}" for h in heights_mm[:30])
    return Picture(figure, "erection", width, "Height at each opening", f"Mean {mean:.3f} mm, s {s:.4f} mm: {told} mm.")
