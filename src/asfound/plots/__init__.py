"""Every picture as SVG, from results alone."""

from asfound.plots.dial import DialSeries, dial_picture, dial_series
from asfound.plots.envelope import Envelope, envelope
from asfound.plots.palette import PALETTE, Colour, palette_css
from asfound.plots.picture import Picture, Width
from asfound.plots.rendering import page_svg, print_svg
from asfound.plots.restored import restored_picture
from asfound.plots.trace import half_level_crossings, trace_picture

__all__ = [
    "PALETTE",
    "Colour",
    "DialSeries",
    "Envelope",
    "Picture",
    "Width",
    "dial_picture",
    "dial_series",
    "envelope",
    "half_level_crossings",
    "page_svg",
    "palette_css",
    "print_svg",
    "restored_picture",
    "trace_picture",
]
