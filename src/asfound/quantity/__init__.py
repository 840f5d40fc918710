"""Text to number with a unit and back; readings with their uncertainty."""

from asfound.quantity.feeler import DRAG_UNCERTAINTY_MM, FeelerAnswer, bracket
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
    "DRAG_UNCERTAINTY_MM",
    "UNITS",
    "CameraState",
    "FeelerAnswer",
    "Quantity",
    "Reading",
    "Unit",
    "bracket",
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
