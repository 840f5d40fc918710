"""The tray as it lies on the bench, and every sort of screw counted one by one, off and back."""

from __future__ import annotations

import re
import textwrap
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from asfound.plots.board import Point, board, line, shape, write
from asfound.plots.palette import drawn
from asfound.plots.picture import TEXT_SIZES, WIDTHS, Picture, Width
from asfound.teardown.ledger import Ledger, LedgerRow, TrayMap, tray_map

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from matplotlib.axes import Axes

Kind = Literal["tray", "solvent", "away", "missing", "nowhere", "empty"]
# Fill, edge and weight of a box: told apart without colour by its heading as well.
_LOOKS: dict[Kind, tuple[str | None, str, float]] = {
    "tray": ("paper", "ink", 1.4),
    "solvent": ("area", "left", 2.0),
    "away": ("grid", "soft", 2.0),
    "missing": (None, "found", 3.0),
    "nowhere": (None, "found", 1.4),
    "empty": (None, "grid", 1.0),
}
_SOAKS = re.compile(r"\bsoak|solvent|\bbath\b|\bcur(?:e|ing)\b|\bdry(?:ing)?\b", re.I)
_MOST_COLUMNS = {"wide": 5, "narrow": 2, "print": 4}
_EDGE, _GAP = 6.0, 8.0


@dataclass(frozen=True, slots=True)
class TrayBox:
    """A compartment or another place: its name, how it is drawn, and what lies there, parts before fasteners."""

    label: str
    kind: Kind
    parts: tuple[str, ...] = ()
    fasteners: tuple[str, ...] = ()


def tray_boxes(account: Ledger) -> tuple[tuple[TrayBox, ...], tuple[TrayBox, ...]]:
    """Return the tray's compartments that hold anything, in their order, then every other place."""
    tray = tray_map(account)
    missing = tuple(row for row in account.rows if row.where == "missing")
    others = [_box(_called(place, rows), _kind(place, rows), rows) for place, rows in tray.elsewhere]
    others += [_box("not said where", "nowhere", tray.nowhere)] if tray.nowhere else []
    others += [_box("missing", "missing", missing)] if missing else []
    return tuple(_box(cell.label, "tray", cell.rows) for cell in tray.cells), tuple(others)


def _called(place: str, rows: Sequence[LedgerRow]) -> str:
    """Return what a place is called: of a part that is away only the name of who has it may be known."""
    away = any(row.where == "waiting" for row in rows) and not _SOAKS.search(place)
    return f"waits: {place}" if away and not re.match(r"(?:at|on|in|with)\s", place) else place


def _kind(place: str, rows: Sequence[LedgerRow]) -> Kind:
    if _SOAKS.search(place):
        return "solvent"
    return "away" if any(row.where == "waiting" for row in rows) else "tray"


def _box(label: str, kind: Kind, rows: Sequence[LedgerRow]) -> TrayBox:
    parts = tuple(f"{row.what}" for row in rows if not row.fastener)
    fasteners = tuple(f"{row.count} × {row.what}" for row in rows if row.fastener)
    if kind == "missing":
        fasteners = tuple(f"{row.count} × {row.what} of {row.part}" for row in rows if row.fastener)
    return TrayBox(label, kind, parts, fasteners)


def tray_picture(account: Ledger, *, width: Width = "wide") -> Picture:
    """Return the tray with what lies in each compartment, and beneath it what soaks, is away, or is missing."""
    cells, others = tray_boxes(account)
    rows = [*_tray_rows(tray_map(account), cells, width), *_in_rows(others, _MOST_COLUMNS[width])]
    laid = [_Laid(row, width) for row in rows] or [_Laid([TrayBox("", "empty", ("nothing is off",))], width)]
    height = sum(one.height + _GAP for one in laid) + 2 * _EDGE
    figure, axes = board(width=width, height=height)
    top = height - _EDGE
    for one in laid:
        one.draw(axes, top)
        top -= one.height + _GAP
    return Picture(figure, "tray", width, "The tray", _described((*cells, *others)))


def _described(boxes: Sequence[TrayBox]) -> str:
    told = (f"{one.label}: {', '.join((*one.parts, *one.fasteners))}" for one in boxes)
    return "; ".join(told) or "nothing is off"


def _tray_rows(tray: TrayMap, cells: Sequence[TrayBox], width: Width) -> Iterator[list[TrayBox]]:
    """Yield the compartments as they lie, those empty between them too, where the tray is not too wide to be drawn."""
    _, columns = tray.size
    most = _MOST_COLUMNS[width]
    by_row: dict[str, dict[int, TrayBox]] = {}
    for cell, drawn_box in zip(tray.cells, cells, strict=True):
        by_row.setdefault(cell.row, {})[cell.column] = drawn_box
    for row, held in by_row.items():
        if columns <= most:
            yield [held.get(n, TrayBox(f"{row}{n}", "empty")) for n in range(1, columns + 1)]
        else:
            yield from _in_rows(list(held.values()), most)


def _in_rows(boxes: Sequence[TrayBox], most: int) -> Iterator[list[TrayBox]]:
    for n in range(0, len(boxes), most):
        yield list(boxes[n : n + most])


class _Laid:
    """A row of boxes, their texts broken into lines that fit."""

    def __init__(self, boxes: Sequence[TrayBox], width: Width) -> None:
        self.width: Width = width
        self.boxes = boxes
        self.size = TEXT_SIZES[width] * (1.2 if width == "wide" else 1.0)
        self.across = max(len(boxes), _MOST_COLUMNS[width] if width != "narrow" else 2)
        self.box_width = (WIDTHS[width] - 2 * _EDGE - (self.across - 1) * _GAP) / self.across
        self.texts = [self._texts(one) for one in boxes]
        lines = max((len(texts) for texts in self.texts), default=0)
        self.height = (1.35 * lines + 0.7) * self.size

    def _texts(self, one: TrayBox) -> list[tuple[str, str, str]]:
        letters = max(6, int((self.box_width - 12) / (0.6 * self.size)))
        rust = "found" if one.kind in ("missing", "nowhere") else "soft" if one.kind == "empty" else "ink"
        texts = [(text, rust, "bold") for text in textwrap.wrap(one.label, letters)]
        for part in one.parts:
            texts += [(text, "ink", "normal") for text in textwrap.wrap(part, letters)]
        for group in one.fasteners:
            texts += [(text, "soft", "normal") for text in textwrap.wrap(group, letters)]
        return texts

    def draw(self, axes: Axes, top: float) -> None:
        """Draw the row with its upper edge at `top`."""
        for n, (one, texts) in enumerate(zip(self.boxes, self.texts, strict=True)):
            left = _EDGE + n * (self.box_width + _GAP)
            fill, edge, weight = _LOOKS[one.kind]
            right, bottom = left + self.box_width, top - self.height
            corners = [(left, bottom), (right, bottom), (right, top), (left, top)]
            shape(axes, corners, fill=fill, edge=edge, weight=weight)
            for row, (text, colour, thick) in enumerate(texts):
                y = top - (0.35 + 1.35 * row + 0.67) * self.size
                write(axes, (left + 7, y), text, width=self.width, colour=colour, weight=thick)


# --- the count ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class ScrewCount:
    """One sort of fastener: how many came off and where they are now."""

    sort: str
    back: int
    on_tray: int
    missing: int

    @property
    def off(self) -> int:
        """How many came off in all."""
        return self.back + self.on_tray + self.missing

    def __str__(self) -> str:
        told = [f"{self.back} in the camera", f"{self.on_tray} on the tray"]
        told += [f"{self.missing} missing"] if self.missing else []
        return f"{self.sort}: {self.off} off, {', '.join(told)}"


def screw_counts(account: Ledger) -> tuple[ScrewCount, ...]:
    """Return every sort of fastener, by thread and length, with how many are where."""
    return tuple(
        ScrewCount(sort, counts["camera"], counts["tray"] + counts["waiting"], counts["missing"])
        for sort, counts in account.by_sort().items()
    )


def screws_picture(account: Ledger, *, width: Width = "wide") -> Picture:
    """Return a mark for every fastener: filled in the camera, open on the tray, crossed where it is missing."""
    counts = screw_counts(account)
    size = TEXT_SIZES[width] * (1.2 if width == "wide" else 1.0)
    # On a desk the marks stand beside the name, on a telephone beneath it; the count stands at the right of them.
    beside = width != "narrow"
    first = 0.45 * WIDTHS[width] if beside else _EDGE
    per_line = max(1, int((0.8 * WIDTHS[width] - first) / (1.5 * size)))
    heights = [(1.5 * -(-one.off // per_line) + (0.4 if beside else 1.9)) * size for one in counts]
    height = sum(heights) + 2.2 * size + 2 * _EDGE
    figure, axes = board(width=width, height=height)
    top = height - _EDGE
    _legend(axes, top - 0.8 * size, size, width)
    top -= 2.0 * size
    for one, high in zip(counts, heights, strict=True):
        colour = "found" if one.missing else "ink"
        y = top - 0.75 * size
        write(axes, (_EDGE, y), one.sort, width=width, colour=colour)
        y -= 0 if beside else 1.45 * size
        told = f"{one.missing} missing" if one.missing else f"{one.back} of {one.off}"
        write(axes, (WIDTHS[width] - _EDGE, y), told, width=width, ha="right", colour=colour, weight="bold")
        _marks(axes, one, (first, y), size, per_line)
        top -= high
    described = "; ".join(map(str, counts)) or "no fastener came off"
    return Picture(figure, "screws", width, "Every fastener, off and back", described)


def _legend(axes: Axes, y: float, size: float, width: Width) -> None:
    x = _EDGE
    for kind, words in (("back", "in the camera"), ("tray", "on the tray"), ("missing", "missing")):
        _mark(axes, x + 0.5 * size, y, kind, size)
        write(axes, (x + 1.4 * size, y), words, width=width, colour="soft")
        x += (2.6 + 0.58 * len(words)) * size


def _marks(axes: Axes, one: ScrewCount, at: Point, size: float, per_line: int) -> None:
    kinds = ["back"] * one.back + ["tray"] * one.on_tray + ["missing"] * one.missing
    for n, kind in enumerate(kinds):
        row, column = divmod(n, per_line)
        _mark(axes, at[0] + (0.5 + 1.5 * column) * size, at[1] - 1.5 * row * size, kind, size)


def _mark(axes: Axes, x: float, y: float, kind: str, size: float) -> None:
    """Draw a screw's head with its slot: filled, open, or crossed out."""
    from matplotlib.patches import Circle

    radius = 0.48 * size
    fill, edge = {"back": ("bound", "bound"), "tray": ("paper", "ink"), "missing": ("paper", "found")}[kind]
    axes.add_patch(Circle((x, y), radius, facecolor=drawn(fill), edgecolor=drawn(edge), linewidth=1.6, zorder=4))
    slot = "paper" if kind == "back" else edge
    line(axes, [(x - 0.6 * radius, y), (x + 0.6 * radius, y)], colour=slot, weight=1.4, zorder=5)
    if kind == "missing":
        line(axes, [(x - radius, y - radius), (x + radius, y + radius)], colour="found", weight=2.0, zorder=6)
        line(axes, [(x - radius, y + radius), (x + radius, y - radius)], colour="found", weight=2.0, zorder=6)
