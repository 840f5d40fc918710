"""Effort over the travel of a helical: each state a curve, where the ring rubs, and the scuff marks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asfound.focus import EffortCurve, EffortFinding, Rub
from asfound.plots.palette import drawn
from asfound.plots.picture import TEXT_SIZES, Picture, Width, legend_above, make_axes

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

COVERAGE_FACTOR = 2.0  # what is drawn either side of a mean, in standard uncertainties
_LOOKS = {"dirty": ("soft", "s"), "dry": ("found", "o"), "greased": ("left", "D")}


def effort_picture(finding: EffortFinding, *, width: Width = "wide") -> Picture:
    """Return the force over the travel, both ways averaged; the ring off is dashed and hollow."""
    states = len(finding.curves)
    figure, axes = make_axes(width=width, height={"narrow": 300.0 + 18 * states, "wide": 370.0, "print": 210.0}[width])
    size = TEXT_SIZES[width] * 0.55
    _zones(axes, finding)
    for curve in finding.curves:
        _curve(axes, curve, size)
    axes.set_ylim(bottom=0)
    _scuffs(axes, finding.scuffs, size)
    axes.grid(visible=True, axis="y", zorder=0)
    axes.set_axisbelow(True)
    axes.set_xlabel("position: infinity to the close end")
    axes.set_ylabel("force at the lever, N")
    legend_above(axes, width=width, columns=2 if width == "narrow" else 4)
    return Picture(figure, "effort", width, "Effort over the travel", _said(finding))


def _curve(axes: Axes, curve: EffortCurve, size: float) -> None:
    colour, marker = _LOOKS[curve.surface]
    on = curve.ring == "on"
    axes.errorbar(
        curve.positions, curve.force_n, yerr=[COVERAGE_FACTOR * u for u in curve.u_force_n], color=drawn(colour),
        linestyle="-" if on else (0, (4, 2)), linewidth=size * 0.3, marker=marker, markersize=size,
        markerfacecolor=drawn(colour) if on else drawn("paper"), markeredgewidth=size * 0.2, elinewidth=size * 0.15,
        capsize=size * 0.35, zorder=5, label=f"{curve.surface}, ring {curve.ring}",
    )  # fmt: skip


def _zones(axes: Axes, finding: EffortFinding) -> None:
    label = "ring rubs"
    half = _half_step(finding)
    for rub in finding.rubs[-1:]:
        for zone in rub.zones:
            axes.axvspan(zone.first - half, zone.last + half, color=drawn("area"), linewidth=0, zorder=0.5, label=label)
            label = "_"
    label = "thread stiff"
    for zone in finding.stiff:
        axes.axvspan(zone.first - half, zone.last + half, color=drawn("grid"), linewidth=0, zorder=0.6, label=label)
        label = "_"


def _half_step(finding: EffortFinding) -> float:
    positions = finding.curves[0].positions
    return (positions[-1] - positions[0]) / (len(positions) - 1) / 2


def _scuffs(axes: Axes, scuffs: Sequence[float], size: float) -> None:
    if scuffs:
        foot = [0.03 * axes.get_ylim()[1]] * len(scuffs)
        axes.plot(scuffs, foot, linestyle="", marker="^", markersize=size * 1.4, color=drawn("ink"), zorder=7,
                  label="scuff mark")  # fmt: skip


def rub_picture(rub: Rub, *, scuffs: Sequence[float] = (), width: Width = "wide") -> Picture:
    """Return ring on less ring off in one state, a bar to each position: what the ring alone asks for."""
    figure, axes = make_axes(width=width, height={"narrow": 230.0, "wide": 240.0, "print": 150.0}[width])
    step = (rub.positions[-1] - rub.positions[0]) / (len(rub.positions) - 1)
    high = [any(zone.first <= at <= zone.last for zone in rub.zones) for at in rub.positions]
    size = TEXT_SIZES[width] * 0.55
    axes.bar(
        rub.positions, rub.rub_n, width=0.6 * step, yerr=[COVERAGE_FACTOR * u for u in rub.u_rub_n], capsize=size * 0.5,
        color=[drawn("found") if one else drawn("area") for one in high], ecolor=drawn("ink"), zorder=3,
    )  # fmt: skip
    axes.axhline(0, color=drawn("soft"), linewidth=1, zorder=2)
    if scuffs:
        low = min(0.0, axes.get_ylim()[0])
        axes.plot(scuffs, [low] * len(scuffs), linestyle="", marker="^", markersize=size * 1.4, color=drawn("ink"),
                  clip_on=False, zorder=7, label="scuff mark")  # fmt: skip
        legend_above(axes, width=width, columns=2)
    axes.grid(visible=True, axis="y", zorder=0)
    axes.set_axisbelow(True)
    axes.set_xlabel("position")
    axes.set_ylabel("ring alone, N")
    said = " ".join(f"At {at:g}: {force:+.2f} N." for at, force in zip(rub.positions, rub.rub_n, strict=True))
    return Picture(figure, "rub", width, f"Ring on less ring off, {rub.surface}", said)


def _said(finding: EffortFinding) -> str:
    curves = [
        f"{c.surface}, ring {c.ring}: {min(c.force_n):.2f} to {max(c.force_n):.2f} N over {len(c.positions)} positions."
        for c in finding.curves
    ]
    return " ".join([*curves, f"{finding.advice.capitalize()}."])
