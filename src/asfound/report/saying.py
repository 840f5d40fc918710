"""How the report writes values, times, dates and tolerances."""

import datetime
import math
from collections.abc import Iterable

from asfound.job import Stamp
from asfound.quantity import CameraState, Reading, convert, show_number, show_reading, show_time
from asfound.quantity.tolerance import Tolerance

STATE_WORDS = {
    "dial": "dial setting ",
    "shutter": "shutter ",
    "aperture": "aperture f/",
    "focus": "focus ",
    "door": "door ",
    "struts": "struts ",
    "seated": "seated by ",
    "spacer": "spacer ",
    "surface": "surface ",
}


def say_reading(reading: Reading) -> str:
    """Return a reading with one standard uncertainty, or every digit where none is known; thou beside mm."""
    if reading.value is None:
        return show_reading(reading)
    u = reading.standard_uncertainty
    digits = f"{show_number(reading.value, u)} ± {show_number(u, u)}" if u else f"{reading.value:.7g}"
    unit = "" if reading.unit == "1" else f" {reading.unit}"
    return digits + unit + say_in_thou((reading.value,), reading.unit)


def say_tolerance(tolerance: Tolerance | None) -> str:
    """Return the allowed range, every digit of it, with thou beside mm."""
    if tolerance is None:
        return "no tolerance given"
    bounds = [bound for bound in (tolerance.lower, tolerance.upper) if bound is not None]
    if not bounds:
        return "no bound"
    if len(bounds) == 2 and abs(bounds[0] + bounds[1]) < 1e-9 * abs(bounds[1]):
        unit = "" if tolerance.unit == "1" else f" {tolerance.unit}"
        return f"± {bounds[1]:.4g}{unit}{say_in_thou(bounds[1:], tolerance.unit)}"
    words = "to" if len(bounds) == 2 else "at least" if tolerance.lower is not None else "at most"
    digits = [f"{bound:.7g}" for bound in bounds]
    text = " to ".join(digits) if words == "to" else f"{words} {digits[0]}"
    unit = "" if tolerance.unit == "1" else f" {tolerance.unit}"
    return text + unit + say_in_thou(bounds, tolerance.unit)


def say_in_thou(values: Iterable[float], unit: str) -> str:
    """Return values of mm in thou, in brackets; nothing for another unit."""
    if unit != "mm":
        return ""
    return " (" + " to ".join(f"{convert(value, 'mm', 'thou'):.1f}" for value in values) + " thou)"


def say_stops(error_stops: float, u_stops: float | None) -> str:
    """Return an error in stops with one standard uncertainty, rounded up."""
    plus_minus = "" if u_stops is None else f" ± {math.ceil(round(100 * u_stops, 6)) / 100:.2f}"
    return f"{error_stops:+.2f}{plus_minus}".replace("-", "−")


def say_speed(time_s: float) -> str:
    """Return a time as a photographer says it: "1/183 s", "1/5.4 s", "0.7 s"."""
    if time_s >= 0.3:
        return f"{time_s:.2g} s"
    return f"1/{1 / time_s:.0f} s" if time_s <= 0.1 else f"1/{1 / time_s:.2g} s"


def say_time(time_s: float) -> str:
    """Return a time as a bench reads it."""
    return show_time(time_s)


def say_state(state: CameraState) -> str:
    """Return the state of the camera, or that nobody wrote it down."""
    return str(state) or "state not written down"


def say_differences(found: CameraState, left: CameraState) -> str:
    """Return in what the two states differ: "surface dirty, then dry"; empty where nothing says that they do."""
    pairs = (
        f"{STATE_WORDS[name]}{_plain(getattr(found, name))}, then {_plain(getattr(left, name))}"
        for name in found.differences(left)
    )
    return "; ".join(pairs)


def _plain(value: str | float) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)


def say_day(stamp: Stamp) -> str:
    """Return the day of a stamp where this computer stands: "2026-11-25"."""
    return say_day_of(stamp.wall_ms)


def say_day_of(wall_ms: int) -> str:
    """Return the day of a moment in milliseconds since 1970 UTC, where this computer stands."""
    return f"{datetime.datetime.fromtimestamp(wall_ms / 1000, datetime.UTC).astimezone():%Y-%m-%d}"


def say_list(words: Iterable[str]) -> str:
    """Return words as a list in a sentence: "a, b and c"."""
    *most, last = list(words) or [""]
    return f"{', '.join(most)} and {last}" if most else last


def sentence(text: str) -> str:
    """Return the text with its first letter large."""
    return text[:1].upper() + text[1:]


def shorten(text: str, most: int) -> str:
    """Return the text on one line, cut at a word with an ellipsis where it is longer than allowed."""
    flat = " ".join(text.split())
    if len(flat) <= most:
        return flat
    head = flat[: most - 1]
    return (head.rpartition(" ")[0] if " " in head[most // 2 :] else head).rstrip(",;:. ") + "…"
