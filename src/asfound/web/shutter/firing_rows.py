"""Firings as the shutter page shows them: each time with what it means on the dial."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from asfound.quantity import show_number, show_time
from asfound.shutter import Firing, MarkedSpeed


@dataclass(frozen=True, slots=True, kw_only=True)
class FiringRow:
    """One firing of a recording."""

    number: int
    start: str
    time: str
    fraction: str
    plus_minus: str
    nearest: str
    total: str
    opening: str
    closing: str
    efficiency: str
    flags: tuple[str, ...]


def firing_row(number: int, firing: Firing, marked: Sequence[MarkedSpeed]) -> FiringRow:
    """Return a firing's row; the nearest marked speed gives its time a meaning."""
    best = firing.effective_s if firing.effective_s is not None else firing.open_s
    u = firing.u_effective_s if firing.effective_s is not None else firing.u_open_s
    time, fraction = split_time(show_time(best, max(u or 0.0, best / 1000)) if best else "")
    return FiringRow(
        number=number,
        start=f"{firing.start_s:.2f} s",
        time=time or "not measured",
        fraction=fraction,
        plus_minus=show_spread(u) if u else "",
        nearest=nearest(best, marked) if best else "",
        total=show_milliseconds(firing.total_open_s),
        opening=show_milliseconds(firing.opening_s),
        closing=show_milliseconds(firing.closing_s),
        efficiency=f"{100 * firing.efficiency:.0f} %" if firing.efficiency is not None else "",
        flags=tuple(flag.sentence for flag in firing.flags),
    )


def split_time(shown: str) -> tuple[str, str]:
    """Return a time as printed in two parts: "38.2 ms" and "1/26.2 s"."""
    time, _, fraction = shown.partition(" (")
    return time, fraction.removesuffix(")")


def nearest(time_s: float, marked: Sequence[MarkedSpeed]) -> str:
    """Return the marked speed nearest in stops, and how far off it is: "1/25, 0.12 stop slow"."""
    if not marked:
        return ""
    speed = min(marked, key=lambda speed: abs(math.log2(time_s / speed.nominal_s)))
    return f"{speed.mark}, {show_stops(math.log2(time_s / speed.nominal_s))}"


def show_stops(stops: float) -> str:
    """Return an error in stops with its way: "0.12 stop slow"."""
    if abs(stops) < 0.005:
        return "on the mark"
    return f"{abs(stops):.2f} stop {'slow' if stops > 0 else 'fast'}"


def show_milliseconds(time_s: float | None) -> str:
    """Return a short time in ms, or nothing where it is not known."""
    return "" if time_s is None else f"{show_number(time_s * 1e3)} ms"


def show_spread(standard_uncertainty_s: float) -> str:
    """Return a standard uncertainty: "± 0.08 ms"."""
    return f"± {show_number(standard_uncertainty_s * 1e3, significant=2)} ms"
