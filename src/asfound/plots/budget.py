"""The focus budget: the cone of light at the film, and how far the field is sharp."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from asfound.focus import DepthOfField, FocusBudget
from asfound.plots.palette import drawn
from asfound.plots.picture import TEXT_SIZES, Picture, Width, legend_above, make_axes
from asfound.quantity import Reading, show_reading

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

# What is drawn either side of a measured value: two standard uncertainties (JCGM 100:2008, G.6.6, from memory).
COVERAGE_FACTOR = 2.0


def budget_picture(budget: FocusBudget, *, error: Reading | None = None, width: Width = "wide") -> Picture:
    """Return the blur over the film's distance from the sharp image: within the band it is no larger than c.

    Parameters
    ----------
    error : Reading, optional
        A displacement to be judged, in mm.
    """
    figure, axes = make_axes(width=width, height={"narrow": 290.0, "wide": 330.0, "print": 190.0}[width])
    half, line = budget.half_width_mm, TEXT_SIZES[width] * 0.17
    value = None if error is None else error.value
    u = 0.0 if error is None else error.standard_uncertainty or 0.0
    reach = 1.15 * max(2 * half, abs(value or 0.0) + COVERAGE_FACTOR * u)
    away = np.array([-reach, 0.0, reach])
    edge = np.abs(away) / budget.f_number / 2
    axes.axvspan(-half, half, color=drawn("band"), linewidth=0, zorder=0.5, label="within the budget")
    axes.fill_between(away, -edge, edge, color=drawn("area"), linewidth=0, zorder=1, label="cone of light")
    for side in (-1, 1):
        axes.plot(away, side * edge, color=drawn("left"), linewidth=line, zorder=3)
        axes.plot([side * half] * 2, [-budget.circle_mm / 2, budget.circle_mm / 2], color=drawn("bound"),
                  linewidth=2.2 * line, zorder=4, label="circle of confusion" if side < 0 else "_")  # fmt: skip
    if value is not None:
        _judged(axes, value, u, budget, line)
    axes.set_xlim(-reach, reach)
    _scales(axes, width)
    legend_above(axes, width=width, columns=2 if width == "narrow" else 4)
    return Picture(figure, "budget", width, "The cone of light at the film, and the focus budget", _said(budget, error))


def _judged(axes: Axes, value: float, u: float, budget: FocusBudget, line: float) -> None:
    blur = abs(value) / budget.f_number / 2
    axes.plot([value] * 2, [-blur, blur], color=drawn("found"), linewidth=2.2 * line, zorder=5)
    axes.errorbar(
        [value], [0], xerr=[COVERAGE_FACTOR * u], linestyle="", marker="o", markersize=6 * line,
        color=drawn("found"), ecolor=drawn("found"), elinewidth=line, capsize=3 * line, zorder=6,
        label="the error" + (", ± 2 u" if u else ""),
    )  # fmt: skip


def _scales(axes: Axes, width: Width) -> None:
    axes.grid(visible=True, axis="x", zorder=0)
    axes.set_axisbelow(True)
    axes.set_xlabel("film off the sharp image, mm" if width == "narrow" else "film off the sharp image, mm (positive: "
                    "the lens stands too far out)")  # fmt: skip
    axes.set_ylabel("width of a point's image, mm")
    axes.locator_params(axis="x", nbins=5 if width == "narrow" else 9)
    axes.yaxis.set_major_formatter(lambda value, _: f"{2 * abs(value):.3g}")


def _said(budget: FocusBudget, error: Reading | None) -> str:
    told = (
        f"At f/{budget.f_number:g} a point's image is no wider than {budget.circle_mm:.3g} mm within ±"
        f"{budget.half_width_mm:.3g} mm of the sharp one."
    )
    return told if error is None or error.value is None else f"{told} The error: {show_reading(error)}."


def field_picture(fields: Sequence[tuple[float, DepthOfField]], *, width: Width = "wide") -> Picture:
    """Return from where to where the field is sharp, a bar to each aperture, on a scale of distances.

    Parameters
    ----------
    fields : sequence of (f-number, DepthOfField)
    """
    height = 90.0 + {"narrow": 34.0, "wide": 36.0, "print": 20.0}[width] * max(1, len(fields))
    figure, axes = make_axes(width=width, height=height)
    near = min(field.near_mm for _, field in fields)
    ends = [field.far_mm for _, field in fields if math.isfinite(field.far_mm)]
    known = [field.distance_mm for _, field in fields if math.isfinite(field.distance_mm)]
    far = 2.5 * max([*ends, *known, *(field.hyperfocal_mm for _, field in fields)])
    for place, (_, field) in enumerate(fields):
        last = far if math.isinf(field.far_mm) else field.far_mm
        axes.barh(place, last - field.near_mm, left=field.near_mm, height=0.55, color=drawn("band"),
                  edgecolor=drawn("bound"), linewidth=1, zorder=3, label="sharp" if place == 0 else "_")  # fmt: skip
        axes.plot([field.hyperfocal_mm], [place], linestyle="", marker="|", markersize=16, markeredgewidth=2.2,
                  color=drawn("soft"), zorder=4, label="hyperfocal" if place == 0 else "_")  # fmt: skip
    if known:
        axes.axvline(known[0], color=drawn("found"), linewidth=1.8, zorder=5, label="focused at")
    _distances(axes, (0.85 * near, far), width)
    axes.set_yticks(range(len(fields)), labels=[f"f/{number:g}" for number, _ in fields])
    axes.set_ylim(len(fields) - 0.4, -0.6)
    legend_above(axes, width=width, columns=3)
    said = " ".join(f"f/{n:g}: {_metres(field.near_mm)} to {_metres(field.far_mm)}." for n, field in fields)
    return Picture(figure, "field", width, "From where to where the field is sharp", said)


_MARKS_M = (0.3, 0.5, 0.7, 1, 1.5, 2, 3, 5, 7, 10, 15, 20, 30, 50, 100, 200, 500, 1000)


def _distances(axes: Axes, reach: tuple[float, float], width: Width) -> None:
    axes.set_xscale("log")
    axes.set_xlim(*reach)
    marks = [mark for mark in _MARKS_M if reach[0] <= 1000 * mark <= 0.93 * reach[1]]
    most = 5 if width == "narrow" else 9
    marks = marks[:: -(-len(marks) // most)] if marks else []
    axes.set_xticks([1000 * mark for mark in marks] + [reach[1]], labels=[*(f"{mark:g}" for mark in marks), "∞"])
    axes.minorticks_off()
    axes.grid(visible=True, axis="x", zorder=0)
    axes.set_axisbelow(True)
    axes.set_xlabel("distance from the lens, m")


def _metres(distance_mm: float) -> str:
    return "infinity" if math.isinf(distance_mm) else f"{distance_mm / 1000:.3g} m"
