"""Which start of a thread: the heights that each start gives, and the height measured; where the starts meet."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from asfound.focus import Helical, StartFinding
from asfound.focus.start import ALLOWANCE
from asfound.focus.start import Entry as Meeting
from asfound.plots.board import around, board, line, shape, write
from asfound.plots.palette import drawn
from asfound.plots.picture import TEXT_SIZES, WIDTHS, Picture, Width, legend_above, make_axes
from asfound.quantity import Reading, show_reading

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

COVERAGE_FACTOR = 2.0  # what is drawn either side of a measured value, in standard uncertainties


def start_picture(
    finding: StartFinding,
    height: Reading,
    helicals: Sequence[Helical],
    *,
    across: str = "height off the datum, mm",
    width: Width = "wide",
) -> Picture:
    """Return the ladder of heights that the starts give, a rung with its allowance each, and the height measured.

    Parameters
    ----------
    height : Reading
        Height error in mm, with a value or bounds.
    helicals : sequence of Helical
        One; of a nest the outer.
    """
    figure, axes = make_axes(width=width, height={"narrow": 210.0, "wide": 220.0, "print": 130.0}[width])
    pitch = helicals[0].pitch_mm
    low, high = _known(height, pitch)
    rungs = range(math.floor(min(low, -pitch) / pitch) - 1, math.ceil(max(high, pitch) / pitch) + 2)
    allowed = ALLOWANCE * min(one.pitch_mm for one in helicals)
    fits = {candidate.starts_out for candidate in finding.candidates}
    for rung in rungs:
        colour = "band" if (rung, *(0 for _ in helicals[1:])) in fits else "grid"
        axes.axvspan(rung * pitch - allowed, rung * pitch + allowed, color=drawn(colour), linewidth=0, zorder=0.5)
        axes.axvline(rung * pitch, color=drawn("bound" if rung == 0 else "soft"), linewidth=2 if rung == 0 else 1)
    _measured(axes, height, (low, high), TEXT_SIZES[width] * 0.85)
    axes.set_xlim((rungs[0] + 0.4) * pitch, (rungs[-1] - 0.4) * pitch)
    _names(axes, rungs, pitch, width)
    axes.set_xlabel(f"{across}; above: starts out")
    legend_above(axes, width=width, columns=2)
    said = f"Starts are {pitch:.3g} mm apart. Height error: {show_reading(height)}. {finding.advice.capitalize()}."
    return Picture(figure, "start", width, "The heights that the starts give", said)


def _known(height: Reading, pitch: float) -> tuple[float, float]:
    """Return between which heights the lens stands, as far as the picture goes."""
    if height.value is not None:
        half = COVERAGE_FACTOR * (height.standard_uncertainty or 0.0)
        return height.value - half, height.value + half
    low = (height.upper or 0.0) - 2 * pitch if height.lower is None else height.lower
    return low, low + 2 * pitch if height.upper is None else height.upper


def _measured(axes: Axes, height: Reading, known: tuple[float, float], size: float) -> None:
    colour = drawn("found")
    axes.plot(known, (0.5, 0.5), color=colour, linewidth=size * 0.35, marker="|", markersize=size * 2.4, zorder=6,
              label="_" if height.value is not None else "measured: between")  # fmt: skip
    if height.value is not None:
        label = "measured, ± 2 u" if height.standard_uncertainty else "measured"
        axes.plot([height.value], [0.5], linestyle="", marker="o", markersize=size, color=colour, zorder=7, label=label)


def _names(axes: Axes, rungs: range, pitch: float, width: Width) -> None:
    shown = [
        rung for rung in rungs[1:-1] if rung % max(1, math.ceil(len(rungs) / (6 if width == "narrow" else 12))) == 0
    ]
    axes.set_ylim(0, 1)
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)
    heights = [f"{rung * pitch:+.2f}".replace("-", "−") if rung else "0" for rung in shown]
    axes.set_xticks([rung * pitch for rung in shown], labels=heights)
    for rung in shown:
        name = "right" if rung == 0 else f"{rung:+d}".replace("-", "−")
        axes.text(rung * pitch, 0.9, name, ha="center", va="center", color=drawn("ink" if rung == 0 else "soft"),
                  fontsize=TEXT_SIZES[width], fontweight="bold" if rung == 0 else "normal",
                  bbox={"boxstyle": "square,pad=0.15", "facecolor": drawn("paper"), "linewidth": 0})  # fmt: skip


def clock_picture(meetings: Sequence[Meeting], *, width: Width = "wide") -> Picture:
    """Return the clock positions at which the starts meet, seen from the front, 0 degrees at the top.

    The angle grows as the lens comes out: drawn with the clock.
    """
    size = {"narrow": 300.0, "wide": 340.0, "print": 190.0}[width]
    figure, axes = board(width=width, height=size)
    centre, radius = (WIDTHS[width] / 2, size / 2), 0.3 * size
    shape(axes, [around(centre, radius, 3.0 * n) for n in range(120)], fill="area")
    shape(axes, [around(centre, 0.72 * radius, 3.0 * n) for n in range(120)], fill="paper")
    for one in meetings:
        angle = 90 - one.clock_deg
        right = one.start == 0
        ends = [around(centre, share * radius, angle) for share in (0.72, 1.08)]
        line(axes, ends, colour="bound" if right else "soft", weight=4 if right else 2.2, zorder=6)
        x, y = around(centre, 1.22 * radius, angle)
        side = "center" if abs(x - centre[0]) < 0.4 * radius else "left" if x > centre[0] else "right"
        told = f"{one.clock_deg:.0f}° " + ("right" if right else f"{one.height_mm:+.2f} mm".replace("-", "−"))
        write(axes, (x, y), told, width=width, ha=side, weight="bold" if right else "normal")
    write(axes, centre, "from the front", width=width, ha="center", colour="soft")
    said = " ".join(
        f"Start {one.start} meets at {one.clock_deg:.0f} degrees: {one.height_mm:+.2f} mm." for one in meetings
    )
    return Picture(figure, "clock", width, "Where the starts meet", said)
