"""Text to number with a unit and back; readings with their uncertainty."""

from asfound.quantity.feeler import DRAG_UNCERTAINTY_MM, FeelerAnswer, bracket
from asfound.quantity.height import Height, Seat, Station, named_height, seat
from asfound.quantity.printing import counted, decimals, show_length, show_number, show_reading, show_time
from asfound.quantity.propagation import Propagated, Share, correlation, propagate
from asfound.quantity.reading import Reading, unit_suffix
from asfound.quantity.repeats import (
    CALLIPER,
    DEPTH_GAUGE,
    SPRING_BALANCE,
    VERNIER_CALLIPER,
    Instrument,
    Scatter,
    pooled,
    repeated,
    scatter,
    student_factor,
    welch_satterthwaite,
)
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
    "CALLIPER",
    "DEPTH_GAUGE",
    "DRAG_UNCERTAINTY_MM",
    "SPRING_BALANCE",
    "UNITS",
    "VERNIER_CALLIPER",
    "CameraState",
    "FeelerAnswer",
    "Height",
    "Instrument",
    "Propagated",
    "Quantity",
    "Reading",
    "Scatter",
    "Seat",
    "Share",
    "Station",
    "Unit",
    "bracket",
    "convert",
    "correlation",
    "counted",
    "decimals",
    "find_unit",
    "named_height",
    "parse_quantity",
    "pooled",
    "propagate",
    "read_number",
    "read_quantity",
    "repeated",
    "scatter",
    "seat",
    "show_length",
    "show_number",
    "show_reading",
    "show_time",
    "student_factor",
    "unit_suffix",
    "welch_satterthwaite",
]
