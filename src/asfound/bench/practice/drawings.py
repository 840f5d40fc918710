"""Line drawings of the invented practice camera, which stand in for its photographs."""

import io
from collections.abc import Callable, Sequence
from math import cos, pi, radians, sin

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import Arc, Circle, FancyBboxPatch, Polygon, Rectangle

INK = "#1d1a16"
SHADE = "#d9d0bf"
PAPER = "#f6f1e6"
ACCENT = "#a3401d"
Point = tuple[float, float]


def drawings() -> dict[str, bytes]:
    """Return each drawing as PNG, by its name."""
    sheets: dict[str, Callable[[Axes], None]] = {
        "front": draw_front,
        "shutter": draw_shutter,
        "helical": draw_helical,
        "strut": draw_strut,
        "ring": draw_ring,
        "shim": draw_shim,
    }
    return {name: _png(sheet) for name, sheet in sheets.items()}


def _png(sheet: Callable[[Axes], None]) -> bytes:
    figure = Figure(figsize=(8, 6), facecolor=PAPER)
    FigureCanvasAgg(figure)
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set(xlim=(0, 80), ylim=(0, 60), aspect="equal")
    axes.axis("off")
    sheet(axes)
    buffer = io.BytesIO()
    figure.savefig(buffer, dpi=150, metadata={"Software": None})
    return buffer.getvalue()


def _circle(axes: Axes, centre: Point, radius: float, *, fill: str | None = None, width: float = 1.6) -> None:
    axes.add_patch(Circle(centre, radius, facecolor=fill or "none", edgecolor=INK, linewidth=width))


def _box(axes: Axes, corner: Point, width: float, height: float, *, fill: str | None = None) -> None:
    axes.add_patch(Rectangle(corner, width, height, facecolor=fill or "none", edgecolor=INK, linewidth=1.6))


def _shape(axes: Axes, points: Sequence[Point], *, fill: str | None = None) -> None:
    axes.add_patch(Polygon(points, closed=True, facecolor=fill or "none", edgecolor=INK, linewidth=1.6))


def _screw(axes: Axes, centre: Point, radius: float = 0.9, slot_deg: float = 35) -> None:
    _circle(axes, centre, radius, fill=PAPER, width=1.2)
    dx, dy = radius * cos(radians(slot_deg)), radius * sin(radians(slot_deg))
    axes.plot([centre[0] - dx, centre[0] + dx], [centre[1] - dy, centre[1] + dy], color=INK, linewidth=1.4)


def _label(axes: Axes, text: str, at: Point, to: Point) -> None:
    """Write `text` at a place, with a leader to what it names."""
    style = {"arrowstyle": "-", "color": ACCENT, "linewidth": 1.2, "shrinkA": 2, "shrinkB": 0}
    axes.annotate(text, xy=to, xytext=at, color=INK, fontsize=13, ha="center", va="center", arrowprops=style, zorder=5)
    axes.plot(*to, "o", color=ACCENT, markersize=4, zorder=6)


def _title(axes: Axes, text: str) -> None:
    axes.text(2.5, 57, text, fontsize=15, color=INK, va="top", weight="bold")


def _around(centre: Point, radius: float, angle_deg: float) -> Point:
    return centre[0] + radius * cos(radians(angle_deg)), centre[1] + radius * sin(radians(angle_deg))


def _gear(axes: Axes, centre: Point, radius: float, teeth: int) -> None:
    points = []
    for n in range(teeth):
        for share, r in ((0.0, radius), (0.3, radius), (0.5, radius * 0.86), (0.8, radius * 0.86)):
            angle = 2 * pi * (n + share) / teeth
            points.append((centre[0] + r * cos(angle), centre[1] + r * sin(angle)))
    _shape(axes, points, fill=SHADE)
    _circle(axes, centre, radius * 0.18, fill=PAPER)


def draw_front(axes: Axes) -> None:
    """Draw the camera from the front, opened."""
    _title(axes, "From the front, opened, struts locked")
    axes.add_patch(
        FancyBboxPatch((12, 12), 56, 36, boxstyle="round,pad=0,rounding_size=4", fill=False, edgecolor=INK, linewidth=2)
    )
    for inset in range(3):
        _box(axes, (19 + 2.2 * inset, 16 + 1.6 * inset), 42 - 4.4 * inset, 28 - 3.2 * inset)
    _box(axes, (30, 17), 20, 26, fill=SHADE)
    centre = (40.0, 30.0)
    for radius, fill in ((10.5, PAPER), (8.6, SHADE), (6.4, PAPER), (4.2, SHADE), (2.6, PAPER)):
        _circle(axes, centre, radius, fill=fill)
    for angle in (90, 210, 330):
        _screw(axes, _around(centre, 7.5, angle), 0.7, angle)
    for side in (-1, 1):
        x = 40 + side * 17
        axes.plot([x, 40 + side * 10], [14, 22], color=INK, linewidth=4, solid_capstyle="round")
        _screw(axes, (x, 14), 1.1)
    _label(axes, "distance ring,\nthree set screws", (66, 54), _around(centre, 7.6, 32))
    _label(axes, "front cell", (14, 53), (38.5, 31.5))
    _label(axes, "left strut", (10, 7), (26, 17))
    _label(axes, "right strut", (70, 7), (54, 17))
    _label(axes, "front standard", (40, 5), (34, 19))


def draw_shutter(axes: Axes) -> None:
    """Draw the shutter with its cover off."""
    _title(axes, "Shutter, cover plate off, released")
    centre = (38.0, 29.0)
    for radius, fill in ((24, PAPER), (21.5, SHADE), (9.5, PAPER), (8, None)):
        _circle(axes, centre, radius, fill=fill)
    for n in range(5):
        start, end = _around(centre, 8, 72 * n), _around(centre, 8, 72 * n + 125)
        axes.plot([start[0], end[0]], [start[1], end[1]], color=INK, linewidth=1.2)
    _gear(axes, _around(centre, 15.5, 120), 4.6, 22)
    _gear(axes, _around(centre, 15.2, 88), 3.2, 15)
    _gear(axes, _around(centre, 15.4, 63), 2.6, 12)
    pallet = _around(centre, 16, 42)
    _shape(axes, [(pallet[0] - 2.4, pallet[1] + 1), (pallet[0], pallet[1] - 0.6), (pallet[0] + 2.2, pallet[1] + 1.4)])
    _circle(axes, pallet, 0.6, fill=PAPER)
    lever = _around(centre, 15.5, 205)
    _shape(axes, [lever, _around(centre, 25.5, 196), _around(centre, 26, 191), _around(centre, 16.5, 195)], fill=PAPER)
    spring = [_around(_around(centre, 15.5, 300), 2.6 - 0.012 * n, 8.5 * n) for n in range(110)]
    axes.plot(*zip(*spring, strict=True), color=INK, linewidth=1.2)
    for angle in (20, 150, 240, 335):
        _screw(axes, _around(centre, 19.8, angle), 0.9, angle)
    mark = [_around(centre, 20.2, 101), _around(centre, 21.3, 101)]
    axes.plot(*zip(*mark, strict=True), color=ACCENT, linewidth=3)
    _label(axes, "retard train", (11, 51), _around(centre, 16.5, 121))
    _label(axes, "scribe line\nat its foot", (52, 56), mark[1])
    _label(axes, "pallet", (67, 47), pallet)
    _label(axes, "booster spring", (68, 12), _around(centre, 16.5, 303))
    _label(axes, "cocking lever", (9, 9), _around(centre, 22, 196))
    _label(axes, "blades", (70, 29), _around(centre, 7, 0))


def draw_helical(axes: Axes) -> None:
    """Draw the helical in section, with the height taken before it is parted."""
    _title(axes, "Helical in section: height over the stop")
    for side in (-1, 1):
        x = 40 + side * 21
        outer = [(x, 10), (x - side * 5, 10), (x - side * 5, 34), (x, 34)]
        _shape(axes, outer, fill=SHADE)
        inner = [(x - side * 5.6, 16), (x - side * 10, 16), (x - side * 10, 44), (x - side * 1, 44), (x - side * 1, 40)]
        _shape(axes, [*inner, (x - side * 5.6, 40)], fill=PAPER)
        for n in range(9):
            y = 17 + n * 1.9
            axes.plot([x - side * 5.6, x - side * 4.9], [y, y + 0.9], color=INK, linewidth=1.2)
    axes.plot([40, 40], [6, 50], color=INK, linewidth=0.8, linestyle=(0, (12, 4, 2, 4)))
    for y in (34, 40):
        axes.plot([61.5, 70], [y, y], color=ACCENT, linewidth=1.2)
    axes.annotate("", xy=(68, 40), xytext=(68, 34), arrowprops={"arrowstyle": "<->", "color": ACCENT, "linewidth": 1.6})
    _label(axes, "feeler here:\n12, 4 and 8 o'clock", (68, 52), (62, 37))
    _label(axes, "fixed ring with stop face", (20, 5), (21, 14))
    _label(axes, "moving ring", (14, 52), (24, 43))
    _label(axes, "four starts", (40, 49), (24.8, 26))


def draw_strut(axes: Axes) -> None:
    """Draw one strut from the side, with its torsion spring."""
    _title(axes, "Left strut, locked")
    _box(axes, (6, 6), 68, 7, fill=SHADE)
    _box(axes, (60, 13), 5, 36, fill=PAPER)
    axes.plot([18, 61], [12, 38], color=INK, linewidth=11, solid_capstyle="round")
    axes.plot([18, 61], [12, 38], color=PAPER, linewidth=8, solid_capstyle="round")
    _screw(axes, (18, 12), 1.7)
    _box(axes, (57.5, 36.4), 9, 3.2)
    _circle(axes, (61, 38), 1.4, fill=SHADE)
    coil = [(18 + (4.6 + 0.006 * n) * cos(0.11 * n), 12 + (4.6 + 0.006 * n) * sin(0.11 * n)) for n in range(200)]
    axes.plot(*zip(*coil, strict=True), color=INK, linewidth=1.4)
    axes.plot([coil[-1][0], 30], [coil[-1][1], 12.8], color=INK, linewidth=1.4)
    axes.add_patch(Arc((18, 12), 34, 34, theta1=8, theta2=29, color=ACCENT, linewidth=1.6))
    _label(axes, "torsion spring:\nlet it down first", (14, 34), (18, 17))
    _label(axes, "tab in its slot", (40, 48), (60, 38))
    _label(axes, "bed", (40, 3), (44, 8))
    _label(axes, "standard", (73, 52), (63, 46))


def draw_ring(axes: Axes) -> None:
    """Draw the distance ring with its pointer."""
    _title(axes, "Distance ring at the infinity stop")
    centre = (38.0, 25.5)
    for radius, fill in ((23, PAPER), (17, SHADE), (11, PAPER)):
        _circle(axes, centre, radius, fill=fill)
    for n in range(72):
        length = 2.2 if n % 6 else 3.8
        inner, outer = _around(centre, 22.6 - length, 5 * n), _around(centre, 22.6, 5 * n)
        axes.plot([inner[0], outer[0]], [inner[1], outer[1]], color=INK, linewidth=1)
    for angle in (60, 180, 300):
        _screw(axes, _around(centre, 14, angle), 1.1, angle)
    _shape(axes, [_around(centre, 23.4, 90), _around(centre, 28, 87), _around(centre, 28, 93)], fill=ACCENT)
    scuff = [_around(centre, 23, a) for a in range(28, 50, 2)]
    axes.plot(*zip(*scuff, strict=True), color=ACCENT, linewidth=4)
    _label(axes, "pointer", (54, 52), _around(centre, 26, 90))
    _label(axes, "scuff, 1 to 2 o'clock", (68, 48), scuff[5])
    _label(axes, "set screw,\nslackened only", (9, 47), _around(centre, 14, 180))


def draw_shim(axes: Axes) -> None:
    """Draw the paper shim found late, where it belongs."""
    _title(axes, "Paper shim found stuck to the cell: it belongs here")
    _box(axes, (14, 34), 52, 9, fill=PAPER)
    _box(axes, (14, 30), 52, 1.6, fill=ACCENT)
    _box(axes, (8, 14), 64, 13, fill=SHADE)
    for x in (24, 40, 56):
        axes.annotate("", xy=(x, 28), xytext=(x, 33), arrowprops={"arrowstyle": "-|>", "color": INK, "linewidth": 1.2})
    _label(axes, "front cell", (18, 50), (22, 39))
    _label(axes, "shim, 0.10 mm", (64, 52), (60, 30.8))
    _label(axes, "shutter face", (40, 7), (40, 18))
