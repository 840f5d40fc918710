"""The dial as it is and as the next moves should leave it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from asfound.plots.dial import COVERAGE_FACTOR
from asfound.plots.palette import drawn
from asfound.plots.picture import TEXT_SIZES, Picture, Width, legend_above, make_axes
from asfound.shutter.trimming.trim import NextMove, Predicted

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_TITLE = "The dial now, and after the moves proposed"


def trim_picture(move: NextMove, *, width: Width = "wide") -> Picture:
    """Return the picture of a proposal; narrow, the speeds run down the page.

    Parameters
    ----------
    move : NextMove
    width : {"narrow", "wide", "print"}
    """
    down = width == "narrow"
    height = {"narrow": 100 + 34.0 * len(move.dial), "wide": 380.0, "print": 200.0}[width]
    figure, axes = make_axes(width=width, height=height)
    _tolerances(axes, move.dial, down=down)
    size = TEXT_SIZES[width] * 0.62
    places = list(range(len(move.dial)))
    _points(axes, places, move.dial, size=size, down=down, then=False)
    if move.aims:
        _points(axes, places, move.dial, size=size, down=down, then=True)
    _scales(axes, move.dial, down=down)
    legend_above(axes, width=width, columns=2 if down else 3)
    return Picture(figure, "trim", width, _TITLE, _said(move))


def _tolerances(axes: Axes, dial: tuple[Predicted, ...], *, down: bool) -> None:
    fill = axes.fill_betweenx if down else axes.fill_between
    label = "tolerance"
    for place, speed in enumerate(dial):
        limit = speed.tolerance_stops
        fill((place - 0.5, place + 0.5), -limit, limit, color=drawn("band"), linewidth=0, label=label, zorder=1)
        label = "_"


def _points(axes: Axes, places: list[int], dial: tuple[Predicted, ...], *, size: float, down: bool, then: bool) -> None:
    errors = [p.error_stops if then else p.now_stops for p in dial]
    at = [place + (0.15 if then else -0.15) for place in places]
    bars = [COVERAGE_FACTOR * p.u_error_stops for p in dial] if then else None
    colour = drawn("left" if then else "found")
    axes.errorbar(
        *((errors, at) if down else (at, errors)), xerr=bars if down else None, yerr=None if down else bars,
        linestyle="", marker="D" if then else "o", markersize=size, color=colour, ecolor=colour,
        markerfacecolor=colour if then else drawn("paper"), markeredgewidth=size * 0.2, capsize=size * 0.35,
        label="after the moves, ± 2 u" if then else "now", zorder=5,
    )  # fmt: skip


def _scales(axes: Axes, dial: tuple[Predicted, ...], *, down: bool) -> None:
    reach = [abs(p.now_stops) for p in dial]
    reach += [abs(p.error_stops) + COVERAGE_FACTOR * p.u_error_stops for p in dial]
    reach += [1.5 * p.tolerance_stops for p in dial]
    end = math.ceil(max(reach) * 3.15) / 3
    ends = (-0.6, len(dial) - 0.4)
    axes.set_xlim((-end, end) if down else ends)
    axes.set_ylim(ends[::-1] if down else (-end, end))
    speeds, errors = (axes.yaxis, axes.xaxis) if down else (axes.xaxis, axes.yaxis)
    speeds.set_ticks(range(len(dial)), labels=[p.marked for p in dial])
    speeds.set_tick_params(length=0)
    from matplotlib.ticker import MaxNLocator

    errors.set_major_locator(MaxNLocator(4 if down else 8))
    errors.grid(visible=True, zorder=0)
    (axes.axvline if down else axes.axhline)(0, color=drawn("soft"), linewidth=1, zorder=3)
    errors.set_label_text("short  ←  error in stops  →  long" if down else "error in stops: up is long")
    axes.set_axisbelow(True)


def _said(move: NextMove) -> str:
    if not move.aims:
        now = "; ".join(f"{p.marked} s {p.now_stops:+.2f}" for p in move.dial)
        return f"{move.words[0]} Errors in stops: {now}."
    each = "; ".join(f"{p.marked} s {p.now_stops:+.2f} to {p.error_stops:+.2f}" for p in move.dial)
    return f"{move.words[0]} Errors in stops, now to then: {each}."
