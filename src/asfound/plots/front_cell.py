"""Travel of a front cell over the distance, beside what the whole lens would need."""

from collections.abc import Sequence

from asfound.plots.palette import drawn
from asfound.plots.picture import TEXT_SIZES, Picture, Width, legend_above, make_axes

_MARKS_M = (0.5, 0.7, 1, 1.5, 2, 3, 5, 10, 20, 50)


def travel_picture(
    curve: Sequence[tuple[float, float]],
    whole: Sequence[tuple[float, float]],
    here: tuple[float, float] | None = None,
    *,
    width: Width = "wide",
) -> Picture:
    """Return the travel in mm over the distance in mm.

    Parameters
    ----------
    curve, whole : sequence of (distance, travel)
        Of the front cell; of the whole lens for the same distances.
    here : (distance, travel), optional
        The distance asked for.
    """
    figure, axes = make_axes(width=width, height={"narrow": 280.0, "wide": 310.0, "print": 180.0}[width])
    line = TEXT_SIZES[width] * 0.19
    axes.plot(*zip(*curve, strict=True), color=drawn("left"), linewidth=1.3 * line, zorder=4, label="front cell")
    axes.plot(*zip(*whole, strict=True), color=drawn("soft"), linewidth=line, linestyle=(0, (5, 3)), zorder=3,
              label="whole lens")  # fmt: skip
    if here is not None:
        axes.plot(
            *here, linestyle="", marker="o", markersize=4.5 * line, color=drawn("found"), zorder=6, label="asked for"
        )
    axes.set_xscale("log")
    ends = (curve[0][0], curve[-1][0])
    marks = [mark for mark in _MARKS_M if ends[0] <= 1000 * mark <= ends[1]]
    marks = marks[:: 2 if width == "narrow" and len(marks) > 6 else 1]
    axes.set_xticks([1000 * mark for mark in marks], labels=[f"{mark:g}" for mark in marks])
    axes.minorticks_off()
    axes.set_ylim(bottom=0)
    axes.grid(visible=True, zorder=0)
    axes.set_axisbelow(True)
    axes.set_xlabel("distance, m")
    axes.set_ylabel("travel from infinity, mm")
    legend_above(axes, width=width, columns=3)
    said = f"From {curve[-1][1]:.2f} mm at {ends[1] / 1000:.3g} m to {curve[0][1]:.2f} mm at {ends[0] / 1000:.3g} m."
    return Picture(figure, "travel", width, "Travel of the front cell over the distance", said)
