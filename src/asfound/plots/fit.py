"""Play between two parts: a section with the gap magnified, and the play on a scale with what takes it up."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asfound.plots.board import Point, arc, around, arrow, board, box, line, shape, write
from asfound.plots.palette import drawn
from asfound.plots.picture import WIDTHS, Picture, Width
from asfound.quantity import show_length, show_reading, student_factor
from asfound.shape import Fit

if TYPE_CHECKING:
    from matplotlib.axes import Axes


def fit_picture(fit: Fit, *, keep_mm: float = 0.0, round_pair: bool = False, width: Width = "wide") -> Picture:
    """Return the pair in section, its play magnified, over a scale of play: where it binds, what must stay, what is.

    Parameters
    ----------
    fit : Fit
    keep_mm : float
        The play that must stay.
    round_pair : bool
        Pin in a hole rather than tab in a groove.
    """
    narrow = width == "narrow"
    top = {"narrow": 200.0, "wide": 250.0, "print": 130.0}[width]
    scale = {"narrow": 128.0, "wide": 130.0, "print": 80.0}[width]
    figure, axes = board(width=width, height=top + scale)
    centre = (WIDTHS[width] / 2, scale + top / 2 - (10 if narrow else 0))
    play = fit.play.value or 0.0
    # The section is no drawing to scale: a pair that binds overlaps, any other shows its play.
    gap = 0.0 if abs(play) < 1e-9 else 0.13 * top * (1 if play > 0 else -0.45)
    (_round if round_pair else _groove)(axes, centre, (0.72 if narrow else 0.8) * top, gap)
    _play_scale(axes, fit, keep_mm, (18.0, WIDTHS[width] - 18.0), 0.52 * scale, width)
    told = show_length(play, fit.play.standard_uncertainty)
    write(axes, (12, scale + top - 16), f"play {told}", width=width, weight="bold")
    if fit.rattle is not None and not narrow:
        write(axes, (12, scale + top - 42), f"rattles {show_reading(fit.rattle)}", width=width, colour="soft")
    return Picture(figure, "fit", width, "Play of the pair", _said(fit))


def _groove(axes: Axes, centre: Point, size: float, gap: float) -> None:
    """Draw a tab in its groove, from its end; the whole play on one side, as it lies."""
    x, y = centre
    half = 0.34 * size
    wall = 0.36 * size
    outer = [
        (x - half - wall, y + 0.3 * size), (x - half, y + 0.3 * size), (x - half, y - 0.28 * size),
        (x + half, y - 0.28 * size), (x + half, y + 0.3 * size), (x + half + wall, y + 0.3 * size),
        (x + half + wall, y - 0.48 * size), (x - half - wall, y - 0.48 * size),
    ]  # fmt: skip
    shape(axes, outer, fill="grid", weight=1.8)
    box(axes, (x - half, y - 0.26 * size), (2 * half - gap, 0.72 * size), fill="area")
    if gap > 0:
        _measured(axes, (x + half - gap, y + 0.38 * size), (x + half, y + 0.38 * size))


def _round(axes: Axes, centre: Point, size: float, gap: float) -> None:
    """Draw a pin in its hole, resting at the bottom."""
    x, y = centre
    half = 0.5 * size
    box(axes, (x - 0.8 * size, y - half), (1.6 * size, size), fill="grid")
    hole = 0.36 * size
    shape(axes, arc(centre, hole, 0, 360), fill="paper", weight=1.8)
    pin = hole - gap / 2
    shape(axes, arc((x, y - gap / 2), pin, 0, 360), fill="area", weight=1.8, zorder=4)
    if gap > 0:
        line(axes, [around(centre, hole, 90), (x, y + hole - gap)], colour="found", weight=2.6, zorder=7)


def _measured(axes: Axes, left: Point, right: Point) -> None:
    """Mark a gap by arrows from outside it."""
    arrow(axes, (left[0] - 34, left[1]), left)
    arrow(axes, (right[0] + 34, right[1]), right)
    for x, y in (left, right):
        line(axes, [(x, y - 12), (x, y + 12)], colour="found", weight=1.4, zorder=7)


def _play_scale(axes: Axes, fit: Fit, keep_mm: float, ends: Point, y: float, width: Width) -> None:
    play, u = fit.play.value or 0.0, fit.play.standard_uncertainty or 0.0
    half = student_factor(fit.play.degrees_of_freedom) * u
    least = play if fit.least_mm is None else fit.least_mm
    remains = fit.take_up.remains.value or 0.0
    marks = (0.0, play - half, play + half, least, remains, keep_mm)
    air = 0.22 * (max(marks) - min(marks) or 0.01)
    low, high = min(marks) - air, max(marks) + air

    def x(at_mm: float) -> float:
        return ends[0] + (ends[1] - ends[0]) * (at_mm - low) / (high - low)

    box(axes, (ends[0], y - 9), (x(0.0) - ends[0], 18), fill="grid", edge=None)
    box(axes, (x(max(0.0, keep_mm)), y - 9), (ends[1] - x(max(0.0, keep_mm)), 18), fill="band", edge=None)
    line(axes, [(ends[0], y - 9), (ends[1], y - 9)], colour="soft", weight=1)
    _label(axes, (x(0.0), y - 9), "0", width)
    if x(0.0) - ends[0] > 70:
        write(axes, ((x(0.0) + ends[0]) / 2, y - 27), "it binds", width=width, ha="center", colour="soft")
    if keep_mm > 0:
        _label(axes, (x(keep_mm), y - 9), f"keep {keep_mm:g}", width, lower=True)
    line(axes, [(x(play - half), y), (x(play + half), y)], colour="found", weight=4, zorder=6)
    axes.plot(x(play), y, marker="o", markersize=12, color=drawn("found"), zorder=7)
    write(axes, (x(play), y + 26), "play as measured", width=width, ha=_side(x(play), ends), colour="found")
    if fit.take_up.wanted_mm > 0:
        arrow(axes, (x(play), y + 14), (x(remains), y + 14), colour="left", weight=1.8)
        axes.plot(x(remains), y, marker="D", markersize=9, color=drawn("left"), zorder=7)
        _label(axes, (x(remains), y - 9), "taken up", width, colour="left")


def _label(axes: Axes, at: Point, text: str, width: Width, *, lower: bool = False, colour: str = "soft") -> None:
    line(axes, [at, (at[0], at[1] - 6)], colour="soft", weight=1)
    write(axes, (at[0], at[1] - (36 if lower else 18)), text, width=width, ha="center", colour=colour)


def _side(x: float, ends: Point) -> str:
    return "left" if x < ends[0] + 70 else "right" if x > ends[1] - 70 else "center"


def _said(fit: Fit) -> str:
    words = {"within": "free", "outside": "it binds", "cannot tell": "cannot tell whether it is free"}
    told = [f"Play {show_reading(fit.play)}: {words[fit.free]}."]
    if fit.rattle is not None:
        told.append(f"It rattles {show_reading(fit.rattle)} from side to side.")
    if fit.least_mm is not None:
        told.append(f"Least clearance over a turn {fit.least_mm:.3f} mm.")
    return " ".join(told)
