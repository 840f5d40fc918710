"""How the force at a lever is taken: the balance at right angles to the lever, winding and then unwinding."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from asfound.plots.palette import drawn
from asfound.plots.picture import TEXT_SIZES, Picture, Width, make_axes

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_TITLE = "Where the balance pulls"
_SAID = (
    "A lever on its pivot with the spring's coil round it. A thread pulls at right angles to the lever, at an arm "
    "that is measured from the pivot: read once as the lever moves against the spring, once as it is let back."
)


def lever_picture(*, width: Width = "wide") -> Picture:
    """Return the drawing that goes with the reading: pivot, arm, thread at right angles, the two ways."""
    figure, axes = make_axes(width=width, height={"narrow": 230.0, "wide": 520.0, "print": 260.0}[width])
    axes.set_axis_off()
    # Set beside the steps, the wide drawing is shown at two thirds of its size.
    size = TEXT_SIZES[width] * (1.45 if width == "wide" else 1.0)
    _coil(axes)
    _arm(axes, size)
    _balance(axes, size)
    _ways(axes, size)
    axes.set_aspect("equal")
    axes.set_xlim(-1.6, 11.0)
    axes.set_ylim(-2.6, 6.2)
    return Picture(figure, "lever", width, _TITLE, _SAID)


def _coil(axes: Axes) -> None:
    turns = [2 * math.pi * i / 40 for i in range(121)]
    radius = [1.0 + 0.25 * t / turns[-1] for t in turns]
    ring = ([r * math.cos(t) for r, t in zip(radius, turns, strict=True)],
            [r * math.sin(t) for r, t in zip(radius, turns, strict=True)])  # fmt: skip
    axes.plot(*ring, color=drawn("soft"), linewidth=1.5, zorder=2)
    axes.plot((1.25, 3.4), (0.0, 0.42), color=drawn("soft"), linewidth=1.5, zorder=2)


def _arm(axes: Axes, size: float) -> None:
    axes.plot((0, 8), (0, 0), color=drawn("ink"), linewidth=size * 0.5, solid_capstyle="round", zorder=3)
    axes.plot(0, 0, marker="o", markersize=size * 0.9, markerfacecolor=drawn("paper"), color=drawn("ink"), zorder=5)
    axes.annotate("", xy=(7.5, -1.5), xytext=(0, -1.5), arrowprops={"arrowstyle": "<->", "color": drawn("soft")})
    for x in (0, 7.5):
        axes.plot((x, x), (-1.8, -0.3), color=drawn("soft"), linewidth=0.8)
    axes.text(3.75, -1.75, "arm", ha="center", va="top", fontsize=size, color=drawn("ink"))


def _balance(axes: Axes, size: float) -> None:
    axes.plot((7.5, 7.5), (0, 3.2), color=drawn("left"), linewidth=1.4, zorder=4)
    axes.plot((7.5, 7.0, 7.0), (0.55, 0.55, 0.0), color=drawn("left"), linewidth=1.0)
    axes.plot((7.15, 7.85, 7.85, 7.15, 7.15), (3.2, 3.2, 5.4, 5.4, 3.2), color=drawn("left"), linewidth=1.6, zorder=4)
    for n in range(5):
        axes.plot((7.15, 7.4), (3.6 + 0.36 * n,) * 2, color=drawn("left"), linewidth=1.0)
    axes.text(8.2, 4.3, "balance", ha="left", va="center", fontsize=size, color=drawn("left"))
    axes.text(6.8, 0.75, "right angle", ha="right", va="bottom", fontsize=size, color=drawn("left"))


def _ways(axes: Axes, size: float) -> None:
    for start, end, rad, name, colour, y in (
        ((3.3, 2.2), (2.2, 3.5), 0.35, "winding: read while it moves", "found", 4.9),
        ((1.5, 3.2), (2.7, 2.0), -0.35, "unwinding: let it back, read again", "ink", 5.8),
    ):
        style = {"arrowstyle": "-|>", "connectionstyle": f"arc3,rad={rad}", "color": drawn(colour), "linewidth": 1.4}
        axes.annotate("", xy=end, xytext=start, arrowprops=style)
        axes.text(-1.5, y, name, ha="left", va="center", fontsize=size, color=drawn(colour))
