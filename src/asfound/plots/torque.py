"""Torque over the angle of a lever: springs as curves, what was measured as points, what is needed as a bar below."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from asfound.plots.palette import drawn
from asfound.plots.picture import TEXT_SIZES, Picture, Width, legend_above, make_axes, say_instead
from asfound.springs import TorqueCurve

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

# What is drawn either side of a measured torque: two standard uncertainties (JCGM 100:2008, G.6.6, from memory).
COVERAGE_FACTOR = 2.0
_TITLE = "Torque over angle"
_HEIGHTS = {"narrow": 330.0, "wide": 380.0, "print": 210.0}
# The spring as it came first, then what would be; told apart by their dashes where there is no colour.
_LATER = (("left", "solid"), ("soft", (0, (1, 1.6))), ("bound", (0, (6, 2, 1, 2))))


@dataclass(frozen=True, slots=True, kw_only=True)
class TorqueMark:
    """A torque at one angle: measured, with its standard uncertainty, or needed."""

    angle_deg: float
    torque_n_mm: float
    u_n_mm: float = 0.0
    name: str = ""


def torque_picture(
    curves: Sequence[TorqueCurve],
    *,
    measured: Sequence[TorqueMark] = (),
    needed: Sequence[TorqueMark] = (),
    limit_n_mm: float | None = None,
    across: str = "angle wound from free, degrees",
    width: Width = "wide",
) -> Picture:
    """Return the picture of torque curves.

    Parameters
    ----------
    curves : sequence of TorqueCurve
        One named "as found" is drawn as the old one, the others as what would be, in their order.
    measured, needed : sequence of TorqueMark
        Points with bars, and bars that the curves must stay above.
    limit_n_mm : float or None
        Torque at which the wire yields.
    across : str
        What the angle is counted from.
    """
    figure, axes = make_axes(width=width, height=_HEIGHTS[width])
    if not curves and not measured:
        say_instead(axes, "No spring to be drawn.")
        return Picture(figure, "torque", width, _TITLE, "No spring to be drawn.")
    line = TEXT_SIZES[width] * 0.19
    _curves(axes, curves, line)
    _measured(axes, measured, TEXT_SIZES[width] * 0.6)
    _needed(axes, needed, curves, line)
    if limit_n_mm is not None:
        _limit(axes, limit_n_mm, curves)
    _scales(axes, across)
    legend_above(axes, width=width, columns=1 if width == "narrow" else 4)
    return Picture(figure, "torque", width, _TITLE, _said(curves, measured, needed))


def _curves(axes: Axes, curves: Sequence[TorqueCurve], line: float) -> None:
    later = iter(_LATER * len(curves))
    for curve in curves:
        found = curve.name == "as found"
        colour, dashes = ("found", (0, (5, 2))) if found else next(later)
        axes.plot(
            curve.angles_deg, curve.torques_n_mm, color=drawn(colour), linestyle=dashes, linewidth=line,
            label=curve.name or "spring", zorder=4, solid_capstyle="round",
        )  # fmt: skip


def _measured(axes: Axes, marks: Sequence[TorqueMark], size: float) -> None:
    for n, name in enumerate(dict.fromkeys(mark.name for mark in marks)):
        these = [mark for mark in marks if mark.name == name]
        colour = drawn(("found", "left", "soft")[n % 3])
        axes.errorbar(
            [mark.angle_deg for mark in these], [mark.torque_n_mm for mark in these],
            yerr=[COVERAGE_FACTOR * mark.u_n_mm for mark in these], linestyle="", marker="oDs"[n % 3], markersize=size,
            markerfacecolor=drawn("paper") if n == 0 else colour, markeredgecolor=colour, markeredgewidth=size * 0.2,
            ecolor=colour, elinewidth=size * 0.2, capsize=size * 0.4, label=_label(name, these), zorder=5,
        )  # fmt: skip


def _label(name: str, marks: Sequence[TorqueMark]) -> str:
    return (name or "measured") + (", ± 2 u" if any(mark.u_n_mm for mark in marks) else "")


def _needed(axes: Axes, marks: Sequence[TorqueMark], curves: Sequence[TorqueCurve], line: float) -> None:
    """Draw what is needed as a short bar, shaded down to nothing: a curve that enters it is too weak."""
    reach = [angle for curve in curves for angle in curve.angles_deg] + [mark.angle_deg for mark in marks]
    half = 0.04 * ((max(reach) - min(reach)) or 1.0) if reach else 1.0
    label = marks[0].name or "needed" if marks else ""
    for mark in marks:
        ends = (mark.angle_deg - half, mark.angle_deg + half)
        axes.fill_between(ends, 0, mark.torque_n_mm, color=drawn("band"), linewidth=0, zorder=1)
        axes.plot(ends, (mark.torque_n_mm,) * 2, color=drawn("bound"), linewidth=line, label=label, zorder=3)
        label = "_"


def _limit(axes: Axes, limit: float, curves: Sequence[TorqueCurve]) -> None:
    """Draw the torque at yield where it is near enough to matter: within twice the largest torque."""
    highest = max((torque for curve in curves for torque in curve.torques_n_mm), default=0.0)
    if 0 < limit <= 2 * highest:
        axes.axhline(limit, color=drawn("ink"), linewidth=1, linestyle=(0, (2, 2)), label="yield of the wire", zorder=2)


def _scales(axes: Axes, across: str) -> None:
    axes.set_ylim(bottom=min(0.0, axes.get_ylim()[0]))
    axes.grid(visible=True, zorder=0)
    axes.set_axisbelow(True)
    axes.set_xlabel(across)
    axes.set_ylabel("torque, N·mm")


def _said(curves: Sequence[TorqueCurve], measured: Sequence[TorqueMark], needed: Sequence[TorqueMark]) -> str:
    said = [
        f"{curve.name or 'Spring'}: {curve.torques_n_mm[0]:.3g} N·mm at {curve.angles_deg[0]:.0f} degrees to "
        f"{curve.torques_n_mm[-1]:.3g} N·mm at {curve.angles_deg[-1]:.0f} degrees."
        for curve in curves
    ]
    said += [
        f"Measured{' ' + m.name if m.name else ''}: {m.torque_n_mm:.3g} N·mm at {m.angle_deg:.0f}." for m in measured
    ]
    said += [f"Needed: {m.torque_n_mm:.3g} N·mm at {m.angle_deg:.0f} degrees." for m in needed]
    return " ".join(said)
