"""Small drawings of how a reading of shape is taken: the hands' part, with nothing measured in it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asfound.plots.board import Point, arc, around, arrow, board, box, line, shape
from asfound.plots.board import write as write_plainly
from asfound.plots.palette import drawn
from asfound.plots.picture import WIDTHS, Picture, Width

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_HEIGHT: dict[Width, float] = {"narrow": 200.0, "wide": 300.0, "print": 150.0}


def _begin(width: Width, share: float = 1.0) -> tuple[Picture, Axes, Point, float]:
    """Return an empty drawing, its axes, its middle, and half of its height, by which everything is sized."""
    height = _HEIGHT[width] * share
    figure, axes = board(width=width, height=height)
    picture = Picture(figure, "howto", width, "", "")
    return picture, axes, (WIDTHS[width] / 2, height / 2), height / 2


def _done(picture: Picture, name: str, title: str, said: str) -> Picture:
    return Picture(picture.figure, f"howto-{name}", picture.width, title, said)


def write(
    axes: Axes, at: Point, text: str, *, width: Width, ha: str = "left", colour: str = "ink", weight: str = "normal",
    share: float = 1.0,
) -> None:  # fmt: skip
    """Write larger where the drawing is shown smaller than it is drawn."""
    share *= 1.25 if width == "wide" else 1.0
    write_plainly(axes, at, text, width=width, ha=ha, colour=colour, weight=weight, share=share)


def feeler_drawing(*, width: Width = "wide") -> Picture:
    """Return a gap in section with three leaves: loose, dragging, too thick."""
    picture, axes, (_, y), half = _begin(width)
    step = WIDTHS[width] / 3
    for n, (thick, inside, word) in enumerate(
        ((0.16, True, "loose"), (0.3, True, "drags"), (0.42, False, "will not enter"))
    ):
        left = step * n + 0.1 * step
        _gap_and_leaf(axes, (left, y), (0.8 * step, half), thick * half, inside=inside)
        write(axes, (left + 0.4 * step, y - 0.83 * half), word, width=width, ha="center", weight="bold")
    return _done(picture, "feeler", "A leaf goes in loose, drags, or will not enter", "A gap in section, three times.")


def _gap_and_leaf(axes: Axes, at: Point, size: Point, thick: float, *, inside: bool) -> None:
    (x, y), (w, half) = at, size
    gap = 0.32 * half
    for low in (y + gap / 2, y - gap / 2 - 0.36 * half):
        box(axes, (x + 0.42 * w, low), (0.58 * w, 0.36 * half), fill="grid")
    start = x + (0.02 if inside else 0.0) * w
    end = x + (0.86 if inside else 0.4) * w
    low = y - gap / 2 if thick < gap else y - thick / 2
    box(axes, (start, low), (end - start, thick), fill="area", edge="left")


def stations_drawing(*, width: Width = "wide") -> Picture:
    """Return a ring from above with its three stations, and a finger's place at one."""
    picture, axes, centre, half = _begin(width)
    radius = 0.68 * half
    for share in (1.0, 0.76):
        line(axes, arc(centre, radius * share, 0, 360), weight=2)
    for angle, hour in ((90, "12"), (-30, "4"), (210, "8")):
        axes.plot(*around(centre, 0.88 * radius, angle), marker="o", markersize=13, color=drawn("left"), zorder=7)
        write(axes, around(centre, 1.22 * radius, angle), hour, width=width, ha="center", weight="bold")
    at = around(centre, 0.88 * radius, 90)
    arrow(axes, (at[0] + 0.46 * half, at[1] + 0.1 * half), (at[0] + 12, at[1]), colour="found")
    write(axes, (at[0] + 0.5 * half, at[1] + 0.1 * half), "press here, feel here", width=width, colour="found")
    return _done(picture, "stations", "Three stations, a third of a turn apart", "At 12, 4 and 8 o'clock.")


def ring_drawing(*, width: Width = "wide") -> Picture:
    """Return a ring with its clock, a calliper across it, and a feeler between it and a true round."""
    picture, axes, (x, y), half = _begin(width)
    left, right = (x * 0.5, y), (x * 1.5, y)
    radius = 0.6 * half
    line(axes, arc(left, radius, 0, 360), weight=2.2)
    for hour in (12, 3, 6, 9):
        write(axes, around(left, 0.74 * radius, 90 - 30 * hour), str(hour), width=width, ha="center", colour="soft")
    lean = 25.0
    ends = [around(left, radius * 1.04, lean), around(left, radius * 1.04, lean + 180)]
    arrow(axes, ends[1], ends[0], both=True)
    write(axes, (left[0], y - 0.86 * half), "a diameter, by clock", width=width, ha="center")
    line(axes, arc(right, radius, 0, 360), weight=2.2)
    shape(axes, arc((right[0], right[1] - 0.06 * half), 0.84 * radius, 0, 360), fill="grid", weight=1.8)
    box(axes, (right[0] - 5, right[1] + 0.78 * radius - 2), (10, 0.75 * radius), fill="area", edge="left")
    write(axes, (right[0], y - 0.86 * half), "a feeler to a true round", width=width, ha="center")
    return _done(picture, "ring", "Two ways to measure a ring", "A calliper across it; a feeler between it and a disc.")


def corners_drawing(*, width: Width = "wide") -> Picture:
    """Return the film gate from the front with its four corners numbered, and a depth gauge on the rails in section."""
    picture, axes, (x, y), half = _begin(width)
    left = (0.5 * x, y)
    size = half * (0.8 if width == "narrow" else 1.0)
    w, h = 0.9 * size, 0.62 * size
    box(axes, (left[0] - w, left[1] - h), (2 * w, 2 * h), fill="area")
    shape(axes, arc(left, 0.34 * size, 0, 360), fill="paper")
    for n, (sx, sy) in enumerate(((-1, 1), (1, 1), (1, -1), (-1, -1)), start=1):
        at = (left[0] + 0.78 * sx * w, left[1] + 0.68 * sy * h)
        write(axes, at, str(n), width=width, ha="center", weight="bold", colour="left", share=1.3)
    write(axes, (left[0], y - 0.84 * half), "from the front, clockwise", width=width, ha="center")
    _gauge(axes, (1.5 * x, y), size)
    write(axes, (1.5 * x, y - 0.84 * half), "square on the rails", width=width, ha="center")
    return _done(
        picture, "corners", "Depth from the film rails to the standard at four corners",
        "Top left first, then clockwise, seen from the front; the gauge stands square on the rails.",
    )  # fmt: skip


def _gauge(axes: Axes, middle: Point, half: float) -> None:
    x, y = middle
    box(axes, (x - 0.8 * half, y - 0.58 * half), (1.6 * half, 0.16 * half), fill="area")
    for sign in (-1, 1):
        box(axes, (x + sign * 0.78 * half - 0.12 * half, y + 0.28 * half), (0.24 * half, 0.16 * half), fill="grid")
    box(axes, (x - 0.95 * half, y + 0.44 * half), (1.9 * half, 0.18 * half), fill="paper")
    box(axes, (x + 0.42 * half, y - 0.4 * half), (0.07 * half, 1.02 * half), fill="paper")
    box(axes, (x + 0.26 * half, y + 0.62 * half), (0.4 * half, 0.3 * half), fill="paper")
    arrow(axes, (x + 0.1 * half, y + 0.44 * half), (x + 0.1 * half, y - 0.42 * half), both=True)


def push_pull_drawing(*, width: Width = "wide") -> Picture:
    """Return the camera from the side with the standard on its strut, pushed and pulled at the lens."""
    picture, axes, (x, y), half = _begin(width)
    x -= 0.3 * half
    box(axes, (x - 1.3 * half, y - 0.7 * half), (0.3 * half, 1.4 * half), fill="grid")
    line(axes, [(x - half, y - 0.62 * half), (x + 0.75 * half, y - 0.62 * half)], weight=3)
    line(axes, [(x - 0.95 * half, y + 0.1 * half), (x + 0.42 * half, y - 0.6 * half)], weight=2, colour="left")
    bellows = [(x - half + k * 0.2 * half, y + (0.56 if k % 2 else 0.44) * half) for k in range(7)]
    line(axes, bellows, colour="soft")
    line(axes, [(px, 2 * y - py) for px, py in bellows], colour="soft")
    box(axes, (x + 0.22 * half, y - 0.6 * half), (0.1 * half, 1.25 * half), fill="area")
    box(axes, (x + 0.32 * half, y - 0.28 * half), (0.34 * half, 0.56 * half), fill="paper")
    arrow(axes, (x + 1.5 * half, y + 0.12 * half), (x + 0.7 * half, y + 0.12 * half))
    arrow(axes, (x + 0.7 * half, y - 0.12 * half), (x + 1.5 * half, y - 0.12 * half))
    for dy, word in ((0.12, "push"), (-0.12, "pull")):
        write(axes, (x + 1.55 * half, y + dy * half), word, width=width, colour="found")
    return _done(picture, "pushpull", "A push and a pull of known force at the lens", "The camera from the side.")


def fit_drawing(*, width: Width = "wide") -> Picture:
    """Return a tab and its groove, each measured across."""
    picture, axes, (x, y), half = _begin(width)
    left, right = 0.5 * x, 1.5 * x
    wall, open_half = 0.34 * half, 0.36 * half
    groove = [(-1, 0.5), (-1, -0.6), (1, -0.6), (1, 0.5), (0, 0.5), (0, -0.2), (0, -0.2), (0, 0.5)]
    outer = open_half + wall
    points = [(left + sx * outer, y + sy * half) for sx, sy in groove[:4]]
    points += [(left + open_half, y + 0.5 * half), (left + open_half, y - 0.3 * half)]
    points += [(left - open_half, y - 0.3 * half), (left - open_half, y + 0.5 * half)]
    shape(axes, points, fill="grid", weight=1.8)
    arrow(axes, (left - open_half, y + 0.2 * half), (left + open_half, y + 0.2 * half), both=True)
    write(axes, (left, y - 0.84 * half), "groove or hole", width=width, ha="center")
    box(axes, (right - 0.3 * half, y - 0.3 * half), (0.6 * half, 0.8 * half), fill="area")
    arrow(axes, (right - 0.3 * half, y + 0.2 * half), (right + 0.3 * half, y + 0.2 * half), both=True)
    write(axes, (right, y - 0.84 * half), "tab or pin", width=width, ha="center")
    return _done(picture, "fit", "Both sizes, measured across", "The groove between its walls; the tab over its sides.")


def photograph_drawing(*, width: Width = "wide") -> Picture:
    """Return a ring within the printed square, and the camera far above it."""
    picture, axes, (x, y), half = _begin(width)
    left = (0.55 * x, y + 0.06 * half)
    side = 0.72 * half
    box(axes, (left[0] - side, left[1] - side), (2 * side, 2 * side), fill="ink")
    box(axes, (left[0] - 0.86 * side, left[1] - 0.86 * side), (1.72 * side, 1.72 * side), fill="paper")
    shape(axes, arc(left, 0.52 * side, 0, 360), fill="soft")
    shape(axes, arc(left, 0.42 * side, 0, 360), fill="paper")
    write(axes, (left[0], y - 0.86 * half), "the ring in the printed square", width=width, ha="center")
    right = 1.5 * x
    line(axes, [(right - 0.8 * half, y - 0.55 * half), (right + 0.8 * half, y - 0.55 * half)], weight=2.4)
    box(axes, (right - 0.16 * half, y - 0.55 * half), (0.32 * half, 0.08 * half), fill="soft")
    box(axes, (right - 0.22 * half, y + 0.6 * half), (0.44 * half, 0.28 * half), fill="grid")
    for sign in (-1, 1):
        line(
            axes, [(right, y + 0.6 * half), (right + sign * 0.6 * half, y - 0.55 * half)], colour="left", dashes=(4, 3)
        )
    write(axes, (right, y - 0.86 * half), "from far above", width=width, ha="center")
    return _done(
        picture, "photograph", "A ring photographed in the printed square", "From far above, the whole square in view."
    )
