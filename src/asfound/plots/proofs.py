"""The proof list as a board of tiles: a row to each group, a tile to each proof, its sign saying how it stands."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes

from asfound.job.proving import GROUPS, ProofLine, Standing
from asfound.plots.board import board, line, shape, write
from asfound.plots.picture import TEXT_SIZES, WIDTHS, Picture, Width

SIGNS: dict[Standing, str] = {
    "within": "✓",
    "outside": "✕",
    "cannot tell": "?",
    "stale": "!",
    "not applicable": "–",
    "later": "…",
    "open": " ",
    "not said yet": " ",
}
# Fill, edge and letters of a tile: told apart by sign and outline, in black ink too.
_LOOKS: dict[Standing, tuple[str | None, str, str]] = {
    "within": ("band", "bound", "ink"),
    "outside": ("paper", "found", "found"),
    "cannot tell": ("paper", "left", "ink"),
    "stale": ("paper", "found", "stale"),
    "not applicable": (None, "grid", "stale"),
    "later": (None, "soft", "ink"),
    "open": (None, "soft", "ink"),
    "not said yet": (None, "soft", "soft"),
}
_DASHED = ("later", "open", "not said yet", "stale")
_SHORT = {
    "setting ": "", "aperture ": "", "speed ": "", " light-tight": "", "scatter of erection": "scatter",
    "focusing effort": "effort", "distance scale": "scale", "near distance": "near", "film transport": "transport",
    "frame spacing": "spacing", "pressure plate": "plate", "parallelism": "parallel", "struts lock": "struts",
    "front holds": "holds",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Tile:
    text: str
    standing: Standing
    x: float
    row: int
    wide: float


def proofs_picture(lines: Sequence[ProofLine], *, width: Width = "wide") -> Picture:
    """Return the picture of a proof list."""
    letter = TEXT_SIZES[width] * (1.2 if width == "wide" else 1.0)
    step = 2.7 * letter
    left = 0.0 if width == "narrow" else 9.6 * letter
    tiles: list[_Tile] = []
    heads: list[tuple[str, int]] = []
    row = 0
    for group, name in GROUPS.items():
        inside = [one for one in lines if one.wanted.group == group]
        if inside:
            heads.append((name, row))
            row += width == "narrow"
            laid = tuple(_laid(inside, left, row, WIDTHS[width], letter))
            tiles += laid
            row = laid[-1].row + 1
    height = row * step + 0.4 * letter
    figure, axes = board(width=width, height=height)
    for name, at in heads:
        write(axes, (1, _y(at, height, step)), name, width=width, colour="soft")
    for tile in tiles:
        _draw(axes, tile, _y(tile.row, height, step), 0.82 * step, width)
    return Picture(figure, "proofs", width, "How each proof stands", _said(lines))


def _y(row: int, height: float, step: float) -> float:
    return height - (row + 0.55) * step


def _laid(lines: Iterable[ProofLine], left: float, row: int, right: float, letter: float) -> Iterable[_Tile]:
    x = left
    for one in lines:
        text = _drawable(_short(one.name))
        wide = (0.63 * len(text) + 2.5) * letter
        if x + wide > right and x > left:
            x, row = left, row + 1
        yield _Tile(text, one.standing, x, row, wide)
        x += wide + 0.5 * letter


def _short(name: str) -> str:
    for long, short in _SHORT.items():
        name = name.replace(long, short)
    return name if len(name) <= 16 else name[:15] + "…"


def _drawable(text: str) -> str:
    """Return a text with a dot for each letter that the drawing's face lacks: never an empty box."""
    from matplotlib.font_manager import findfont, get_font

    have = get_font(findfont("DejaVu Sans")).get_charmap()
    return "".join(letter if ord(letter) in have else "·" for letter in text)


def _draw(axes: Axes, tile: _Tile, y: float, tall: float, width: Width) -> None:
    fill, edge, ink = _LOOKS[tile.standing]
    low, high, right = y - tall / 2, y + tall / 2, tile.x + tile.wide
    corners = [(tile.x + 1, low), (right, low), (right, high), (tile.x + 1, high)]
    dashed = tile.standing in _DASHED
    shape(axes, corners, fill=fill, edge=None if dashed else edge, weight=2.2 if tile.standing == "outside" else 1.2)
    if dashed:
        line(axes, [*corners, corners[0]], colour=edge, weight=1.2, dashes=(3, 2.4))
    sign = SIGNS[tile.standing].strip()
    letter = TEXT_SIZES[width] * (1.2 if width == "wide" else 1.0)
    if sign:
        colour = "bound" if tile.standing == "within" else edge if tile.standing != "not applicable" else "stale"
        write(axes, (tile.x + 0.55 * letter, y), sign, width=width, colour=colour, weight="bold")
    at = tile.x + (1.75 * letter if sign else 0.9 * letter)
    write(axes, (at, y), tile.text, width=width, colour=ink)


def _said(lines: Sequence[ProofLine]) -> str:
    by_standing: dict[str, list[str]] = {}
    for one in lines:
        by_standing.setdefault(one.standing, []).append(one.name)
    return "; ".join(f"{standing}: {', '.join(names)}" for standing, names in by_standing.items())
