"""The causes weighed: a bar for each, the likeliest on top."""

from asfound.plots.palette import drawn
from asfound.plots.picture import TEXT_SIZES, Picture, Width, make_axes
from asfound.shutter.causes.weighing import Why

_TITLE = "What the errors of the dial point at"
LEAST, MOST = 0.005, 6


def causes_picture(why: Why, *, dirty: bool = False, width: Width = "wide") -> Picture:
    """Return the picture of the causes that have any weight; all in grey where the shutter was dirty.

    Parameters
    ----------
    why : Why
    dirty : bool
        Whether the shutter was dirty when it was timed: then nothing here is to be acted on.
    width : {"narrow", "wide", "print"}
    """
    shown = [c for c in why.causes if c.weight >= LEAST][:MOST]
    row = {"narrow": 34.0, "wide": 38.0, "print": 20.0}[width]
    figure, axes = make_axes(width=width, height=row * (len(shown) + 1.6))
    places = range(len(shown))
    colour = drawn("stale" if dirty else "left")
    axes.barh(places, [c.weight for c in shown], height=0.6, color=colour, zorder=3)
    for place, cause in zip(places, shown, strict=True):
        share = f"{100 * cause.weight:.0f} %"
        axes.text(cause.weight + 0.01, place, share, va="center", color=drawn("ink"), fontsize=TEXT_SIZES[width])
    axes.set_yticks(places, labels=[c.cause for c in shown])
    axes.tick_params(axis="y", length=0)
    axes.set_ylim(len(shown) - 0.5, -0.5)
    axes.set_xlim(0, 1.3 if width == "narrow" else 1.12)
    axes.set_xticks([0, 0.5, 1], labels=["0", "50 %", "100 %"])
    axes.grid(visible=True, axis="x", zorder=0)
    axes.set_axisbelow(True)
    said = "; ".join(f"{c.cause} {100 * c.weight:.0f} %" for c in shown)
    return Picture(figure, "causes", width, _TITLE, f"{why.verdict} {said}.")
