"""The distance scale: where each mark stands and where it belongs, and what its error is in depths of focus."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from asfound.focus import MarkError, ScaleFit
from asfound.plots.board import arrow, board, line, write
from asfound.plots.palette import drawn
from asfound.plots.picture import TEXT_SIZES, WIDTHS, Picture, Width, legend_above, make_axes

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

COVERAGE_FACTOR = 2.0  # what is drawn either side of a measured value, in standard uncertainties


def distance_name(distance_mm: float) -> str:
    """Return a distance as it is engraved, in m."""
    return "∞" if math.isinf(distance_mm) else f"{distance_mm / 1000:.4g}"


def scale_picture(fit: ScaleFit, *, width: Width = "wide") -> Picture:
    """Return the error of each engraved distance: in half depths of focus, or in mm where no budget is known.

    Narrow, the distances run down the page.
    """
    marks = sorted(fit.marks, key=lambda mark: -mark.engraved_mm)
    down = width == "narrow"
    height = {"narrow": 110 + 38.0 * len(marks), "wide": 340.0, "print": 190.0}[width]
    figure, axes = make_axes(width=width, height=height)
    shares = [_share(mark) for mark in marks]
    values = [share * (mark.error.value or 0.0) for mark, share in zip(marks, shares, strict=True)]
    bars = [
        COVERAGE_FACTOR * share * (mark.error.standard_uncertainty or 0.0)
        for mark, share in zip(marks, shares, strict=True)
    ]
    places, in_depths = list(range(len(marks))), marks[0].depths is not None
    if in_depths:
        (axes.axvspan if down else axes.axhspan)(-1, 1, color=drawn("band"), linewidth=0, zorder=0.5, label="sharp")
    (axes.axvline if down else axes.axhline)(0, color=drawn("bound"), linewidth=1, zorder=1)
    size = TEXT_SIZES[width] * 0.62
    points: dict[str, Any] = {
        "linestyle": "",
        "marker": "o",
        "markersize": size,
        "color": drawn("found"),
        "ecolor": drawn("found"),
        "elinewidth": size * 0.2,
        "capsize": size * 0.4,
        "zorder": 5,
        "label": "mark" + (", ± 2 u" if any(bars) else ""),
    }
    if down:
        axes.errorbar(values, places, xerr=bars, **points)
    else:
        axes.errorbar(places, values, yerr=bars, **points)
    _reach(axes, values, bars, down=down, least=1.35 if in_depths else 0.0)
    _names(axes, marks, down=down, in_depths=in_depths)
    legend_above(axes, width=width, columns=2)
    return Picture(figure, "scale", width, "Error of each engraved distance", _said(marks))


def _share(mark: MarkError) -> float:
    """Return how many half depths of focus a mm is at a mark; one where there is no budget."""
    return 1.0 if mark.depths is None or not mark.error.value else abs(mark.depths / mark.error.value)


def _reach(axes: Axes, values: Sequence[float], bars: Sequence[float], *, down: bool, least: float) -> None:
    far = max(max(abs(v) + b for v, b in zip(values, bars, strict=True)) * 1.12, least, 1e-6)
    (axes.set_xlim if down else axes.set_ylim)(-far, far)


def _names(axes: Axes, marks: Sequence[MarkError], *, down: bool, in_depths: bool) -> None:
    dial, errors = (axes.yaxis, axes.xaxis) if down else (axes.xaxis, axes.yaxis)
    dial.set_ticks(range(len(marks)), labels=[_metres(mark) for mark in marks])
    dial.set_tick_params(length=0)
    ends = (-0.6, len(marks) - 0.4)
    (axes.set_ylim if down else axes.set_xlim)(*(ends[::-1] if down else ends))
    axes.grid(visible=True, axis="x" if down else "y", zorder=0)
    axes.set_axisbelow(True)
    what = "error, half depths of focus" if in_depths else "error of the image, mm"
    errors.set_label_text(what if down else f"{what}\n+ lens too far out")


def _metres(mark: MarkError) -> str:
    return "∞" if math.isinf(mark.engraved_mm) else f"{distance_name(mark.engraved_mm)} m"


def _said(marks: Sequence[MarkError]) -> str:
    return " ".join(
        f"{distance_name(mark.engraved_mm)} m: {mark.error.value or 0.0:+.3f} mm"
        + ("" if mark.depths is None else f", {mark.depths:+.2f} half depths of focus, {mark.verdict}")
        + "."
        for mark in marks
    )


def ring_picture(fit: ScaleFit, *, width: Width = "wide") -> Picture:
    """Return the distance ring laid flat: above where each mark stands, below where it belongs."""
    height = {"narrow": 176.0, "wide": 200.0, "print": 116.0}[width]
    figure, axes = board(width=width, height=height)
    side, step = 0.11 * WIDTHS[width], TEXT_SIZES[width]
    stands = [mark.angle_deg for mark in fit.marks]
    belongs = [mark.fitted_angle_deg for mark in fit.marks]
    low, high = min(*stands, *belongs), max(*stands, *belongs)
    span = (WIDTHS[width] - 2 * side) / ((high - low) or 1.0)
    upper, lower = height - 4.2 * step, 4.2 * step
    for y in (upper, lower):
        line(axes, [(0.4 * side, y), (WIDTHS[width] - 0.4 * side, y)], colour="soft", weight=1.2)
    for mark in fit.marks:
        _joined(axes, mark, (side + span * (mark.angle_deg - low), upper),
                (side + span * (mark.fitted_angle_deg - low), lower), step)  # fmt: skip
    _spread(axes, [(side + span * (m.angle_deg - low), distance_name(m.engraved_mm)) for m in fit.marks],
            upper + 1.6 * step, width)  # fmt: skip
    _spread(axes, [(side + span * (m.fitted_angle_deg - low), f"{m.fitted_angle_deg:.0f}°") for m in fit.marks],
            lower - 1.5 * step, width)  # fmt: skip
    write(axes, (6, height - 0.7 * step), "engraved, m", width=width, colour="soft", share=0.92)
    write(axes, (6, 0.6 * step), "belongs at", width=width, colour="soft", share=0.92)
    said = " ".join(
        f"{distance_name(m.engraved_mm)} m stands at {m.angle_deg:.1f} degrees and belongs at {m.fitted_angle_deg:.1f}."
        for m in fit.marks
    )
    return Picture(figure, "ring", width, "The distance ring laid flat", said)


def _joined(
    axes: Axes, mark: MarkError, stands: tuple[float, float], belongs: tuple[float, float], step: float
) -> None:
    off = mark.verdict == "outside"
    colour = "found" if off else "ink"
    line(axes, [(stands[0], stands[1] + 0.6 * step), (stands[0], stands[1] - 0.6 * step)], colour=colour, weight=2.4)
    line(
        axes, [(belongs[0], belongs[1] + 0.6 * step), (belongs[0], belongs[1] - 0.6 * step)], colour="bound", weight=2.4
    )
    arrow(axes, (stands[0], stands[1] - 0.8 * step), (belongs[0], belongs[1] + 0.8 * step), colour=colour, weight=1.2)


def _spread(axes: Axes, named: Sequence[tuple[float, str]], y: float, width: Width) -> None:
    """Write names over their places, leaving out those that would run into the one before."""
    size, last = TEXT_SIZES[width], -math.inf
    for x, name in sorted(named):
        wide = 0.62 * size * len(name)
        if x - wide / 2 > last + 0.3 * size:
            write(axes, (x, y), name, width=width, ha="center")
            last = x + wide / 2
