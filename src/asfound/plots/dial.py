"""The dial as measured: the error of each marked speed in stops, as found and as left."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

from asfound.job import Job, Kept
from asfound.job.bodies import ShutterTable, SpeedRow, Stage
from asfound.plots.palette import drawn
from asfound.plots.picture import TEXT_SIZES, Picture, Width, legend_above, make_axes, say_instead

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

# What is drawn either side of a mean: two standard uncertainties, about 95 % (JCGM 100:2008, G.6.6, from memory).
COVERAGE_FACTOR = 2.0
_TITLE = "Error of each marked speed, in stops"
_STEPS = ((1 / 3, 3), (1 / 2, 2), (1, 1), (2, 1), (5, 1), (10, 1))


@dataclass(frozen=True, slots=True)
class DialSeries:
    """One dial table to be drawn; a stale one in grey."""

    stage: Stage
    rows: tuple[SpeedRow, ...]
    stale: bool = False

    @property
    def label(self) -> str:
        """As the legend says it."""
        return f"{self.stage} (stale)" if self.stale else self.stage


def dial_series(job: Job) -> tuple[DialSeries, ...]:
    """Return the first dial table as found and the last as left, or while there is none the last one measured.

    A table as found is never drawn as stale: it says how the camera came, whatever was touched since.
    """
    found = [kept for kept in job.tables if kept.body.stage == "as found"][:1]
    later = [kept for kept in job.tables if kept.body.stage != "as found"]
    left = [kept for kept in later if kept.body.stage == "as left"][-1:] or later[-1:]
    return tuple(_series(kept) for kept in (*found, *left))


def _series(kept: Kept[ShutterTable]) -> DialSeries:
    stale = kept.stale_by is not None and kept.body.stage != "as found"
    return DialSeries(kept.body.stage, kept.body.rows, stale)


def dial_picture(series: Sequence[DialSeries], *, width: Width = "wide") -> Picture:
    """Return the picture of one or two dial tables; narrow, the speeds run down the page.

    Parameters
    ----------
    series : sequence of DialSeries
        In the order of the legend; a speed that one of them lacks leaves its place empty.
    width : {"narrow", "wide", "print"}
    """
    speeds = _speeds(series)
    down = width == "narrow"
    height = {"narrow": 100 + 34.0 * max(1, len(speeds)), "wide": 400.0, "print": 200.0}[width]
    figure, axes = make_axes(width=width, height=height)
    if not speeds:
        say_instead(axes, "No dial table was measured.")
        return Picture(figure, "dial", width, _TITLE, _said(series))
    _tolerance(axes, series, speeds, down=down)
    for n, one in enumerate(series):
        _one(axes, one, speeds, shift=(n - (len(series) - 1) / 2) * 0.34, down=down, width=width)
    _scales(axes, speeds, _reach(series), width=width)
    legend_above(axes, width=width, columns=2 if down else 4)
    return Picture(figure, "dial", width, _TITLE, _said(series))


def _speeds(series: Sequence[DialSeries]) -> dict[str, int]:
    """Return the place of each marked speed, the longest first."""
    reference = {row.marked: row.reference_s for one in series for row in one.rows}
    return {marked: n for n, marked in enumerate(sorted(reference, key=lambda marked: -reference[marked]))}


def _reach(series: Sequence[DialSeries]) -> tuple[float, float]:
    """Return the ends of the scale: everything is seen, and the tolerance has air on both sides."""
    rows = [row for one in series for row in one.rows]
    bars = [row.error_stops + sign * COVERAGE_FACTOR * (row.u_error_stops or 0.0) for row in rows for sign in (-1, 1)]
    air = max(1.5 * row.tolerance_stops for row in rows)
    seen = [-air, air, *bars, *(shot for row in rows for shot in _shots(row))]
    spare = 0.05 * (max(seen) - min(seen))
    return min(seen) - spare, max(seen) + spare


def _shots(row: SpeedRow) -> list[float]:
    return [math.log2(time / row.reference_s) for time in row.times_s if time > 0]


def _tolerance(axes: Axes, series: Sequence[DialSeries], speeds: dict[str, int], *, down: bool) -> None:
    """Draw each speed's tolerance, as the last table gives it, behind the points; alike neighbours as one."""
    limits = {row.marked: row.tolerance_stops for one in series for row in one.rows}
    fill = axes.fill_betweenx if down else axes.fill_between
    label = "tolerance"
    for limit, run in groupby(speeds, key=limits.__getitem__):
        places = [speeds[marked] for marked in run]
        span = (places[0] - 0.5, places[-1] + 0.5)
        fill(span, -limit, limit, color=drawn("band"), linewidth=0, label=label, zorder=1)
        for edge in (-limit, limit):
            ends = ((edge, edge), span) if down else (span, (edge, edge))
            axes.plot(*ends, color=drawn("bound"), linewidth=0.8, zorder=2)
        label = "_"


def _one(axes: Axes, one: DialSeries, speeds: dict[str, int], *, shift: float, down: bool, width: Width) -> None:
    found = one.stage == "as found"
    colour = drawn("stale" if one.stale else "found" if found else "left")
    size = TEXT_SIZES[width] * 0.62
    places = [speeds[row.marked] + shift for row in one.rows]
    errors = [row.error_stops for row in one.rows]
    bars = [COVERAGE_FACTOR * (row.u_error_stops or 0.0) for row in one.rows]
    shots = [(place, shot) for place, row in zip(places, one.rows, strict=True) for shot in _shots(row)]
    dots = ([p + 0.13 for p, _ in shots], [s for _, s in shots])
    axes.plot(
        *(dots[::-1] if down else dots), linestyle="", marker=".", markersize=size * 0.6, color=colour, zorder=4,
        label="each shot" if shift <= 0 else "_",
    )  # fmt: skip
    axes.errorbar(
        *((errors, places) if down else (places, errors)), xerr=bars if down else None,
        yerr=None if down else bars, linestyle="", marker="o" if found else "D",
        markersize=size if found else size * 0.9, markerfacecolor=drawn("paper") if found else colour,
        markeredgecolor=colour, markeredgewidth=size * 0.2, color=colour, ecolor=colour, elinewidth=size * 0.2,
        capsize=size * 0.35, capthick=size * 0.2, label=f"{one.label}, ± 2 u", zorder=5,
    )  # fmt: skip


def _scales(axes: Axes, speeds: dict[str, int], reach: tuple[float, float], *, width: Width) -> None:
    down = width == "narrow"
    errors, dial = (axes.xaxis, axes.yaxis) if down else (axes.yaxis, axes.xaxis)
    ends = (-0.6, len(speeds) - 0.4)
    axes.set_xlim(reach if down else ends)
    axes.set_ylim(ends[::-1] if down else reach)
    dial.set_ticks(list(speeds.values()), labels=list(speeds))
    dial.set_tick_params(length=0)
    ticks = _ticks(reach, most={"narrow": 7, "wide": 9, "print": 7}[width])
    errors.set_ticks([at for at, _ in ticks], labels=[text for _, text in ticks])
    errors.grid(visible=True, zorder=0)
    (axes.axvline if down else axes.axhline)(0, color=drawn("soft"), linewidth=1, zorder=3)
    errors.set_label_text("short  ←  error in stops  →  long" if down else "error in stops: up is long")
    dial.set_label_text("" if down else "speed as marked, s")
    axes.set_axisbelow(True)


def _ticks(reach: tuple[float, float], *, most: int) -> list[tuple[float, str]]:
    """Return at most so many places of the scale with their names, in thirds, halves or whole stops."""
    low, high = reach
    step, parts = next((s for s in _STEPS if (high - low) / s[0] < most), _STEPS[-1])
    counts = range(math.ceil(low / step), math.floor(high / step) + 1)
    return [(n * step, _stops(n * round(step * parts), parts)) for n in counts]


def _stops(count: int, parts: int) -> str:
    """Return a number of parts of a stop as the trade writes it: +1/3, -1 1/2, 2."""
    whole, rest = divmod(abs(count), parts)
    words = [str(whole)] if whole or not rest else []
    sign = "" if count == 0 else "+" if count > 0 else "−"
    return sign + " ".join([*words, *([f"{rest}/{parts}"] if rest else [])])


def _said(series: Sequence[DialSeries]) -> str:
    if not series:
        return "No dial table was measured."
    return " ".join(
        f"{one.label.capitalize()}: "
        + "; ".join(f"{row.marked} s {row.error_stops:+.2f} stops, {row.verdict}" for row in one.rows)
        + "."
        for one in series
    )
