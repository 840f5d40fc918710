"""Effective times at smaller apertures, from one trace taken wide open."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from asfound.shutter.timing.coupling import Floats, falling_edge, rising_edge
from asfound.shutter.timing.firing import Firing, Flag
from asfound.shutter.timing.refine import Arrangement

POINTS = 4001


@dataclass(frozen=True, slots=True, kw_only=True)
class StoppedDown:
    """The effective time at one marked aperture.

    Attributes
    ----------
    aperture : float
        f-number.
    effective_s : float
    longer_stops : float
        Against the time wide open, in stops.
    error_stops : float or None
        Against the marked time, positive is slow; None where none was given.
    """

    aperture: float
    effective_s: float
    longer_stops: float
    error_stops: float | None


def stopped_down_time_s(
    time_s: Floats, brightness: NDArray[np.floating], *, wide_open: float, aperture: float
) -> float:
    """Return the effective time at an aperture from the brightness curve wide open.

    Parameters
    ----------
    time_s : ndarray, shape (n,)
        Rising.
    brightness : ndarray, shape (n,)
        Illuminance over its plateau, 0 to 1.
    wide_open, aperture : float
        f-numbers; `aperture` is at least `wide_open`.

    Notes
    -----
    t(N) = integral of min(1, e(t) (N/N0)^2) dt, for an opening that grows from the centre: while the blades
    leave less than the stop's own area free, all that light passes; from then on the stop is full
    (follows from the geometry; worked here).
    """
    gain = (aperture / wide_open) ** 2
    passed = np.clip(brightness * gain, 0.0, 1.0)
    return float(np.trapezoid(passed, time_s))


def stopped_down_table(
    firing: Firing,
    *,
    wide_open: float,
    apertures: Sequence[float],
    marked_s: float | None = None,
) -> tuple[StoppedDown, ...]:
    """Return the effective time of a firing at each aperture.

    Parameters
    ----------
    firing : Firing
        Measured wide open, with a known shape.
    wide_open : float
        The f-number that it was measured at.
    apertures : sequence of float
        The marked apertures, none wider.
    marked_s : float, optional
        The time that the dial stands for.

    Raises
    ------
    ValueError
        If the firing has no times, or an aperture is wider than the one measured at.
    """
    if firing.effective_s is None or firing.total_open_s is None:
        raise ValueError("this firing has no times")
    if any(aperture < wide_open * 0.999 for aperture in apertures):
        raise ValueError("an aperture is wider than the one measured at")
    time, brightness = brightness_curve(firing)
    # What the shapes do not tell (a free shape, a rebound) is kept as a constant at every aperture.
    rest = firing.effective_s - float(np.trapezoid(brightness, time))
    rows = []
    for aperture in apertures:
        at = rest + stopped_down_time_s(time, brightness, wide_open=wide_open, aperture=aperture)
        rows.append(
            StoppedDown(
                aperture=aperture,
                effective_s=at,
                longer_stops=math.log2(at / firing.effective_s),
                error_stops=None if marked_s is None else math.log2(at / marked_s),
            )
        )
    return tuple(rows)


def brightness_curve(firing: Firing) -> tuple[Floats, Floats]:
    """Return the fitted brightness of a firing, from first to last light."""
    opening, closing, total = firing.opening_s or 0.0, firing.closing_s or 0.0, firing.total_open_s or 0.0
    shapes = [shape if shape == "diameter" else "area" for shape in (*firing.shapes, "area", "area")]
    share = np.linspace(0, 1, POINTS)
    time = np.unique(np.concatenate([share * opening, total - share * closing]))
    curve = rising_edge(start_s=0.0, duration_s=opening, shape=shapes[0]) + falling_edge(
        end_s=total, duration_s=closing, shape=shapes[1]
    )
    return time, np.clip(curve.through(time), 0.0, 1.0)


def reason_to_withhold(firing: Firing, arrangement: Arrangement) -> str | None:
    """Return why no stopped-down table can be given, or None when it can.

    Only light from the whole pupil says how far the blades are open at each moment.
    """
    if not arrangement.whole_pupil:
        return "it is not said that the sensor sees the whole pupil"
    for flag in (Flag.PART_OF_PUPIL, Flag.CLIPPED, Flag.NEVER_CLOSES, Flag.TRUNCATED, Flag.PARTLY_OPEN):
        if flag in firing.flags:
            return f"the firing is flagged: {flag}"
    return None if firing.effective_s is not None else "the firing has no times"
