"""Force over travel of a straight spring: coil or leaf, with the force asked for and where it ends."""

from collections.abc import Sequence
from dataclasses import dataclass

from asfound.plots.palette import drawn
from asfound.plots.picture import TEXT_SIZES, Picture, Width, legend_above, make_axes

_TITLE = "Force over travel"
_HEIGHTS = {"narrow": 310.0, "wide": 360.0, "print": 200.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class ForceMark:
    """A point or an end of the line: its travel, its force, its name."""

    travel_mm: float
    force_n: float
    name: str


def force_picture(
    *, rate_n_per_mm: float, asked: ForceMark, starts_at_n: float = 0.0, ends: Sequence[ForceMark] = (),
    width: Width = "wide",
) -> Picture:  # fmt: skip
    """Return the picture of a spring's force over its travel.

    Parameters
    ----------
    starts_at_n : float
        Force at which it begins to move: the initial tension of an extension spring.
    ends : sequence of ForceMark
        Where the line ends: solid, or the wire yields; drawn where they are within twice the travel asked for.
    """
    figure, axes = make_axes(width=width, height=_HEIGHTS[width])
    line = TEXT_SIZES[width] * 0.19
    near = [end for end in ends if end.travel_mm <= 2.5 * asked.travel_mm]
    reach = max([1.25 * asked.travel_mm, *(end.travel_mm for end in near)])
    axes.plot(
        (0, 0, reach), (0, starts_at_n, starts_at_n + rate_n_per_mm * reach), color=drawn("left"), linewidth=line,
        label="by its dimensions", zorder=3,
    )  # fmt: skip
    for n, end in enumerate(near):
        dashes = ((0, (2, 2)), (0, (6, 2, 1, 2)))[n % 2]
        axes.axvline(end.travel_mm, color=drawn("ink"), linewidth=1.2, linestyle=dashes, label=end.name, zorder=2)
    axes.plot(
        asked.travel_mm, asked.force_n, linestyle="", marker="o", markersize=TEXT_SIZES[width] * 0.6,
        markerfacecolor=drawn("paper"), markeredgecolor=drawn("found"), markeredgewidth=line * 0.7, label=asked.name,
        zorder=5,
    )  # fmt: skip
    axes.set_xlim(left=0)
    axes.set_ylim(bottom=0)
    axes.grid(visible=True, zorder=0)
    axes.set_axisbelow(True)
    axes.set_xlabel("travel, mm")
    axes.set_ylabel("force, N")
    legend_above(axes, width=width, columns=1 if width == "narrow" else 4)
    said = [f"{mark.name}: {mark.force_n:.3g} N at {mark.travel_mm:.3g} mm." for mark in (asked, *near)]
    return Picture(figure, "force", width, _TITLE, " ".join(said))
