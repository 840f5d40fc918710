"""When the flash contact closes, beside the time for which the blades are fully open."""

from collections.abc import Sequence

from asfound.plots.palette import drawn
from asfound.plots.picture import TEXT_SIZES, Picture, Width, legend_above, make_axes
from asfound.shutter.timing.firing import Firing
from asfound.shutter.timing.sync import SyncResult

_TITLE = "The flash contact against the blades"
MOST = 12


def sync_picture(firings: Sequence[Firing], results: Sequence[SyncResult], *, width: Width = "wide") -> Picture:
    """Return the picture: a line for each of the first firings, its time running from the first light.

    Parameters
    ----------
    firings : sequence of Firing
    results : sequence of SyncResult
        One to each firing.
    width : {"narrow", "wide", "print"}
    """
    pairs = list(zip(firings, results, strict=True))[:MOST]
    height = {"narrow": 110 + 34.0 * len(pairs), "wide": 90 + 40.0 * len(pairs), "print": 60 + 18.0 * len(pairs)}[width]
    figure, axes = make_axes(width=width, height=height)
    size = TEXT_SIZES[width]
    named: set[str] = set()

    def label(text: str) -> str:
        first = text not in named
        named.add(text)
        return text if first else "_"

    for place, (firing, result) in enumerate(pairs):
        total, opening = (firing.total_open_s or 0.0) * 1e3, (firing.opening_s or 0.0) * 1e3
        full = max(total - opening - (firing.closing_s or 0.0) * 1e3, 0.0)
        axes.barh(place, total, height=0.5, color=drawn("band"), label=label("some light"), zorder=2)
        axes.barh(place, full, left=opening, height=0.5, color=drawn("left"), label=label("fully open"), zorder=3)
        if result.contact is not None:
            closes = (result.contact.closes_s - firing.start_s) * 1e3
            axes.plot(
                closes, place, linestyle="", marker="o", markersize=size * 0.7, markerfacecolor=drawn("paper"),
                markeredgecolor=drawn("found"), markeredgewidth=size * 0.18, label=label("contact closes"), zorder=5,
            )  # fmt: skip
    axes.set_yticks(range(len(pairs)), labels=[str(number) for number in range(1, len(pairs) + 1)])
    axes.set_ylim(len(pairs) - 0.4, -0.6)
    axes.set_ylabel("firing")
    axes.set_xlabel("ms from first light")
    axes.grid(visible=True, axis="x", zorder=0)
    axes.set_axisbelow(True)
    legend_above(axes, width=width, columns=2 if width == "narrow" else 3)
    said = "; ".join(f"firing {n}: {result.reason}" for n, (_, result) in enumerate(pairs, start=1))
    return Picture(figure, "sync", width, _TITLE, f"{said}.")
