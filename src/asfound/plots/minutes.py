"""What the cameras of a model took, and what the next one is likely to."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asfound.plots.palette import drawn
from asfound.plots.picture import TEXT_SIZES, Picture, Width, legend_above, make_axes

if TYPE_CHECKING:
    from collections.abc import Sequence

    from asfound.job.costing import Foreseen


def minutes_picture(
    minutes: Sequence[float], *, foreseen: Foreseen | None = None, so_far: float = 0.0, width: Width = "wide"
) -> Picture:
    """Return a mark for each camera over the hours it took, with the band expected of the next.

    Parameters
    ----------
    minutes : sequence of float
        Of each camera.
    so_far : float
        Minutes of the camera at hand; zero draws nothing.
    """
    figure, axes = make_axes(width=width, height={"narrow": 200.0, "wide": 190.0, "print": 130.0}[width])
    line = TEXT_SIZES[width] * 0.17
    hours = sorted(value / 60 for value in minutes)
    if foreseen is not None and foreseen.low_minutes is not None and foreseen.high_minutes is not None:
        axes.axvspan(foreseen.low_minutes / 60, foreseen.high_minutes / 60, color=drawn("band"), linewidth=0,
                     label="expected of the next")  # fmt: skip
    if foreseen is not None:
        axes.axvline(foreseen.likely_minutes / 60, color=drawn("left"), linewidth=line, label="likely")
    axes.plot(hours, [1] * len(hours), linestyle="", marker="o", markersize=8 * line, markerfacecolor="none",
              markeredgewidth=line, color=drawn("found"), label="a camera", zorder=4)  # fmt: skip
    if so_far > 0:
        axes.plot([so_far / 60], [0.4], linestyle="", marker="^", markersize=8 * line, color=drawn("left"),
                  label="this one so far", zorder=4)  # fmt: skip
    axes.set_ylim(0, 2)
    axes.set_yticks([])
    axes.set_xlim(left=0)
    axes.grid(visible=True, axis="x", zorder=0)
    axes.set_axisbelow(True)
    axes.set_xlabel("hours of work")
    legend_above(axes, width=width, columns=2 if width == "narrow" else 4)
    return Picture(figure, "minutes", width, "What other cameras of the model took", _said(hours, foreseen))


def _said(hours: Sequence[float], foreseen: Foreseen | None) -> str:
    told = "Hours of work: " + ", ".join(f"{value:.1f}" for value in hours) + "."
    if foreseen is None:
        return told
    told += f" Likely of the next: {foreseen.likely_minutes / 60:.1f} hours"
    if foreseen.low_minutes is None or foreseen.high_minutes is None:
        return told + "."
    return f"{told}, between {foreseen.low_minutes / 60:.1f} and {foreseen.high_minutes / 60:.1f}."
