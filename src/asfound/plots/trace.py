"""One firing as the sensor saw it: its levels, the half-level crossings, and the effective time as an area."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from asfound.plots.envelope import envelope
from asfound.plots.palette import drawn
from asfound.plots.picture import TEXT_SIZES, WIDTHS, Picture, Width, legend_above, make_axes
from asfound.quantity import show_time
from asfound.shutter.timing.firing import Firing

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from numpy.typing import NDArray

_LIGHT = {False: "light on the sensor", True: "light on the sensor (the input droops)"}


def trace_picture(
    firing: Firing,
    *,
    samples: NDArray[np.floating],
    sample_rate_hz: float,
    start_s: float,
    width: Width = "wide",
) -> Picture:
    """Return the picture of one firing.

    The shaded rectangle is as high as the plateau and as wide as the effective time: it holds the light that
    the film got. It is drawn in the middle between the half-level crossings, and left out where the firing
    does not know its effective time or its levels.

    Parameters
    ----------
    firing : Firing
        As measured; what it does not know is left out of the picture.
    samples : array of float, shape (n,)
        The recording around the firing.
    start_s : float
        Time of the first of these samples, on the scale of ``firing.start_s``.
    """
    figure, axes = make_axes(width=width, height={"narrow": 260.0, "wide": 380.0, "print": 180.0}[width])
    unit, scale = _time_scale(len(samples) / sample_rate_hz)
    zero_s = firing.start_s
    lines = envelope(samples, sample_rate_hz=sample_rate_hz, start_s=start_s - zero_s, columns=int(WIDTHS[width]))
    times = lines.times_s * scale
    size = TEXT_SIZES[width]
    axes.fill_between(times, lines.lowest, lines.highest, color=drawn("left"), linewidth=0, zorder=4)
    middle = (lines.lowest + lines.highest) / 2
    axes.plot(times, middle, color=drawn("left"), linewidth=size / 9, zorder=4, label=_LIGHT[bool(firing.coupling_hz)])
    crossings = half_level_crossings(firing, samples, sample_rate_hz=sample_rate_hz, start_s=start_s)
    _levels(axes, firing, size)
    if crossings is not None:
        at = ((crossings[0] - zero_s) * scale, (crossings[1] - zero_s) * scale)
        _half_level(axes, firing, at, size)
        _effective(axes, firing, sum(at) / 2, scale)
    axes.set_xlabel(f"{unit} from first light")
    axes.set_ylabel("level, full scale 1")
    axes.margins(x=0.01, y=0.1)
    axes.locator_params(axis="x", nbins=6 if width == "narrow" else 11)
    axes.locator_params(axis="y", nbins=6)
    legend_above(axes, width=width, columns=1 if width == "narrow" else 3)
    return Picture(figure, "trace", width, f"Firing at {firing.start_s:.3f} s of the recording", _said(firing))


def half_level_crossings(
    firing: Firing, samples: NDArray[np.floating], *, sample_rate_hz: float, start_s: float
) -> tuple[float, float] | None:
    """Return the times of the two half-level crossings, or None where the levels are not known.

    The first is read off the samples, by a straight line between the two around it. The second follows by the
    half-level time that was measured, since a plateau that droops on a sound input would mislead.
    """
    if not firing.plateau or firing.base is None or firing.half_level_s is None:
        return None
    rise = (np.asarray(samples, dtype=np.float64) - firing.base) / firing.plateau
    above = np.flatnonzero(rise >= 0.5)
    if not len(above):
        return None
    first = int(above[0])
    before = rise[first - 1] if first else 0.5
    share = 0.0 if rise[first] == before else (rise[first] - 0.5) / (rise[first] - before)
    opened_s = start_s + (first - share) / sample_rate_hz
    return opened_s, opened_s + firing.half_level_s


def _time_scale(duration_s: float) -> tuple[str, float]:
    return ("s", 1.0) if duration_s >= 1 else ("ms", 1e3)


def _levels(axes: Axes, firing: Firing, size: float) -> None:
    if firing.base is None or firing.plateau is None:
        return
    for level, name in ((firing.base, "dark"), (firing.base + firing.plateau, "fully open")):
        axes.axhline(level, color=drawn("soft"), linewidth=0.9, linestyle=(0, (5, 4)), zorder=3)
        axes.annotate(
            name, (1, level), xycoords=("axes fraction", "data"), xytext=(0, 4), textcoords="offset points",
            ha="right", va="bottom", color=drawn("soft"), fontsize=size, zorder=7,
            bbox={"boxstyle": "square,pad=0.1", "facecolor": drawn("paper"), "linewidth": 0},
        )  # fmt: skip


def _half_level(axes: Axes, firing: Firing, at: tuple[float, float], size: float) -> None:
    assert firing.base is not None
    assert firing.plateau is not None
    assert firing.half_level_s is not None
    half = firing.base + firing.plateau / 2
    axes.plot(
        at, (half, half), color=drawn("found"), marker="o", markerfacecolor=drawn("paper"), markersize=size * 0.55,
        markeredgewidth=size * 0.12, linewidth=size * 0.1, zorder=6,
        label=f"half level {show_time(firing.half_level_s)}",
    )  # fmt: skip


def _effective(axes: Axes, firing: Firing, middle: float, scale: float) -> None:
    if firing.effective_s is None:
        return
    assert firing.base is not None
    assert firing.plateau is not None
    half = firing.effective_s * scale / 2
    axes.fill_between(
        (middle - half, middle + half), firing.base, firing.base + firing.plateau, color=drawn("area"),
        linewidth=0, zorder=1, label=f"effective {show_time(firing.effective_s, firing.u_effective_s)}",
    )  # fmt: skip


def _said(firing: Firing) -> str:
    known = (
        ("Effective time", firing.effective_s),
        ("half-level time", firing.half_level_s),
        ("total open time", firing.total_open_s),
        ("opening", firing.opening_s),
        ("closing", firing.closing_s),
    )
    times = ", ".join(f"{name} {show_time(value)}" for name, value in known if value is not None)
    return (
        ". ".join([times or "No time could be measured", *(flag.sentence.rstrip(".") for flag in firing.flags)]) + "."
    )
