"""Rings, planes and fits."""

from asfound.shape.circle import Circle, least_squares_circle, minimum_circumscribed
from asfound.shape.erection import Erection, StrutGive, compare_struts, erection, give, tilt_between_deg, with_erection
from asfound.shape.fit import Fit, TakeUp, fit_of
from asfound.shape.frame import (
    CORNERS,
    ApertureFocus,
    CornerMove,
    FrameFocus,
    corner_moves,
    corner_points,
    frame_focus,
    from_first,
)
from asfound.shape.harmonics import Harmonic, harmonics, wave
from asfound.shape.inscribed import largest_gap_deg, maximum_inscribed
from asfound.shape.plane import Plane, PlaneFit, fit_plane
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
    "CORNERS",
    "UNKNOWN_SPRING_BACK",
    "ApertureFocus",
    "Certificate",
    "Circle",
    "CornerMove",
    "Erection",
    "Fit",
    "FrameFocus",
    "Harmonic",
    "Overlay",
    "Plane",
    "PlaneFit",
    "PolarPlot",
    "PressMade",
    "PressPlace",
    "Profile",
    "Ring",
    "Rub",
    "Scuff",
    "SpringBack",
    "StrutGive",
    "Table",
    "TakeUp",
    "Zone",
    "cartesian",
    "clock_to_deg",
    "compare_struts",
    "corner_moves",
    "corner_points",
    "deg_to_clock",
    "erection",
    "fit_of",
    "fit_plane",
    "frame_focus",
    "from_first",
    "give",
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
    "tilt_between_deg",
    "wave",
    "with_erection",
]
