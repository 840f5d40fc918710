"""A leak photograph with its spots ringed and numbered, drawn over the photograph itself.

Not made by the drawing library: the photograph is the page's own, and only rings, numbers and a scale lie over it.
"""

from __future__ import annotations

import hashlib
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal
from xml.sax.saxutils import escape, quoteattr

from asfound.plots.board import Point, arc, arrow, board, box, line, shape
from asfound.plots.howto import write
from asfound.plots.picture import WIDTHS, Picture, Width

if TYPE_CHECKING:
    from collections.abc import Sequence

RingState = Literal["spot", "still there", "closed", "new", "cannot tell", "point"]
_RING: dict[RingState, str] = {
    "spot": "ring",
    "still there": "ring",
    "closed": "broken ring",
    "new": "square",
    "cannot tell": "dotted ring with ?",
    "point": "small cross",
}
_TEXT = {"wide": 20.0, "narrow": 14.0}
_LEAST_RADIUS = {"wide": 13.0, "narrow": 9.0}
_AXIS = {"wide": 30.0, "narrow": 22.0}
_MOST_NUMBERS = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Ring:
    """What is ringed: its number (0: none), place and size in pixels of the photograph, and what became of it."""

    number: int
    x_px: float
    y_px: float
    size_px: float
    state: RingState = "spot"


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """The photograph that is drawn over: its address and its size in pixels."""

    href: str
    columns: int
    rows: int


def leaks_svg(rings: Sequence[Ring], shown: Shown, *, width: Literal["wide", "narrow"], said: str) -> str:
    """Return the photograph with its spots as SVG for a page; `said` tells it to somebody who cannot see it.

    States differ in shape, so that none of it needs colour: a ring, a broken ring, a square, a dotted ring.
    """
    across = WIDTHS[width]
    axis = _AXIS[width]
    scale = (across - axis) / shown.columns
    high = shown.rows * scale
    name = f"leaks-{hashlib.sha256(repr((rings, shown, width)).encode()).hexdigest()[:10]}"
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="100%" viewBox="0 0 {across:g} {high + axis:.1f}" role="img" '
        f'class="picture picture-{width}" aria-labelledby="{name}-title {name}-desc">',
        f'<title id="{name}-title">The photograph with its spots</title><desc id="{name}-desc">{escape(said)}</desc>',
        f'<image href={quoteattr(shown.href)} x="{axis:g}" y="0" width="{across - axis:.1f}" height="{high:.1f}" '
        f'preserveAspectRatio="none"/>',
        *_ticks(shown, scale, axis, width),
    ]
    placed = [(ring, _Drawn(axis + (ring.x_px + 0.5) * scale, (ring.y_px + 0.5) * scale, _radius(ring, scale, width)))
              for ring in rings]  # fmt: skip
    parts += [_ring(ring, drawn) for ring, drawn in placed]
    parts += _numbers(placed, width, (axis, across, high))
    return "".join((*parts, "</svg>"))


@dataclass(frozen=True, slots=True)
class _Drawn:
    x: float
    y: float
    radius: float


def _radius(ring: Ring, scale: float, width: Literal["wide", "narrow"]) -> float:
    if ring.state == "point":
        return _LEAST_RADIUS[width] / 2
    return max(1.2 * ring.size_px * scale, _LEAST_RADIUS[width])


def _ring(ring: Ring, at: _Drawn) -> str:
    """Return a ring twice: paper under ink, so that it is seen on dark and light alike."""
    x, y, r = at.x, at.y, at.radius
    if ring.state == "new":
        body = f'rect x="{x - r:.1f}" y="{y - r:.1f}" width="{2 * r:.1f}" height="{2 * r:.1f}"'
    elif ring.state == "point":
        body = f'path d="M{x - r:.1f} {y:.1f}H{x + r:.1f}M{x:.1f} {y - r:.1f}V{y + r:.1f}"'
    else:
        body = f'circle cx="{x:.1f}" cy="{y:.1f}" r="{r:.1f}"'
    dashes = {"closed": ' stroke-dasharray="9 6"', "cannot tell": ' stroke-dasharray="2 4"'}.get(ring.state, "")
    under = f'<{body} fill="none" class="stroke-paper" stroke-width="6"{dashes}/>'
    return f'{under}<{body} fill="none" class="stroke-ink" stroke-width="2.4"{dashes}/>'


def _numbers(
    placed: Sequence[tuple[Ring, _Drawn]], width: Literal["wide", "narrow"], frame: tuple[float, float, float]
) -> list[str]:
    """Return the numbers, each beside its ring where there is room."""
    size, (left, right, bottom) = _TEXT[width], frame
    taken = [(at.x, at.y, at.radius) for _, at in placed]
    said = []
    for ring, at in placed[:_MOST_NUMBERS]:
        if not ring.number:
            continue
        text = f"{ring.number}{'?' if ring.state == 'cannot tell' else ''}"
        half = 0.32 * size * len(text)
        reach = at.radius + 0.55 * size + half * 0.6
        spots = [(at.x + reach * math.cos(a), at.y - reach * math.sin(a)) for a in (n * math.pi / 4 for n in range(8))]
        inside = [(x, y) for x, y in spots if left + half < x < right - half and 0.6 * size < y < bottom - 0.6 * size]
        x, y = max(inside or spots, key=lambda one: min(_clearance(one, half, other) for other in taken))
        taken.append((x, y, half))
        said.append(
            f'<text x="{x:.1f}" y="{y + 0.36 * size:.1f}" text-anchor="middle" font-size="{size:g}" font-weight="700" '
            f'class="fill-ink stroke-paper" stroke-width="5" stroke-linejoin="round" paint-order="stroke">{text}</text>'
        )
    return said


def _clearance(at: Point, half: float, other: tuple[float, float, float]) -> float:
    """Return the room between a number and something else, no more than a letter counting."""
    return min(math.hypot(at[0] - other[0], at[1] - other[1]) - half - other[2], 6.0)


def _ticks(shown: Shown, scale: float, axis: float, width: Literal["wide", "narrow"]) -> list[str]:
    """Return pixel numbers along the left and below, so that a place can be named."""
    size = _TEXT[width] * 0.62
    step = next(s for s in (50, 100, 200, 500, 1000, 2000, 5000, 10_000) if s * scale > 6 * size)
    style = f'class="fill-soft" font-size="{size:g}"'
    mark = 'class="stroke-soft" stroke-width="1"'
    bottom = shown.rows * scale
    said = []
    for at in range(0, shown.columns, step):
        x = axis + (at + 0.5) * scale
        said.append(f'<path d="M{x:.1f} {bottom:.1f}v5" {mark}/>')
        anchor = "start" if at == 0 else "middle" if x < WIDTHS[width] - 2.2 * size else "end"
        said.append(f'<text x="{x:.1f}" y="{bottom + 6 + size:.1f}" text-anchor="{anchor}" {style}>{at}</text>')
    for at in range(step, shown.rows, step):
        y = (at + 0.5) * scale
        said.append(f'<path d="M{axis:.1f} {y:.1f}h-5" {mark}/>')
        turned = f'transform="rotate(-90 {axis - 8:.1f} {y:.1f})"'
        said.append(f'<text x="{axis - 8:.1f}" y="{y:.1f}" text-anchor="middle" {turned} {style}>{at}</text>')
    return said


def legend(states: Sequence[RingState]) -> str:
    """Return what the shapes mean, for those that are there: "ring: still there; broken ring: closed"."""
    return "; ".join(f"{shape}: {state}" for state, shape in _RING.items() if state in states and state != "spot")


def leaks_how(*, width: Width = "wide") -> Picture:
    """Return how the photograph is taken: the lamp inside the bellows, the camera on its tripod, the room dark."""
    height = {"narrow": 190.0, "wide": 380.0, "print": 150.0}[width]
    figure, axes = board(width=width, height=height)
    x, half = WIDTHS[width] / 2, height / 2
    box(axes, (0, 0), (WIDTHS[width], height), fill="grid", edge=None)
    body = x - 1.15 * half
    box(axes, (body - 0.34 * half, 0.55 * half), (0.34 * half, 1.1 * half), fill="area")
    folds = [(body + k * 0.13 * half, half + (0.5 if k % 2 else 0.38) * half) for k in range(9)]
    shape(axes, [*folds, *((px, 2 * half - py) for px, py in reversed(folds))], fill="paper")
    box(axes, (body + 1.04 * half, 0.55 * half), (0.12 * half, 0.9 * half), fill="area")
    line(axes, arc((body + 0.5 * half, half), 0.12 * half, 0, 360), colour="found", weight=2.4)
    for angle in range(0, 360, 45):
        ray = [(body + 0.5 * half + r * half * math.cos(math.radians(angle)),
                half + r * half * math.sin(math.radians(angle))) for r in (0.17, 0.26)]  # fmt: skip
        line(axes, ray, colour="found")
    leak = body + 0.78 * half, 1.44 * half
    arrow(axes, leak, (leak[0] + 0.8 * half, 1.62 * half))
    camera = x + 1.25 * half
    box(axes, (camera, 1.2 * half), (0.5 * half, 0.4 * half), fill="paper")
    box(axes, (camera - 0.14 * half, 1.3 * half), (0.14 * half, 0.2 * half), fill="paper")
    for dx in (-0.25, 0.0, 0.25):
        line(axes, [(camera + 0.25 * half, 1.2 * half), (camera + (0.25 + dx) * half, 0.3 * half)], weight=2)
    write(axes, (body + 0.5 * half, 0.27 * half), "LED lamp inside", width=width, ha="center")
    write(axes, (camera + 0.25 * half, 1.78 * half), "tripod", width=width, ha="center")
    said = "A lamp inside the bellows in a dark room; a camera on a tripod sees the light that comes through."
    return Picture(figure, "howto-leaks", width, "How leaks are photographed", said)
