"""Readings to be restored: each as found and as left, against its own tolerance."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from asfound.plots.palette import drawn
from asfound.plots.picture import TEXT_SIZES, Picture, Width, legend_above, make_axes, say_instead
from asfound.quantity import show_number
from asfound.quantity.tolerance import Tolerance
from asfound.teardown.wayback import ReadingToRestore

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

# Beyond this many half-widths of its tolerance a reading is drawn at the edge, as an arrow.
EDGE = 2.6


@dataclass(frozen=True, slots=True)
class _Mark:
    stage: str
    colour: str
    face: str
    shape: str
    size: float


# A ring as found is wide enough to be seen around the mark as left, where both are the same.
_MARKS = (_Mark("as found", "found", "paper", "o", 0.85), _Mark("as left", "left", "left", "D", 0.46))


@dataclass(frozen=True, slots=True)
class RestoredRow:
    """One reading on the scale of its tolerance: 0 is the middle, -1 and +1 its bounds; None: no such reading."""

    name: str
    values: str
    found: float | None
    left: float | None
    u_left: float
    lower: bool
    upper: bool


def restored_rows(items: Sequence[ReadingToRestore]) -> tuple[RestoredRow, ...]:
    """Return the readings that can be drawn: those held to a tolerance in their own unit."""
    return tuple(
        _row(item, item.tolerance)
        for item in items
        if item.tolerance is not None and item.tolerance.unit == item.reading.unit and _bounds(item.tolerance)
    )


def _bounds(tolerance: Tolerance) -> list[float]:
    return [bound for bound in (tolerance.lower, tolerance.upper) if bound is not None]


def _row(item: ReadingToRestore, tolerance: Tolerance) -> RestoredRow:
    left = item.restored.value if item.restored is not None and item.restored.unit == item.reading.unit else None
    u = item.restored.standard_uncertainty if item.restored is not None else None
    middle, half = _scale(tolerance, item.reading.value, left)
    unit = "" if item.reading.unit == "1" else f" {item.reading.unit}"
    values = " → ".join(_number(value, half, unit) for value in (item.reading.value, left))
    return RestoredRow(
        name=f"{item.quantity}, {item.place}" if item.place else item.quantity,
        values=values,
        found=None if item.reading.value is None else (item.reading.value - middle) / half,
        left=None if left is None else (left - middle) / half,
        u_left=(u or 0.0) / half,
        lower=tolerance.lower is not None,
        upper=tolerance.upper is not None,
    )


def _number(value: float | None, half: float, unit: str) -> str:
    """Return a value to two digits of its tolerance."""
    return "not measured" if value is None else show_number(value, half) + unit


def _scale(tolerance: Tolerance, *values: float | None) -> tuple[float, float]:
    """Return middle and half-width; with one bound alone, as far to its inside as the readings ask for."""
    if tolerance.lower is not None and tolerance.upper is not None:
        half = (tolerance.upper - tolerance.lower) / 2
        return (tolerance.lower + tolerance.upper) / 2, half if half > 0 else 1.0
    bound = _bounds(tolerance)[0]
    away = max([abs(v - bound) for v in values if v is not None and v != bound], default=abs(bound) or 1.0)
    half = max(away / 1.6, math.ulp(bound))
    return (bound + half, half) if tolerance.lower is not None else (bound - half, half)


def restored_picture(items: Sequence[ReadingToRestore], *, width: Width = "wide") -> Picture:
    """Return the picture of readings as found and as left, each on the scale of its own tolerance.

    Readings without a tolerance cannot be drawn on such a scale and are left to the table.
    """
    rows = restored_rows(items)
    row_height = {"narrow": 64.0, "wide": 44.0, "print": 25.0}[width]
    figure, axes = make_axes(width=width, height=(len(rows) + 1.6) * row_height + 10)
    title = "Readings as found and as left, each against its tolerance"
    if not rows:
        say_instead(axes, "No reading with a tolerance is to be restored.")
        return Picture(figure, "restored", width, title, _said(rows))
    for n, row in enumerate(rows):
        _draw(axes, row, n, TEXT_SIZES[width])
        _name(axes, row, n, width)
    axes.set_xlim(-EDGE - 0.25, EDGE + 0.25)
    axes.set_ylim(len(rows) - 0.45, -0.8 if width == "narrow" else -0.6)
    axes.set_xticks([-1, 0, 1], labels=["lowest", "middle", "highest"])
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)
    _legend(axes, width)
    return Picture(figure, "restored", width, title, _said(rows))


def _draw(axes: Axes, row: RestoredRow, n: int, size: float) -> None:
    start = -1.0 if row.lower else -EDGE - 0.25
    stop = 1.0 if row.upper else EDGE + 0.25
    axes.fill_betweenx((n - 0.02, n + 0.3), start, stop, color=drawn("band"), linewidth=0, zorder=1)
    for bound, binds in ((-1.0, row.lower), (1.0, row.upper)):
        if binds:
            axes.plot((bound, bound), (n - 0.02, n + 0.3), color=drawn("bound"), linewidth=1, zorder=2)
    at = n + 0.14
    if row.found is not None and row.left is not None:
        ends = (_shown(row.found), _shown(row.left))
        axes.plot(ends, (at, at), color=drawn("soft"), linewidth=size * 0.09, zorder=3)
    if row.left is not None and row.u_left and abs(row.left) <= EDGE:
        axes.errorbar(
            _shown(row.left), at, xerr=2 * row.u_left, color=drawn("left"), elinewidth=size * 0.1,
            capsize=size * 0.2, zorder=4,
        )  # fmt: skip
    for value, mark in ((row.found, _MARKS[0]), (row.left, _MARKS[1])):
        if value is not None:
            shape = mark.shape if abs(value) <= EDGE else (">" if value > 0 else "<")
            _mark(axes, [_shown(value)], [at], mark, shape, size)


def _mark(axes: Axes, x: list[float], y: list[float], mark: _Mark, shape: str, size: float, label: str = "_") -> None:
    colour = drawn(mark.colour)
    axes.plot(
        x, y, linestyle="", marker=shape, markersize=size * mark.size, markeredgewidth=size * 0.12, color=colour,
        markeredgecolor=colour, markerfacecolor=drawn(mark.face), label=label, zorder=5,
    )  # fmt: skip


def _shown(value: float) -> float:
    return max(-EDGE, min(EDGE, value))


def _name(axes: Axes, row: RestoredRow, n: int, width: Width) -> None:
    """Write name and values over the row; where it is narrow, the values under the name."""
    narrow = width == "narrow"
    most = {"narrow": 42, "wide": 92, "print": 78}[width] - (0 if narrow else len(row.values))
    name = row.name if len(row.name) <= most else row.name[: most - 1] + "…"
    size = TEXT_SIZES[width]
    left, right = -EDGE - 0.25, EDGE + 0.25
    axes.text(left, n - (0.38 if narrow else 0.1), name, ha="left", va="bottom", fontsize=size, color=drawn("ink"))
    at, side = (left, "left") if narrow else (right, "right")
    axes.text(at, n - 0.1, row.values, ha=side, va="bottom", fontsize=size, color=drawn("soft"))


def _legend(axes: Axes, width: Width) -> None:
    size = TEXT_SIZES[width]
    for mark in _MARKS:
        _mark(axes, [], [], mark, mark.shape, size, label=mark.stage)
    axes.fill_between([], [], [], color=drawn("band"), linewidth=0, label="tolerance")
    legend_above(axes, width=width, columns=3)


def _said(rows: Sequence[RestoredRow]) -> str:
    if not rows:
        return "No reading with a tolerance is to be restored."
    return " ".join(f"{row.name}: {row.values}, {_inside(row)}." for row in rows)


def _inside(row: RestoredRow) -> str:
    if row.left is None:
        return "not measured as left"
    out = (row.lower and row.left < -1) or (row.upper and row.left > 1)
    return "outside its tolerance" if out else "inside its tolerance"
