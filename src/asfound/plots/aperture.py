"""Apertures against their marks in stops, and the outline of an opening."""

import math
from typing import TYPE_CHECKING, Any

from asfound.focus import ApertureFinding, Opening
from asfound.plots.board import board, line, shape, write
from asfound.plots.palette import drawn
from asfound.plots.picture import TEXT_SIZES, WIDTHS, Picture, Width, legend_above, make_axes

if TYPE_CHECKING:
    from collections.abc import Sequence

COVERAGE_FACTOR = 2.0  # what is drawn either side of a measured value, in standard uncertainties


def aperture_picture(finding: ApertureFinding, *, tolerance_stops: float, width: Width = "wide") -> Picture:
    """Return the error of each marked aperture in stops; narrow, the marks run down the page."""
    settings = sorted(finding.settings, key=lambda one: one.marked)
    down = width == "narrow"
    height = {"narrow": 110 + 36.0 * len(settings), "wide": 330.0, "print": 180.0}[width]
    figure, axes = make_axes(width=width, height=height)
    (axes.axvspan if down else axes.axhspan)(
        -tolerance_stops, tolerance_stops, color=drawn("band"), linewidth=0, zorder=0.5, label="tolerance"
    )
    (axes.axvline if down else axes.axhline)(0, color=drawn("bound"), linewidth=1, zorder=1)
    values = [one.error.value or 0.0 for one in settings]
    bars = [COVERAGE_FACTOR * (one.error.standard_uncertainty or 0.0) for one in settings]
    size = TEXT_SIZES[width] * 0.65
    off = set(finding.off)
    for place, (one, value, bar) in enumerate(zip(settings, values, bars, strict=True)):
        apart = one.marked in off
        looks: dict[str, Any] = {
            "linestyle": "", "marker": "X" if apart else "o", "markersize": size * (1.3 if apart else 1),
            "color": drawn("found" if apart else "left"), "elinewidth": size * 0.2, "capsize": size * 0.4, "zorder": 5,
        }  # fmt: skip
        if down:
            axes.errorbar([value], [place], xerr=[bar], **looks)
        else:
            axes.errorbar([place], [value], yerr=[bar], **looks)
    axes.plot([], [], linestyle="", marker="o", markersize=size, color=drawn("left"), label="setting, ± 2 u")
    if off:
        axes.plot([], [], linestyle="", marker="X", markersize=1.3 * size, color=drawn("found"), label="stands apart")
    reach = max(1.5 * tolerance_stops, 1.1 * max(abs(v) + b for v, b in zip(values, bars, strict=True)))
    (axes.set_xlim if down else axes.set_ylim)(-reach, reach)
    dial, errors = (axes.yaxis, axes.xaxis) if down else (axes.xaxis, axes.yaxis)
    dial.set_ticks(range(len(settings)), labels=[f"f/{one.marked:g}" for one in settings])
    dial.set_tick_params(length=0)
    ends = (-0.6, len(settings) - 0.4)
    (axes.set_ylim if down else axes.set_xlim)(*(ends[::-1] if down else ends))
    axes.grid(visible=True, axis="x" if down else "y", zorder=0)
    axes.set_axisbelow(True)
    errors.set_label_text("error in stops; + darker" if down else "error in stops\n+ darker than marked")
    legend_above(axes, width=width, columns=2 if down else 3)
    said = " ".join(f"f/{one.marked:g}: {one.error.value or 0.0:+.2f} stop, {one.verdict}." for one in settings)
    return Picture(figure, "aperture", width, "Error of each marked aperture, in stops", said)


def opening_picture(opening: Opening, *, width: Width = "wide") -> Picture:
    """Return the outline of an opening over the circle of the same area."""
    size = {"narrow": 280.0, "wide": 320.0, "print": 180.0}[width]
    figure, axes = board(width=width, height=size)
    radius = (opening.diameter.value or 1.0) / 2
    reach = max(math.hypot(x, y) for x, y in opening.outline_mm)
    scale = 0.44 * size / max(reach, radius)
    centre = (0.5 * WIDTHS[width] if width == "narrow" else 0.3 * WIDTHS[width], size / 2)
    points = [(centre[0] + scale * x, centre[1] + scale * y) for x, y in opening.outline_mm]
    shape(axes, points, fill="area", weight=2)
    circle = [(centre[0] + scale * radius * math.cos(math.radians(3 * n)),
               centre[1] + scale * radius * math.sin(math.radians(3 * n))) for n in range(121)]  # fmt: skip
    line(axes, circle, colour="found", weight=1.6, dashes=(5, 3))
    _told(axes, opening, centre, size, width)
    said = (
        f"Equal circle {opening.diameter.value or 0.0:.2f} mm; width {opening.least_width_mm:.2f} to "
        f"{opening.greatest_width_mm:.2f} mm."
    )
    return Picture(figure, "opening", width, "The shape of the opening", said)


def _told(axes: Any, opening: Opening, centre: tuple[float, float], size: float, width: Width) -> None:
    lines: Sequence[str] = (
        f"⌀ {opening.diameter.value or 0.0:.2f} mm",
        f"{opening.least_width_mm:.2f} to {opening.greatest_width_mm:.2f}",
    )
    step = 1.5 * TEXT_SIZES[width]
    for n, text in enumerate(lines):
        write(axes, (centre[0], centre[1] + step / 2 - n * step), text, width=width, ha="center")
