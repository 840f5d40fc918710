"""How much longer a shutter's time becomes as the lens is stopped down."""

from collections.abc import Sequence

from asfound.plots.palette import drawn
from asfound.plots.picture import TEXT_SIZES, Picture, Width, make_axes
from asfound.shutter import StoppedDown

_TITLE = "The effective time at each aperture, against wide open"
_HEIGHTS = {"narrow": 280.0, "wide": 300.0, "print": 170.0}


def stopped_down_picture(rows: Sequence[StoppedDown], *, width: Width = "wide") -> Picture:
    """Return the picture: apertures from left to right, stops longer than wide open upwards.

    Parameters
    ----------
    rows : sequence of StoppedDown
    width : {"narrow", "wide", "print"}
    """
    figure, axes = make_axes(width=width, height=_HEIGHTS[width])
    places = range(len(rows))
    size = TEXT_SIZES[width]
    axes.plot(
        places, [row.longer_stops for row in rows], color=drawn("left"), marker="D", markersize=size * 0.6,
        linewidth=size * 0.15, zorder=4,
    )  # fmt: skip
    axes.axhline(0, color=drawn("soft"), linewidth=1, zorder=2)
    axes.set_xticks(places, labels=[f"{row.aperture:g}" for row in rows])
    axes.set_xlim(-0.5, len(rows) - 0.5)
    axes.set_ylim(-0.05, max(0.5, 1.15 * max(row.longer_stops for row in rows)))
    axes.set_xlabel("f-number")
    axes.set_ylabel("stops longer than wide open")
    axes.grid(visible=True, axis="y", zorder=0)
    axes.set_axisbelow(True)
    said = "; ".join(f"f/{row.aperture:g} {row.longer_stops:+.2f}" for row in rows)
    return Picture(figure, "stopped-down", width, _TITLE, f"Stops longer than wide open: {said}.")
