"""A coupled rangefinder: the error at each distance, and what is left once each adjuster has done its part."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from asfound.focus import CoupledReading, Coupling, FocusBudget
from asfound.plots.palette import drawn
from asfound.plots.picture import TEXT_SIZES, Picture, Width, legend_above, make_axes

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes


def coupling_picture(
    coupling: Coupling, *, needed_mm: Sequence[float], budget: FocusBudget | None = None, width: Width = "wide"
) -> Picture:
    """Return the error of the extension over the extension needed: now, the line through it, and after both adjusters.

    Parameters
    ----------
    needed_mm : sequence of float
        Extension at the image that each reading's true distance asks for.
    budget : FocusBudget, optional
        Shaded.
    """
    figure, axes = make_axes(width=width, height={"narrow": 310.0, "wide": 340.0, "print": 190.0}[width])
    line = TEXT_SIZES[width] * 0.19
    if budget is not None:
        half = budget.half_width_mm
        axes.axhspan(-half, half, color=drawn("band"), linewidth=0, zorder=0.5, label="focus budget")
    axes.axhline(0, color=drawn("bound"), linewidth=1.2, zorder=1)
    far = max(needed_mm) or 1.0
    offset, rate = coupling.offset.value or 0.0, coupling.rate.value or 1.0
    axes.plot([0, far], [offset, offset + (rate - 1) * far], color=drawn("found"), linewidth=line,
              linestyle=(0, (5, 3)), zorder=3, label="offset and rate")  # fmt: skip
    marks = (("now", "found", "o", [r.error_mm for r in coupling.readings]),
             ("after both", "left", "D", [r.after_both_mm for r in coupling.readings]))  # fmt: skip
    for name, colour, marker, errors in marks:
        axes.plot(needed_mm, errors, linestyle="", marker=marker, markersize=3.6 * line, color=drawn(colour), zorder=5,
                  label=name)  # fmt: skip
    _scales(axes, coupling.readings, needed_mm, far, width)
    legend_above(axes, width=width, columns=2 if width == "narrow" else 4)
    return Picture(figure, "coupling", width, "Error of the rangefinder over the distance", _said(coupling))


def _scales(axes: Axes, readings: Sequence[CoupledReading], needed: Sequence[float], far: float, width: Width) -> None:
    named = {x: _name(r.true_mm) for x, r in zip(needed, readings, strict=True)}
    shown: list[float] = []
    for x in sorted(named):
        if not shown or x - shown[-1] > far * (0.14 if width == "narrow" else 0.07):
            shown.append(x)
    axes.set_xticks(shown, labels=[named[x] for x in shown])
    axes.set_xlim(-0.06 * far, 1.06 * far)
    axes.margins(y=0.15)
    axes.grid(visible=True, axis="y", zorder=0)
    axes.set_axisbelow(True)
    axes.set_xlabel("true distance, m (spaced as the lens moves)")
    axes.set_ylabel("lens off, mm; + too far out")


def _name(distance_mm: float) -> str:
    return "∞" if math.isinf(distance_mm) else f"{distance_mm / 1000:.3g}"


def _said(coupling: Coupling) -> str:
    told = [f"At {_name(r.true_mm)} m: {r.error_mm:+.3f} mm." for r in coupling.readings]
    return " ".join([*told, f"{coupling.advice.capitalize()}."])
