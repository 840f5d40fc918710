"""Rings, planes and fits."""

from asfound.shape.circle import Circle, least_squares_circle, minimum_circumscribed
from asfound.shape.harmonics import Harmonic, harmonics, wave
from asfound.shape.inscribed import largest_gap_deg, maximum_inscribed
from asfound.shape.polar_plot import PolarPlot, polar_plot
from asfound.shape.press import (
    UNKNOWN_SPRING_BACK,
    PressMade,
    PressPlace,
    SpringBack,
    learn,
    next_push_mm,
    press_places,
)
from asfound.shape.ring import (
    Ring,
    cartesian,
    polar,
    radii_from_clearance,
    ring_from_diameters,
    ring_from_points,
    ring_from_radii,
)
from asfound.shape.rub import (
    Overlay,
    Profile,
    Rub,
    Scuff,
    overlay,
    profile,
    rub_in_ring,
    rub_on_pointer,
)
from asfound.shape.table import Table, clock_to_deg, deg_to_clock, read_table
from asfound.shape.zone import Certificate, Zone, minimum_zone

__all__ = [
    "UNKNOWN_SPRING_BACK",
    "Certificate",
    "Circle",
    "Harmonic",
    "Overlay",
    "PolarPlot",
    "PressMade",
    "PressPlace",
    "Profile",
    "Ring",
    "Rub",
    "Scuff",
    "SpringBack",
    "Table",
    "Zone",
    "cartesian",
    "clock_to_deg",
    "deg_to_clock",
    "harmonics",
    "largest_gap_deg",
    "learn",
    "least_squares_circle",
    "maximum_inscribed",
    "minimum_circumscribed",
    "minimum_zone",
    "next_push_mm",
    "overlay",
    "polar",
    "polar_plot",
    "press_places",
    "profile",
    "radii_from_clearance",
    "read_table",
    "ring_from_diameters",
    "ring_from_points",
    "ring_from_radii",
    "rub_in_ring",
    "rub_on_pointer",
    "wave",
]
