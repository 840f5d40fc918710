"""Rings, planes and fits."""

from asfound.shape.circle import Circle, least_squares_circle, minimum_circumscribed
from asfound.shape.inscribed import largest_gap_deg, maximum_inscribed
from asfound.shape.zone import Certificate, Zone, minimum_zone

__all__ = [
    "Certificate",
    "Circle",
    "Zone",
    "largest_gap_deg",
    "least_squares_circle",
    "maximum_inscribed",
    "minimum_circumscribed",
    "minimum_zone",
]
