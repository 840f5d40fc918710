"""Feeler answers as a picture: what each try leaves of a gap, and three stations round a ring."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from asfound.plots.board import Point, arc, around, arrow, board, box, line, write
from asfound.plots.palette import drawn
from asfound.plots.picture import WIDTHS, Picture, Width
from asfound.quantity import FeelerAnswer, Reading, Seat, Station, show_length, show_reading
from asfound.shape import deg_to_clock

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

_WORDS = {"loose": "loose", "drag": "drags", "no": "will not enter"}
_STEPS = (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500)


@dataclass(frozen=True, slots=True)
class _Ruler:
    """A scale of mm across the board, from `low` to `high` between `left` and `right`."""

    low: float
    high: float
    left: float
    right: float

    def x(self, at_mm: float) -> float:
        share = (min(max(at_mm, self.low), self.high) - self.low) / (self.high - self.low)
        return self.left + share * (self.right - self.left)


def gap_picture(answers: Sequence[FeelerAnswer], reading: Reading, *, width: Width = "wide") -> Picture:
    """Return what each try leaves of the gap, and what all of them leave: shaded where the gap may be."""
    narrow = width == "narrow"
    row = {"narrow": 38.0, "wide": 40.0, "print": 20.0}[width]
    foot = 0.9 * row
    height = foot + (len(answers) + 1) * row + 8
    figure, axes = board(width=width, height=height)
    low, high = _reach(answers, reading)
    ruler = _Ruler(low, high, 116.0 if narrow else 225.0, WIDTHS[width] - (14.0 if narrow else 30.0))
    _ruled(axes, ruler, foot, height, width)
    start, end = _known(reading, ruler)
    box(axes, (ruler.x(start), foot), (ruler.x(end) - ruler.x(start), height - foot), fill="band", edge=None)
    for n, answer in enumerate(answers):
        _try(axes, answer, ruler, height - 8 - (n + 0.5) * row, width)
    _answer(axes, reading, ruler, foot + 0.5 * row, width)
    said = "; ".join(str(answer) for answer in answers) + f". The gap: {show_reading(reading)}."
    return Picture(figure, "gap", width, "What the feelers say of the gap", said)


def _reach(answers: Sequence[FeelerAnswer], reading: Reading) -> tuple[float, float]:
    """Return the ends of the scale, in mm: every leaf is seen, with air on both sides."""
    sizes = [answer.size_mm for answer in answers]
    spread = max(max(sizes) - min(sizes), 6 * (reading.standard_uncertainty or 0.0), 0.06 * max(sizes), 0.03)
    return max(0.0, min(sizes) - 0.6 * spread), max(sizes) + 0.6 * spread


def _known(reading: Reading, ruler: _Ruler) -> tuple[float, float]:
    """Return between which sizes the gap lies, as far as the picture goes."""
    half = 2 * (reading.standard_uncertainty or 0.0)
    below = ruler.low if reading.value is None else reading.value - half
    above = ruler.high if reading.value is None else reading.value + half
    return (below if reading.lower is None else reading.lower), (above if reading.upper is None else reading.upper)


def _ruled(axes: Axes, ruler: _Ruler, foot: float, height: float, width: Width) -> None:
    most = 5 if width == "narrow" else 10
    step = next((s for s in _STEPS if (ruler.high - ruler.low) / s <= most), 1000.0)
    first = int(ruler.low / step) + (ruler.low > 0)
    for n in range(first, int(ruler.high / step + 1e-9) + 1):
        x = ruler.x(n * step)
        line(axes, [(x, foot), (x, height)], colour="grid", weight=0.9, zorder=3.5)
        write(axes, (x, foot / 2), f"{n * step:.2f}", width=width, ha="center", colour="soft")
    write(axes, (8, foot / 2), "mm", width=width, colour="soft")


def _try(axes: Axes, answer: FeelerAnswer, ruler: _Ruler, y: float, width: Width) -> None:
    x = ruler.x(answer.size_mm)
    size = "+".join(f"{leaf:.2f}" for leaf in answer.leaf_mm)
    _named(axes, y, size, _WORDS[answer.answer], width)
    if answer.answer == "drag":
        axes.plot(x, y, marker="D", markersize=9, color=drawn("left"), zorder=7)
        return
    line(axes, [(x, y - 10), (x, y + 10)], colour="left", weight=3, zorder=6)
    arrow(axes, (x, y), (ruler.right if answer.answer == "loose" else ruler.left, y), colour="left", weight=1.8)


def _named(axes: Axes, y: float, name: str, word: str, width: Width) -> None:
    if width == "narrow":
        write(axes, (8, y + 8), name, width=width, weight="bold")
        write(axes, (8, y - 8), word, width=width, colour="soft")
    else:
        write(axes, (8, y), f"{name}, {word}" if word else name, width=width)


def _answer(axes: Axes, reading: Reading, ruler: _Ruler, y: float, width: Width) -> None:
    one_sided = reading.value is None
    _named(axes, y, "the gap", "one side known" if one_sided else "", width)
    if reading.value is None:
        known = reading.lower if reading.lower is not None else reading.upper
        end = ruler.right if reading.lower is not None else ruler.left
        arrow(axes, (ruler.x(known or 0.0), y), (end, y), colour="found", weight=3.4)
        return
    start, end = _known(reading, ruler)
    line(axes, [(ruler.x(start), y), (ruler.x(end), y)], colour="found", weight=4, zorder=7)
    axes.plot(ruler.x(reading.value), y, marker="o", markersize=12, color=drawn("found"), zorder=8)


def seat_picture(stations: Sequence[Station], seat: Seat, *, width: Width = "wide") -> Picture:
    """Return a ring from above with its three stations, the height at each, and which way it rises."""
    narrow = width == "narrow"
    size = {"narrow": 300.0, "wide": 360.0, "print": 200.0}[width]
    figure, axes = board(width=width, height=size)
    centre, radius = (WIDTHS[width] / 2, size / 2), 0.3 * size
    for share, weight in ((1.0, 2.0), (0.82, 1.4)):
        line(axes, arc(centre, radius * share, 0, 360), weight=weight)
    for hour in range(1, 13):
        angle = 90 - 30 * hour
        ends = [around(centre, radius * share, angle) for share in (0.78, 0.82)]
        line(axes, ends, colour="soft", weight=1)
    for station in stations:
        _station(axes, station, centre, radius, width)
    sure = seat.rise_uncertainty_mm is None or seat.rise_mm > 2 * seat.rise_uncertainty_mm
    if seat.highest_deg is not None:
        low, high = (
            around(centre, 0.56 * radius, seat.highest_deg + 180),
            around(centre, 0.56 * radius, seat.highest_deg),
        )
        arrow(axes, low, high, colour="found" if sure else "stale", weight=3.4)
    _legend(axes, seat, sure=sure, narrow=narrow, height=size, width=width)
    return Picture(figure, "seat", width, "Three stations round the ring", _seat_said(stations, seat))


def _station(axes: Axes, station: Station, centre: Point, radius: float, width: Width) -> None:
    at = around(centre, 0.91 * radius, station.angle_deg)
    axes.plot(*at, marker="o", markersize=13, color=drawn("left"), zorder=7)
    x, y = around(centre, 1.16 * radius, station.angle_deg)
    side = "center" if abs(x - centre[0]) < 0.35 * radius else "left" if x > centre[0] else "right"
    down = 17 if width == "narrow" else 23
    lift = down if y > centre[1] + 0.5 * radius else 0
    value = station.pressed.value
    told = "" if value is None else f"{value:.3f} mm"
    write(axes, (x, y + lift), told, width=width, ha=side, weight="bold")
    write(axes, (x, y + lift - down), f"at {deg_to_clock(station.angle_deg)}", width=width, ha=side, colour="soft")


def _legend(axes: Axes, seat: Seat, *, sure: bool, narrow: bool, height: float, width: Width) -> None:
    told = f"rises {seat.rise_mm:.3f} mm" if seat.highest_deg is not None else "level"
    doubt = "" if sure else "within what feelers can tell"
    if narrow:
        write(axes, (8, 26), told, width=width, colour="found" if sure else "soft", weight="bold")
        write(axes, (8, 10), doubt, width=width, colour="soft")
        return
    write(axes, (16, height - 22), told, width=width, colour="found" if sure else "soft", weight="bold")
    write(axes, (16, height - 48), doubt or "over the ring, along the arrow", width=width, colour="soft")


def _seat_said(stations: Sequence[Station], seat: Seat) -> str:
    told = [f"{show_reading(s.pressed)} at {deg_to_clock(s.angle_deg)} o'clock" for s in stations]
    toward = "" if seat.highest_deg is None else f" towards {deg_to_clock(seat.highest_deg)} o'clock"
    return f"{'; '.join(told)}. It rises {show_length(seat.rise_mm, seat.rise_uncertainty_mm)}{toward}."
