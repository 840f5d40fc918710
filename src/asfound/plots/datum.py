"""An error along the axis against the focus budget; and the spacers under the lens."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from asfound.focus import FocusBudget
from asfound.plots.board import arrow, board, box, line, shape, write
from asfound.plots.palette import drawn
from asfound.plots.picture import TEXT_SIZES, WIDTHS, Picture, Width, legend_above, make_axes
from asfound.quantity import Reading, show_reading

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

COVERAGE_FACTOR = 2.0  # what is drawn either side of a measured value, in standard uncertainties


def off_picture(
    errors: Sequence[tuple[str, Reading]],
    *,
    budget: FocusBudget | None = None,
    across: str = "lens off its datum, mm",
    width: Width = "wide",
) -> Picture:
    """Return errors along the axis, one below the other, the budget shaded behind them.

    Parameters
    ----------
    errors : sequence of (name, Reading in mm)
        Positive when the lens stands too far out: to the right.
    """
    step = {"narrow": 40.0, "wide": 40.0, "print": 22.0}[width]
    figure, axes = make_axes(width=width, height=96 + step * len(errors))
    if budget is not None:
        half = budget.half_width_mm
        axes.axvspan(-half, half, color=drawn("band"), linewidth=0, zorder=0.5, label="focus budget")
    axes.axvline(0, color=drawn("bound"), linewidth=2, zorder=2)
    size, reach = TEXT_SIZES[width] * 0.7, 1.2 * (budget.half_width_mm if budget else 0.0)
    for place, (_, error) in enumerate(errors):
        value, bar = error.value or 0.0, COVERAGE_FACTOR * (error.standard_uncertainty or 0.0)
        reach = max(reach, 1.15 * (abs(value) + bar))
        last = place == len(errors) - 1
        axes.errorbar(
            [value], [place], xerr=[bar], linestyle="", marker="o", markersize=size,
            color=drawn("found" if last else "left"), elinewidth=size * 0.25, capsize=size * 0.6, zorder=6,
            label="error, ± 2 u" if last else "_",
        )  # fmt: skip
    _scales(axes, [name for name, _ in errors], reach or 0.1, across, width)
    legend_above(axes, width=width, columns=2)
    said = " ".join(f"{name}: {show_reading(error)}." for name, error in errors)
    if budget is not None:
        said += f" Focus budget: plus or minus {budget.half_width_mm:.3g} mm."
    return Picture(figure, "datum", width, "The error along the axis and the focus budget", said)


def _scales(axes: Axes, names: Sequence[str], reach: float, across: str, width: Width) -> None:
    axes.set_xlim(-reach, reach)
    axes.set_ylim(len(names) - 0.4, -0.6)
    axes.set_yticks(range(len(names)), labels=list(names))
    axes.tick_params(axis="y", length=0)
    axes.grid(visible=True, axis="x", zorder=0)
    axes.set_axisbelow(True)
    axes.locator_params(axis="x", nbins=5 if width == "narrow" else 9)
    axes.set_xlabel(f"too far in  ←  {across}  →  too far out" if width != "narrow" else f"{across}; + too far out")


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """A spacer in the stack under the lens, or one that should be there."""

    name: str
    thickness_mm: tuple[float, float, float]
    belongs: bool = True
    present: bool = True


def stack_picture(layers: Sequence[Layer], *, width: Width = "wide") -> Picture:
    """Return the spacers as they lie, the lens above and the body below, thickness much magnified.

    Each is cut through its first point and the middle of the other two, so that its wedge is seen; what is missing
    is dashed, what does not belong is drawn in the colour of an error.
    """
    step = {"narrow": 52.0, "wide": 56.0, "print": 30.0}[width]
    text, across = TEXT_SIZES[width], WIDTHS[width]
    foot, height = 1.9 * text, 0.0
    scale = step / max(max(one.thickness_mm) for one in layers)
    tall = [max(1.7 * text, scale * max(one.thickness_mm)) for one in layers]
    height = foot + sum(tall) + 3 * len(layers) + 3.6 * text
    figure, axes = board(width=width, height=height)
    left, right = 0.03 * across, (0.3 if width == "narrow" else 0.42) * across
    line(axes, [(left, foot), (right, foot)], weight=4)
    write(axes, (left, foot - 0.95 * text), "body", width=width, colour="soft")
    y = foot + 3
    for one, high in zip(layers, tall, strict=True):
        _layer(axes, one, (left, y), (right - left, high), width)
        y += high + 3
    line(axes, [(left, y), (right, y)], weight=4)
    write(axes, (left, y + 0.95 * text), "lens; thickness magnified", width=width, colour="soft")
    return Picture(figure, "spacers", width, "The spacers under the lens", _said(layers))


def _layer(axes: Axes, one: Layer, at: tuple[float, float], size: tuple[float, float], width: Width) -> None:
    (x, y), (wide, high) = at, size
    first, second, third = one.thickness_mm
    most = max(one.thickness_mm)
    # A wedge of a few hundredths would not be seen: its slope is drawn ten times.
    lean = min(1.0, 10 * abs(first - (second + third) / 2) / most)
    thin = high * (1 - 0.6 * lean)
    near, far = (high, thin) if first >= (second + third) / 2 else (thin, high)
    corners = [(x, y), (x + wide, y), (x + wide, y + far), (x, y + near)]
    if one.present:
        shape(
            axes, corners, fill="area" if one.belongs else "paper", edge="ink" if one.belongs else "found", weight=1.8
        )
    else:
        line(axes, [*corners, corners[0]], colour="found", weight=1.8, dashes=(4, 3))
    told = ", missing" if not one.present else ", does not belong" if not one.belongs else ""
    mean = sum(one.thickness_mm) / 3
    write(
        axes, (x + wide + 10, y + high / 2), f"{one.name[:22]}  {mean:.3f} mm{told}", width=width,
        colour="found" if told else "ink",
    )  # fmt: skip


def _said(layers: Sequence[Layer]) -> str:
    words = []
    for one in layers:
        told = " missing" if not one.present else " does not belong" if not one.belongs else ""
        words.append(f"{one.name}{told}: {', '.join(f'{t:.3f}' for t in one.thickness_mm)} mm.")
    return " ".join(words)


def leaves_picture(
    stacks: Sequence[tuple[tuple[float, ...], float]], wanted_mm: float, *, width: Width = "wide"
) -> Picture:
    """Return the stacks that the drawer can make, each a bar of its leaves, against the thickness wanted."""
    step = {"narrow": 40.0, "wide": 40.0, "print": 22.0}[width]
    text, across = TEXT_SIZES[width], WIDTHS[width]
    height = step * len(stacks) + 3.6 * text
    figure, axes = board(width=width, height=height)
    left, right = 14.0, 0.86 * across
    scale = (right - left) / max(wanted_mm, *(sum(leaves) for leaves, _ in stacks))
    for n, (leaves, rest) in enumerate(stacks):
        x, y = left, height - (n + 1) * step
        for leaf in leaves:
            box(axes, (x, y), (scale * leaf, 0.72 * step), fill="area")
            name = f"{leaf:g}"
            if scale * leaf > 0.62 * text * len(name) + 4:
                write(axes, (x + scale * leaf / 2, y + 0.36 * step), name, width=width, ha="center")
            x += scale * leaf
        told = f"{round(rest, 3) + 0.0:+.3f}".replace("-", "−")
        write(axes, (max(x, left + scale * wanted_mm) + 8, y + 0.36 * step), told, width=width, colour="soft")
    at = left + scale * wanted_mm
    line(axes, [(at, 1.9 * text), (at, height)], colour="found", weight=2.2, dashes=(5, 3))
    arrow(axes, (left, 1.6 * text), (at, 1.6 * text), both=True)
    told = f"wanted {wanted_mm:.3f} mm; right: left over"
    write(axes, (at, 0.65 * text), told, width=width, ha="right" if at > 0.6 * across else "left", colour="found")
    said = " ".join(
        f"{' + '.join(f'{leaf:g}' for leaf in leaves)} mm leaves {round(rest, 3) + 0.0:+.3f} mm."
        for leaves, rest in stacks
    )
    return Picture(figure, "leaves", width, "Leaves of the drawer that make up the shim", said)
