"""Setting infinity: where the image was sharpest, where infinity truly is, and where the stop stands."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asfound.focus import FocusBudget, InfinitySetting, SharpnessPeak
from asfound.plots.palette import drawn
from asfound.plots.picture import TEXT_SIZES, Picture, Width, legend_above, make_axes
from asfound.quantity import Reading, show_reading

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

COVERAGE_FACTOR = 2.0  # what is drawn either side of a measured value, in standard uncertainties


def infinity_picture(
    setting: InfinitySetting,
    *,
    stop_mm: float,
    brackets: Sequence[tuple[float, float]] = (),
    series: SharpnessPeak | None = None,
    budget: FocusBudget | None = None,
    width: Width = "wide",
) -> Picture:
    """Return the tries, or the sharpness of the photographs, over the setting, with true infinity and the stop.

    Parameters
    ----------
    setting : InfinitySetting
        What was found.
    stop_mm : float
        Setting at the infinity stop.
    brackets : sequence of (float, float)
        Each try: sharpest between these two settings.
    series : SharpnessPeak, optional
        The photographs, in place of tries.
    """
    rows = 3 if series else max(3, len(brackets))
    height = {"narrow": 150 + 24.0 * rows, "wide": 150 + 30.0 * rows, "print": 90 + 16.0 * rows}[width]
    figure, axes = make_axes(width=width, height=height + (90 if series else 0))
    line = TEXT_SIZES[width] * 0.17
    if budget is not None:
        half = budget.half_width_mm * abs((setting.error.value or 1.0) / (setting.image_error.value or 1.0))
        true = setting.true_infinity.value or 0.0
        axes.axvspan(true - half, true + half, color=drawn("band"), linewidth=0, zorder=0.5, label="focus budget")
    if series is not None:
        _series(axes, series, line)
    else:
        _tries(axes, brackets, line)
    _line_at(axes, setting.true_infinity, "true infinity", "bound", line)
    axes.axvline(stop_mm, color=drawn("found"), linewidth=2 * line, linestyle=(0, (4, 2)), zorder=7, label="the stop")
    axes.grid(visible=True, axis="x", zorder=0)
    axes.set_axisbelow(True)
    axes.margins(x=0.08)
    axes.locator_params(axis="x", nbins=5 if width == "narrow" else 9)
    axes.set_xlabel("setting, mm of travel; + outwards")
    legend_above(axes, width=width, columns=2 if width == "narrow" else 5)
    return Picture(
        figure, "infinity", width, "Where infinity is sharp, and where the stop stands", _said(setting, stop_mm)
    )


def _tries(axes: Axes, brackets: Sequence[tuple[float, float]], line: float) -> None:
    for n, (low, high) in enumerate(brackets):
        axes.plot([low, high], [n, n], color=drawn("left"), linewidth=1.6 * line, marker="|", markersize=6 * line,
                  zorder=4, label="sharpest between" if n == 0 else "_")  # fmt: skip
        axes.plot([(low + high) / 2], [n], linestyle="", marker="o", markersize=3 * line, color=drawn("left"), zorder=5)
    axes.set_ylim(len(brackets) - 0.4, -0.6)
    step = max(1, len(brackets) // 8)
    axes.set_yticks(range(0, len(brackets), step), labels=[f"try {n + 1}" for n in range(0, len(brackets), step)])
    axes.tick_params(axis="y", length=0)


def _series(axes: Axes, series: SharpnessPeak, line: float) -> None:
    x, y = zip(*series.curve, strict=True)
    top = max(*series.sharpness, *y)
    axes.plot(x, [value / top for value in y], color=drawn("left"), linewidth=line, zorder=3, label="fitted")
    doubtful = set(series.doubtful)
    good = [(s, v / top) for s, v in zip(series.settings, series.sharpness, strict=True) if s not in doubtful]
    bad = [(s, v / top) for s, v in zip(series.settings, series.sharpness, strict=True) if s in doubtful]
    for points, marker, name in ((good, "o", "photograph"), (bad, "x", "left out")):
        if points:
            axes.plot(*zip(*points, strict=True), linestyle="", marker=marker, markersize=4.2 * line,
                      color=drawn("ink" if marker == "o" else "stale"), zorder=5, label=name)  # fmt: skip
    axes.set_ylim(0, 1.12)
    axes.set_yticks([0, 0.5, 1])
    axes.set_ylabel("sharpness")


def _line_at(axes: Axes, reading: Reading, name: str, colour: str, line: float) -> None:
    value, u = reading.value or 0.0, COVERAGE_FACTOR * (reading.standard_uncertainty or 0.0)
    if u:
        axes.axvspan(value - u, value + u, color=drawn(colour), alpha=0.25, linewidth=0, zorder=2)
    axes.axvline(value, color=drawn(colour), linewidth=1.8 * line, zorder=6, label=name + (", ± 2 u" if u else ""))


def _said(setting: InfinitySetting, stop_mm: float) -> str:
    return f"True infinity at {show_reading(setting.true_infinity)}, the stop at {stop_mm:.3f} mm. {setting.advice}."
