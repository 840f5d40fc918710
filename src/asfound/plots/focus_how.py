"""Small drawings of how a reading of the focus is taken: nothing to scale, only what goes where."""

from collections.abc import Sequence

from asfound.plots.board import Point, arc, around, arrow, board, line, shape, write
from asfound.plots.picture import WIDTHS, Picture, Width

_ACROSS = 480.0  # of the sheet that all of them are laid out on
_LETTERS = {"narrow": 1.0, "wide": 1.8, "print": 1.0}  # a wide one stands in half a page


class Sheet:
    """A sheet 480 across: what is drawn on it is brought to the width of the picture."""

    def __init__(self, *, width: Width, height: float) -> None:
        self.width, self.scale = width, WIDTHS[width] / _ACROSS
        self.figure, self.axes = board(width=width, height=height * self.scale)

    def at(self, point: Point) -> Point:
        """Return a point of the sheet on the picture."""
        return point[0] * self.scale, point[1] * self.scale

    def line(self, *points: Point, colour: str = "ink", weight: float = 1.6, dashes: Sequence[float] = ()) -> None:
        """Draw straight lines."""
        line(self.axes, [self.at(p) for p in points], colour=colour, weight=weight * self._pen, dashes=dashes)

    def shape(self, *points: Point, fill: str | None = None, edge: str | None = "ink", weight: float = 1.6) -> None:
        """Draw a closed outline."""
        shape(self.axes, [self.at(p) for p in points], fill=fill, edge=edge, weight=weight * self._pen)

    def box(self, x: float, y: float, wide: float, high: float, *, fill: str | None = None) -> None:
        """Draw an upright rectangle."""
        self.shape((x, y), (x + wide, y), (x + wide, y + high), (x, y + high), fill=fill)

    def arrow(self, start: Point, end: Point, *, colour: str = "found", both: bool = False) -> None:
        """Draw an arrow."""
        arrow(self.axes, self.at(start), self.at(end), colour=colour, weight=2.0 * self._pen, both=both)

    def write(self, at: Point, text: str, *, ha: str = "left", colour: str = "ink", weight: str = "normal") -> None:
        """Write a line."""
        write(
            self.axes, self.at(at), text, width=self.width, ha=ha, colour=colour, weight=weight,
            share=_LETTERS[self.width], behind=True,
        )  # fmt: skip

    def lens(self, x: float, y: float, high: float) -> None:
        """Draw a lens on edge, its middle at (x, y)."""
        bulge, half = 0.16 * high, high / 2
        right = [(x + bulge * (1 - (t / half) ** 2), y + t) for t in _steps(half)]
        left = [(2 * x - px, py) for px, py in reversed(right)]
        self.shape(*right, *left, fill="area")

    def round(self, centre: Point, radius: float, *, fill: str | None = None, weight: float = 1.6) -> None:
        """Draw a circle."""
        self.shape(*arc(centre, radius, 0, 360), fill=fill, weight=weight)

    def done(self, name: str, title: str, said: str) -> Picture:
        """Return the picture."""
        return Picture(self.figure, name, self.width, title, said)

    @property
    def _pen(self) -> float:
        return 1.3 if self.width == "wide" else 1.0


def _steps(half: float) -> list[float]:
    return [half * n / 8 for n in range(-8, 9)]


def _film(sheet: Sheet, x: float, low: float, high: float) -> None:
    sheet.line((x, low), (x, high), weight=3)


def film_plane(*, width: Width = "wide") -> Picture:
    """Return the cone from the lens to the film, and the play that the eye allows."""
    sheet = Sheet(width=width, height=190)
    sheet.shape((70, 150), (345, 95), (70, 40), fill="area", edge=None)
    sheet.line((70, 150), (345, 95), (410, 108), colour="left")
    sheet.line((70, 40), (345, 95), (410, 82), colour="left")
    sheet.lens(70, 95, 120)
    sheet.line((345, 28), (345, 160), colour="soft", dashes=(4, 3))
    _film(sheet, 385, 50, 140)
    sheet.line((385, 87), (385, 103), colour="found", weight=6)
    sheet.arrow((345, 150), (385, 150), both=True)
    sheet.write((398, 150), "off by", colour="found")
    sheet.write((336, 16), "sharp here", ha="right", colour="soft")
    sheet.write((398, 55), "film")
    sheet.write((398, 95), "blur", colour="found")
    return sheet.done(
        "how-budget",
        "The cone of light behind the lens",
        "A cone of light comes to a point where the image is sharp; a film that lies off it catches a small disc.",
    )


def scale_ring(*, width: Width = "wide") -> Picture:
    """Return a distance ring from the front, its pointer, and a protractor's angle."""
    sheet = Sheet(width=width, height=230)
    centre = (165.0, 112.0)
    sheet.round(centre, 92, fill="paper")
    sheet.round(centre, 58)
    sheet.round(centre, 44, fill="area")
    for angle, name in ((90, "∞"), (58, "10"), (22, "3"), (-22, "2"), (-78, "1")):
        sheet.line(around(centre, 82, angle), around(centre, 92, angle), weight=2)
        sheet.write(around(centre, 74, angle), name, ha="center")
    tip = around(centre, 94, 90)
    sheet.shape(tip, (tip[0] - 8, tip[1] + 15), (tip[0] + 8, tip[1] + 15), fill="found", edge="found")
    sheet.line(*arc(centre, 104, 22, 84), colour="found", weight=2.2)
    sheet.arrow(around(centre, 104, 26), around(centre, 104, 20))
    sheet.write(around(centre, 112, 52), "angle from ∞", colour="found")
    sheet.write((290, 98), "turn each engraved")
    sheet.write((290, 76), "distance to the pointer,")
    sheet.write((290, 54), "read the ring's angle")
    return sheet.done(
        "how-scale",
        "Reading the ring's angle at each engraved distance",
        "The distance ring from the front; each engraved distance is turned to the pointer and the angle is read.",
    )


def thread_entry(*, width: Width = "wide") -> Picture:
    """Return a helical about to be entered, the marks on both parts."""
    sheet = Sheet(width=width, height=220)
    sheet.box(60, 20, 200, 66, fill="grid")
    sheet.box(84, 108, 152, 80, fill="area")
    for n in range(5):
        sheet.line((84, 118 + 15 * n), (236, 128 + 15 * n), weight=1.2)
        if n < 3:
            sheet.line((60, 32 + 17 * n), (260, 44 + 17 * n), weight=1.2)
    for y, z in ((70, 86), (108, 124)):
        sheet.line((160, y), (160, z), colour="found", weight=4)
    sheet.arrow((205, 106), (205, 88))
    sheet.write((276, 158), "lens tube")
    sheet.write((276, 124), "mark on the tube", colour="found")
    sheet.write((276, 97), "they meet here:", colour="soft")
    sheet.write((276, 72), "mark on the body", colour="found")
    sheet.write((276, 38), "body")
    return sheet.done(
        "how-start",
        "Entering a thread of several starts",
        "A lens tube with a thread above its seat in the body; a mark on each shows at what clock position they meet.",
    )


def depth_gauge(*, width: Width = "wide") -> Picture:
    """Return a depth gauge that stands on the film rails and reaches for the lens seat."""
    sheet = Sheet(width=width, height=220)
    for x in (70, 250):
        sheet.box(x, 118, 50, 20, fill="grid")
    sheet.write((68, 100), "film rails")
    sheet.box(60, 138, 250, 0.5)
    sheet.box(120, 20, 130, 24, fill="area")
    sheet.write((262, 32), "lens seat")
    sheet.box(80, 139, 210, 14, fill="paper")
    sheet.box(178, 44, 14, 150, fill="paper")
    sheet.box(166, 176, 38, 26, fill="paper")
    sheet.arrow((226, 46), (226, 138), both=True)
    sheet.write((234, 90), "height", colour="found")
    sheet.write((318, 146), "bar across the rails", colour="soft")
    sheet.write((216, 190), "depth gauge")
    return sheet.done(
        "how-datum",
        "Measuring the height of the lens over the film rails",
        "A depth gauge stands on a bar across the film rails; its rod reaches down to the seat of the lens.",
    )


def spacer_points(*, width: Width = "wide") -> Picture:
    """Return a spacer from the front with its three points, and on edge with a wedge."""
    sheet = Sheet(width=width, height=210)
    centre = (120.0, 104.0)
    sheet.round(centre, 84, fill="area")
    sheet.round(centre, 58, fill="paper")
    sheet.line(around(centre, 84, 0), around(centre, 74, 0), colour="found", weight=5)
    sheet.write((214, 104), "mark", colour="found")
    for number, angle in ((1, 90), (2, 210), (3, 330)):
        sheet.round(around(centre, 71, angle), 7, fill="found")
        sheet.write(around(centre, 44, angle), f"{number}", ha="center", weight="bold")
    sheet.shape((300, 60), (450, 60), (450, 96), (300, 84), fill="area")
    sheet.arrow((300, 30), (300, 58))
    sheet.arrow((300, 112), (300, 86))
    sheet.arrow((450, 30), (450, 58))
    sheet.arrow((450, 124), (450, 98))
    sheet.write((300, 160), "on edge: thicker on")
    sheet.write((300, 140), "one side, a wedge")
    return sheet.done(
        "how-spacers",
        "Measuring a spacer at three points",
        "A spacer is measured with a micrometer at three points a third of a turn apart, counted from its mark.",
    )
