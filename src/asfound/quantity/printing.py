"""Numbers as a bench reads them: to the digit that their uncertainty allows, mm beside thou."""

import math

from asfound.quantity.reading import Reading
from asfound.quantity.units import UNITS, convert


def decimals(value: float, standard_uncertainty: float | None = None, *, significant: int = 3) -> int:
    """Return how many decimals to print: two digits of the uncertainty, else `significant` of the value."""
    if standard_uncertainty and math.isfinite(standard_uncertainty) and standard_uncertainty > 0:
        return max(0, 1 - math.floor(math.log10(standard_uncertainty)))
    if not value or not math.isfinite(value):
        return 0
    return max(0, significant - 1 - math.floor(math.log10(abs(value))))


def counted(number: int, one: str, more: str = "") -> str:
    """Return a number with what it counts: "1 job", "3 jobs", "2 tries"; `more` where an s does not make the plural."""
    return f"{number} {one if number == 1 else more or one + 's'}"


def show_number(value: float, standard_uncertainty: float | None = None, *, significant: int = 3) -> str:
    """Return the number rounded as `decimals` says; never an exponent, "-0" or more zeros than digits."""
    places = decimals(value, standard_uncertainty, significant=significant)
    text = f"{value:.{places}f}"
    return text.removeprefix("-") if float(text) == 0 else text


def show_length(value_mm: float, standard_uncertainty_mm: float | None = None) -> str:
    """Return a length in mm with thou beside it: "0.350 mm (13.8 thou)"."""
    thou = convert(value_mm, "mm", "thou")
    places = max(decimals(value_mm, standard_uncertainty_mm), 2)
    return f"{value_mm:.{places}f} mm ({thou:.1f} thou)"


def show_time(value_s: float, standard_uncertainty_s: float | None = None) -> str:
    """Return a time as a bench reads it: "38.2 ms (1/26.2 s)"; a second and longer in seconds."""
    if value_s >= 1:
        return f"{show_number(value_s, standard_uncertainty_s)} s"
    millis = show_number(value_s * 1e3, standard_uncertainty_s and standard_uncertainty_s * 1e3)
    return f"{millis} ms (1/{show_number(1 / value_s)} s)" if value_s > 0 else f"{millis} ms"


def show_reading(reading: Reading) -> str:
    """Return a reading with its uncertainty or bounds: "0.350 ± 0.010 mm (13.8 thou)"."""
    unit = "" if reading.unit == "1" else f" {reading.unit}"
    if reading.value is None:
        return _show_bounds(reading, unit)
    u = reading.standard_uncertainty
    # Without an uncertainty there is no saying which digits count: all that were typed stand.
    digits = show_number(reading.value, u) if u else f"{reading.value:.6g}"
    plus_minus = f" ± {show_number(u, u)}" if u else ""
    return f"{digits}{plus_minus}{unit}{_other_unit(reading.value, reading.unit)}"


def _show_bounds(reading: Reading, unit: str) -> str:
    if reading.lower is not None and reading.upper is not None:
        return f"{reading.lower:g} to {reading.upper:g}{unit}"
    if reading.lower is not None:
        return f"more than {reading.lower:g}{unit}{_other_unit(reading.lower, reading.unit)}"
    if reading.upper is not None:
        return f"less than {reading.upper:g}{unit}{_other_unit(reading.upper, reading.unit)}"
    return "not known"


def _other_unit(value: float, unit: str) -> str:
    """Return the bench's other length unit in brackets; nothing for long lengths and other kinds."""
    if unit not in UNITS or UNITS[unit].dimension != "length":
        return ""
    if unit in ("thou", "in"):
        return f" ({convert(value, unit, 'mm'):.3f} mm)"
    if unit in ("mm", "µm") and abs(convert(value, unit, "mm")) < 100:
        return f" ({convert(value, unit, 'thou'):.1f} thou)"
    return ""
