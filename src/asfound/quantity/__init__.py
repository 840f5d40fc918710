"""Text to number with a unit and back; readings with their uncertainty."""

from asfound.quantity.printing import decimals, show_length, show_number, show_reading, show_time
from asfound.quantity.reading import Reading, unit_suffix
from asfound.quantity.state import CameraState
from asfound.quantity.units import (
    UNITS,
    Quantity,
    Unit,
    convert,
    find_unit,
    parse_quantity,
    read_number,
    read_quantity,
)

__all__ = [
    "UNITS",
    "CameraState",
    "Quantity",
    "Reading",
    "Unit",
    "convert",
    "decimals",
    "find_unit",
    "parse_quantity",
    "read_number",
    "read_quantity",
    "show_length",
    "show_number",
    "show_reading",
    "show_time",
    "unit_suffix",
]
