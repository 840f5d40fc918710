"""A ring as measured: its deviation magnified round the clock, four circles, scuffs, and where to press."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from asfound.plots.board import Point, around, arrow, board, line, shape, write
from asfound.plots.palette import drawn
from asfound.plots.picture import WIDTHS, Picture, Width
from asfound.shape import PressPlace, Ring, Rub, Scuff, deg_to_clock, polar_plot
from asfound.shape.charts import Floats

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

_MOST_PRESSES = 4
_MOST_DOTS = 120


@dataclass(frozen=True, slots=True)
class _Scale:
    """Where the plot lies on the board: deviation nought at `base`, `stretch` points to a mm of deviation."""

    centre: Point
    base: float
    stretch: float

    def at(self, angle_deg: float, deviation_mm: float) -> Point:
        return around(self.centre, max(0.0, self.base + self.stretch * deviation_mm), angle_deg)


@dataclass(frozen=True, slots=True)
class ReferenceCircle:
    """One of the four circles as the plot draws it: in the directions of the least-squares centre."""

    name: str
    centre_mm: Point
    radii_mm: tuple[float, ...]
    out_of_round_mm: float
    colour: str
    dashes: tuple[float, ...]
    mark: str


def reference_circles(ring: Ring) -> tuple[ReferenceCircle, ...]:
    """Return the circles that a ring has; the maximum inscribed is missing where the points do not go round."""
    least, zone, outer, inner = (
        ring.least_squares, ring.minimum_zone, ring.minimum_circumscribed, ring.maximum_inscribed,
    )  # fmt: skip
    radii = (zone.inner_radius_mm, zone.outer_radius_mm)
    found = [
        ReferenceCircle(
            "least squares", least.centre_mm, (least.radius_mm,), least.out_of_round_mm, "soft", (6, 3), "+"
        ),
        ReferenceCircle("minimum zone", zone.centre_mm, radii, zone.out_of_round_mm, "left", (), "D"),
        ReferenceCircle(
            "circumscribed", outer.centre_mm, (outer.radius_mm,), outer.out_of_round_mm, "found", (8, 2, 1.5, 2), "^"
        ),
    ]
    if inner is not None:
        found.append(
            ReferenceCircle(
                "inscribed", inner.centre_mm, (inner.radius_mm,), inner.out_of_round_mm, "bound", (2, 2), "v"
            )
        )
    return tuple(found)


def deviation_of_circle(
    *, centre_mm: Point, radius_mm: float, about_mm: Point, reference_mm: float, angle_deg: Floats
) -> Floats:
    """Return how far a circle lies outside a reference circle about another centre, in each direction from that.

    Exact: the distance at which a ray from `about_mm` leaves the circle, less the reference radius.
    """
    x, y = centre_mm[0] - about_mm[0], centre_mm[1] - about_mm[1]
    angle = np.radians(angle_deg)
    along = x * np.cos(angle) + y * np.sin(angle)
    across = y * np.cos(angle) - x * np.sin(angle)
    return np.asarray(along + np.sqrt(np.maximum(0.0, radius_mm**2 - across**2)) - reference_mm)


def ring_picture(
    ring: Ring,
    *,
    scuffs: Sequence[Scuff] = (),
    rub: Rub | None = None,
    pointer_radius_mm: float | None = None,
    presses: Sequence[PressPlace] = (),
    seen: str = "",
    width: Width = "wide",
) -> Picture:
    """Return the magnified polar plot of a ring.

    Parameters
    ----------
    ring : Ring
    scuffs : sequence of Scuff
        Seen on the ring, laid round the plot.
    rub : Rub, optional
        Its arcs are drawn heavy.
    pointer_radius_mm : float, optional
        From the ring's axis: drawn as the path of the pointer's tip, where it comes into the picture.
    presses : sequence of PressPlace
        The worst first; the first four are drawn.
    seen : str
        From which side the clock positions are told.
    """
    narrow = width == "narrow"
    size = {"narrow": (352.0, 360.0), "wide": (490.0, 510.0), "print": (240.0, 260.0)}[width]
    circles = reference_circles(ring)
    shown = tuple(presses[:_MOST_PRESSES])
    keys = 1 + len(circles) + (pointer_radius_mm is not None) + bool(scuffs) + (len(shown) + 1 if shown else 0)
    step = {"narrow": 19.0, "wide": 29.0, "print": 13.0}[width]
    height = size[1] + (keys * step + 8 if narrow else 0)
    figure, axes = board(width=width, height=height)
    middle = (WIDTHS[width] / 2 if narrow else size[0] / 2 + 10, height - size[1] / 2)
    plot = polar_plot(ring)
    base = size[0] * 0.31
    furthest = max(float(np.abs(plot.deviation_mm).max()), 1e-12)
    scale = _Scale(middle, base, base * plot.magnification / plot.reference_radius_mm)
    if plot.magnification == 1:  # so far out of round that there is nothing to magnify: keep it on the board
        scale = _Scale(middle, base, min(scale.stretch, base / 3 / furthest))
    _clock(axes, scale, width)
    _scale_bar(axes, scale, furthest, width)
    _circles(axes, ring, circles, scale)
    _trace(axes, plot.angle_deg, plot.deviation_mm, scale)
    if pointer_radius_mm is not None:
        _pointer(axes, pointer_radius_mm - ring.least_squares.radius_mm, scale)
    _rubbing(axes, ring, rub, scale)
    _scuffs(axes, scuffs, scale)
    _presses(axes, shown, scale, width)
    at = (14.0, keys * step - step / 2) if narrow else (size[0] + 24, height - 46)
    _key(axes, at, step, circles, plot.magnification, bool(scuffs), shown, pointer_radius_mm is not None, width)
    return Picture(
        figure,
        "ring",
        width,
        f"The ring, its deviation magnified {plot.magnification} times",
        _said(ring, presses, rub, scuffs, seen),
    )


def _clock(axes: Axes, scale: _Scale, width: Width) -> None:
    for hour in range(1, 13):
        angle = 90 - 30 * hour
        rim = scale.base * 1.46
        line(axes, [around(scale.centre, rim, angle), around(scale.centre, rim + 5, angle)], colour="soft", weight=0.9)
        bold = "bold" if hour % 3 == 0 else "normal"
        at = around(scale.centre, rim + 5 + 0.075 * scale.base, angle)
        write(axes, at, str(hour), width=width, ha="center", colour="ink" if hour % 3 == 0 else "soft", weight=bold)


def _scale_bar(axes: Axes, scale: _Scale, furthest: float, width: Width) -> None:
    """Draw how long a deviation is in the picture, at the lower right of the plot."""
    size = _nice(furthest)
    x, y = scale.centre[0] + 1.5 * scale.base, scale.centre[1] - 1.5 * scale.base
    long = size * scale.stretch
    line(axes, [(x - 4, y), (x + 4, y), (x, y), (x, y + long), (x - 4, y + long), (x + 4, y + long)], weight=1.2)
    write(axes, (x - 8, y + long / 2), f"{size:g} mm", width=width, ha="right", colour="soft")


def _nice(wanted: float) -> float:
    power = 10.0 ** np.floor(np.log10(wanted))
    return float(power * max(n for n in (1, 2, 5) if n * power <= wanted * (1 + 1e-9)))


def _circles(axes: Axes, ring: Ring, circles: Sequence[ReferenceCircle], scale: _Scale) -> None:
    turn = np.arange(0, 361, 2.0)
    about, radius = ring.least_squares.centre_mm, ring.least_squares.radius_mm
    drawn_as: list[list[Point]] = []
    for circle in circles:
        for one in circle.radii_mm:
            off = deviation_of_circle(
                centre_mm=circle.centre_mm, radius_mm=one, about_mm=about, reference_mm=radius, angle_deg=turn
            )
            points = [scale.at(a, d) for a, d in zip(turn, off, strict=True)]
            drawn_as.append(points)
            line(axes, points, colour=circle.colour, weight=1.3, dashes=circle.dashes, zorder=3)
        _mark_centre(axes, circle, about, scale)
    inner, outer = drawn_as[1], drawn_as[2]
    shape(axes, [*outer, *inner[::-1]], fill="area", edge=None, zorder=0)


def _mark_centre(axes: Axes, circle: ReferenceCircle, about: Point, scale: _Scale) -> None:
    x, y = (scale.stretch * (c - a) for c, a in zip(circle.centre_mm, about, strict=True))
    if np.hypot(x, y) < 0.8 * scale.base:
        colour = drawn(circle.colour)
        axes.plot(
            scale.centre[0] + x, scale.centre[1] + y, linestyle="", marker=circle.mark, markersize=scale.base * 0.07,
            markerfacecolor="none", markeredgecolor=colour, markeredgewidth=1.6, zorder=6,
        )  # fmt: skip


def _trace(axes: Axes, angle: Floats, deviation: Floats, scale: _Scale) -> None:
    points = [scale.at(a, d) for a, d in zip(angle, deviation, strict=True)]
    gaps = np.flatnonzero(np.diff(np.append(angle, angle[0] + 360)) > 100)
    # An open arc is not closed by a line that nobody measured.
    points = points[gaps[0] + 1 :] + points[: gaps[0] + 1] if len(gaps) else [*points, points[0]]
    line(axes, points, colour="ink", weight=1.8, zorder=5)
    if len(angle) <= _MOST_DOTS:
        x, y = zip(*points, strict=True)
        axes.plot(x, y, linestyle="", marker="o", markersize=4.2, color=drawn("ink"), zorder=6)


def _pointer(axes: Axes, deviation: float, scale: _Scale) -> None:
    if scale.base + scale.stretch * deviation < scale.base * 1.45:
        turn = np.arange(0, 361, 2.0)
        line(axes, [scale.at(a, deviation) for a in turn], colour="found", weight=2.0, dashes=(1, 2.4), zorder=4)


def _rubbing(axes: Axes, ring: Ring, rub: Rub | None, scale: _Scale) -> None:
    plot = polar_plot(ring)
    for start, end in rub.rubbing if rub is not None else ():
        turn = 360.0 if end - start >= 360 else (end - start) % 360
        angles = start + np.linspace(0, turn, max(2, int(turn) + 2))
        off = np.interp(angles, plot.angle_deg, plot.deviation_mm, period=360)
        line(axes, [scale.at(a, d) for a, d in zip(angles, off, strict=True)], colour="found", weight=6, zorder=4.5)


def _scuffs(axes: Axes, scuffs: Sequence[Scuff], scale: _Scale) -> None:
    for scuff in scuffs:
        turn = 360.0 if abs(scuff.to_deg - scuff.from_deg) >= 360 else (scuff.to_deg - scuff.from_deg) % 360
        angles = scuff.from_deg + np.arange(0, turn + 0.1, 2.5)
        # A row of short strokes, as a scuff looks.
        for angle in angles:
            ends = [around(scale.centre, scale.base * share, angle + lean) for share, lean in ((1.40, 0), (1.455, 2.2))]
            line(axes, ends, colour="found", weight=1.6, zorder=5)


def _presses(axes: Axes, presses: Sequence[PressPlace], scale: _Scale, width: Width) -> None:
    for n, place in enumerate(presses):
        ends = [around(scale.centre, scale.base * share, place.angle_deg) for share in (0.46, 0.62)]
        ends = ends[::-1] if place.way == "inwards" else ends
        arrow(axes, *ends, colour="left", weight=2.6)
        at = around(scale.centre, scale.base * 0.34, place.angle_deg)
        write(axes, at, str(n + 1), width=width, ha="center", colour="left", weight="bold")


def _key(
    axes: Axes, at: Point, step: float, circles: Sequence[ReferenceCircle], magnification: int, scuffed: bool,
    presses: Sequence[PressPlace], pointed: bool, width: Width,
) -> None:  # fmt: skip
    x, y = at
    long = 20.0 if width == "print" else 36.0
    text = x + long + 10
    line(axes, [(x, y), (x + long, y)], colour="ink", weight=1.8)
    write(axes, (text, y), f"the ring, magnified {magnification} times", width=width)
    for circle in circles:
        y -= step
        line(axes, [(x, y), (x + long, y)], colour=circle.colour, weight=1.4, dashes=circle.dashes)
        axes.plot(
            x + long / 2, y, linestyle="", marker=circle.mark, markersize=8, markerfacecolor=drawn("paper"),
            markeredgecolor=drawn(circle.colour), markeredgewidth=1.6, zorder=6,
        )  # fmt: skip
        write(axes, (text, y), f"{circle.name}, out of round {circle.out_of_round_mm:.3f} mm", width=width)
    if pointed:
        y -= step
        line(axes, [(x, y), (x + long, y)], colour="found", weight=2, dashes=(1, 2.4))
        write(axes, (text, y), "the pointer; heavy where it rubs", width=width)
    if scuffed:
        y -= step
        for n in range(int(long / 4)):
            line(axes, [(x + 4 * n, y - 4), (x + 4 * n + 3, y + 4)], colour="found", weight=1.6)
        write(axes, (text, y), "scuff mark as seen", width=width)
    if presses:
        y -= step
        arrow(axes, (x + 2, y), (x + long - 2, y), colour="left", weight=2.6)
        write(axes, (text, y), "where to press, the worst first:", width=width)
    for n, place in enumerate(presses):
        y -= step
        write(axes, (text, y), f"{n + 1}", width=width, colour="left", weight="bold")
        told = f"at {deg_to_clock(place.angle_deg)}, {place.way}, {place.shortfall_mm:.3f} mm"
        write(axes, (text + 18, y), told, width=width)


def _said(ring: Ring, presses: Sequence[PressPlace], rub: Rub | None, scuffs: Sequence[Scuff], seen: str) -> str:
    parts = [f"Seen {seen}."] if seen else []
    parts += [f"{c.name.capitalize()}: out of round {c.out_of_round_mm:.3f} mm." for c in reference_circles(ring)]
    if rub is not None:
        room = f"short by {rub.short_mm:.3f} mm" if rub.short_mm else f"{rub.clearance_mm:.3f} mm free"
        parts.append(f"Nearest to the pointer at {deg_to_clock(rub.place_deg)} o'clock: {room}.")
    parts += [f"Scuffed from {deg_to_clock(s.to_deg)} to {deg_to_clock(s.from_deg)} o'clock." for s in scuffs]
    parts += [
        f"Press {p.way} at {deg_to_clock(p.angle_deg)} o'clock by {p.shortfall_mm:.3f} mm."
        for p in presses[:_MOST_PRESSES]
    ]
    return " ".join(parts)
