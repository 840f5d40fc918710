"""A picture before it is rendered: the drawing, and what it says to somebody who cannot see it."""

from __future__ import annotations

import threading
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from asfound.plots.palette import drawn

if TYPE_CHECKING:
    from collections.abc import Iterator

    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Width = Literal["narrow", "wide", "print"]

# Widths in points: a telephone, a desk, and the text of an A4 page; in the page one point is one pixel.
WIDTHS = {"narrow": 360.0, "wide": 900.0, "print": 482.0}
TEXT_SIZES = {"narrow": 12.0, "wide": 14.0, "print": 8.5}

# The drawing library keeps its settings for the whole process, so only one picture is made at a time.
_SETTINGS = threading.RLock()


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing with a title and a description, and a name for its identifiers and classes."""

    figure: Figure
    name: str
    width: Width
    title: str
    description: str


@contextmanager
def settings(**more: object) -> Iterator[None]:
    """Hold the drawing library's settings for one piece of work."""
    import matplotlib  # only here and below: it takes a second to load, and most pages draw nothing

    with _SETTINGS, matplotlib.rc_context(dict(more)):  # type: ignore[arg-type]
        yield


def make_axes(*, width: Width, height: float) -> tuple[Figure, Axes]:
    """Return an empty figure of a width variant and a height in points, with one set of axes in the house's manner."""
    from matplotlib.figure import Figure

    size = TEXT_SIZES[width]
    with settings(**_manner(size)):
        figure = Figure(figsize=(WIDTHS[width] / 72, height / 72), dpi=72, layout="constrained", frameon=False)
        _pad(figure, 8 / 72)
        axes = figure.add_subplot()
        axes.patch.set_visible(False)
        axes.spines[["top", "right"]].set_visible(False)
    return figure, axes


def _pad(figure: Figure, pad_in: float) -> None:
    """Leave room at the edges: a page's letters are not exactly as wide as those the drawing is laid out with."""
    from matplotlib.layout_engine import ConstrainedLayoutEngine

    engine = figure.get_layout_engine()
    assert isinstance(engine, ConstrainedLayoutEngine)
    engine.set(w_pad=pad_in, h_pad=pad_in / 2)


def say_instead(axes: Axes, text: str) -> None:
    """Write a sentence where there is nothing to draw."""
    axes.set_axis_off()
    axes.text(0.5, 0.5, text, transform=axes.transAxes, ha="center", va="center", color=drawn("soft"))


def _manner(size: float) -> dict[str, object]:
    ink, soft, grid = drawn("ink"), drawn("soft"), drawn("grid")
    return {
        "font.family": "DejaVu Sans",
        "font.size": size,
        "text.color": ink,
        "text.parse_math": False,
        "axes.labelcolor": soft,
        "axes.edgecolor": soft,
        "axes.labelsize": size,
        "axes.linewidth": 0.8,
        "xtick.color": soft,
        "ytick.color": soft,
        "xtick.labelcolor": ink,
        "ytick.labelcolor": ink,
        "xtick.labelsize": size,
        "ytick.labelsize": size,
        "grid.color": grid,
        "grid.linewidth": 0.8,
        "legend.fontsize": size,
    }


def legend_above(axes: Axes, *, width: Width, columns: int) -> None:
    """Place the legend over the axes, in so many columns, without a frame."""
    legend = axes.legend(
        loc="lower left",
        bbox_to_anchor=(0, 1.0),
        ncols=columns,
        frameon=False,
        fontsize=TEXT_SIZES[width],
        labelcolor=drawn("ink"),
        borderaxespad=0.2,
        handletextpad=0.5,
        columnspacing=1.4,
    )
    legend.set_in_layout(True)
