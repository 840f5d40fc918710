"""The focus budget: how far the image may lie from the film before the eye sees it."""

import math
import re
from dataclasses import dataclass
from functools import lru_cache

from scipy.special import ndtri, stdtrit  # scipy.stats takes a second to import

from asfound.problems import bad_input
from asfound.quantity import Reading
from asfound.quantity.tolerance import Tolerance, Verdict, verdict

MODERN_DIVISOR = 1500.0
TRADITIONAL_DIVISOR = 1000.0
LEAST, MOST = 1e-9, 1e9  # what a bench measures lies between, in any unit used here


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmFormat:
    """A frame on the film: its name in the trade, its sides, and where the sides come from."""

    name: str
    width_mm: float
    height_mm: float
    source: str

    @property
    def diagonal_mm(self) -> float:
        """The frame's diagonal in mm."""
        return math.hypot(self.width_mm, self.height_mm)


_NOMINAL = "nominal frame; common practice, no source: measure the gate"
FORMATS = {
    name: FilmFormat(name=name, width_mm=width, height_mm=height, source=_NOMINAL)
    for name, width, height in (
        ("24x36", 36, 24),
        ("3x4", 40, 30),
        ("4x4", 40, 40),
        ("4x6.5", 65, 40),
        ("6x4.5", 56, 42),
        ("6x6", 56, 56),
        ("6x7", 70, 56),
        ("6x9", 84, 56),
        ("6.5x9", 87, 62),
        ("6.5x11", 108, 64),
        ("9x12", 117, 87),
    )
}


@dataclass(frozen=True, slots=True, kw_only=True)
class FocusBudget:
    """The permitted image displacement on one side, ± N c.

    Attributes
    ----------
    circle_mm : float
        Circle of confusion c.
    circle_source : str
        Where the circle comes from.
    f_number : float
        Aperture N at which the budget holds.
    half_width_mm : float
        N c: every later error is a share of this.
    """

    circle_mm: float
    circle_source: str
    f_number: float
    half_width_mm: float

    def share(self, error_mm: float) -> float:
        """Return an image displacement as a signed share of the half-width."""
        return error_mm / self.half_width_mm

    def judge(self, reading: Reading) -> Verdict:
        """Say whether a displacement in mm lies within the budget, its uncertainty counted."""
        return judge(reading, limit=self.half_width_mm)

    def flat(self) -> dict[str, float | str]:
        """Return the budget under its JSON names."""
        return {
            "circle_mm": self.circle_mm,
            "circle_source": self.circle_source,
            "f_number": self.f_number,
            "budget_half_width_mm": self.half_width_mm,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class DepthOfField:
    """Nearest and farthest distance that is still sharp, from the lens; infinite where it never ends."""

    distance_mm: float
    hyperfocal_mm: float
    near_mm: float
    far_mm: float


def find_format(name: str, *, where: str = "format") -> FilmFormat:
    """Return the frame called `name` ("6x9"), or the frame of the sides given in mm ("55x82").

    Raises
    ------
    BadInputError
        If it is neither.
    """
    plain = name.strip().lower().replace(" ", "").replace("×", "x").replace(",", ".").removesuffix("mm")
    if plain in FORMATS:
        return FORMATS[plain]
    sides = re.fullmatch(r"(\d+\.?\d*)x(\d+\.?\d*)", plain)
    if sides and min(float(sides[1]), float(sides[2])) >= 10:
        first, second = sorted((float(sides[1]), float(sides[2])))
        return FilmFormat(name=plain, width_mm=second, height_mm=first, source="sides as given")
    raise bad_input(where, f"{name!r} is no frame known here", f"use one of {', '.join(FORMATS)}, or 56x84")


def circle_of_confusion(*, width_mm: float, height_mm: float, divisor: float = MODERN_DIVISOR) -> float:
    """Return the circle of confusion in mm: the frame's diagonal over a divisor.

    Parameters
    ----------
    width_mm, height_mm : float
        Sides of the frame.
    divisor : float
        1500 (modern) or 1000 (traditional): the two conventions met in photographic texts.

    Raises
    ------
    BadInputError
        If a side or the divisor is not greater than zero.
    """
    positive("width", width_mm, "mm")
    positive("height", height_mm, "mm")
    positive("divisor", divisor, "")
    return math.hypot(width_mm, height_mm) / divisor


def focus_budget(*, f_number: float, circle_mm: float, circle_source: str = "as given") -> FocusBudget:
    """Return the focus budget ± N c at an aperture.

    Source: Ray, The Photographic Lens (total depth of focus 2 c N for an image near the focal plane).

    Raises
    ------
    BadInputError
        If the f-number or the circle is not greater than zero.
    """
    positive("f-number", f_number, "")
    positive("circle of confusion", circle_mm, "mm")
    half = f_number * circle_mm
    return FocusBudget(circle_mm=circle_mm, circle_source=circle_source, f_number=f_number, half_width_mm=half)


def format_budget(*, f_number: float, frame: FilmFormat, divisor: float = MODERN_DIVISOR) -> FocusBudget:
    """Return the focus budget for a frame on the film, with the circle's origin in words."""
    circle_mm = circle_of_confusion(width_mm=frame.width_mm, height_mm=frame.height_mm, divisor=divisor)
    source = f"diagonal of {frame.name} / {divisor:g} ({frame.source})"
    return focus_budget(f_number=f_number, circle_mm=circle_mm, circle_source=source)


def depth_of_focus(*, f_number: float, circle_mm: float, focal_length_mm: float, image_distance_mm: float) -> float:
    """Return half of the depth of focus in mm for an image at v behind the lens: c N v / f.

    Source: Ray, The Photographic Lens. At infinity v = f, and this is the budget N c.
    """
    positive("focal length", focal_length_mm, "mm")
    half = focus_budget(f_number=f_number, circle_mm=circle_mm).half_width_mm
    return half * image_distance_mm / focal_length_mm


def hyperfocal_distance(*, focal_length_mm: float, f_number: float, circle_mm: float) -> float:
    """Return the hyperfocal distance f² / (N c) + f in mm, from the lens (Ray, The Photographic Lens)."""
    positive("focal length", focal_length_mm, "mm")
    return focal_length_mm**2 / focus_budget(f_number=f_number, circle_mm=circle_mm).half_width_mm + (focal_length_mm)


def depth_of_field(*, focal_length_mm: float, f_number: float, circle_mm: float, distance_mm: float) -> DepthOfField:
    """Return the sharp range around a distance measured from the lens (thin lens).

    Source: near = s (H - f) / (H + s - 2 f), far = s (H - f) / (H - s) (Ray, The Photographic Lens).

    Raises
    ------
    BadInputError
        If the distance is not beyond the focal length.
    """
    H = hyperfocal_distance(focal_length_mm=focal_length_mm, f_number=f_number, circle_mm=circle_mm)
    f, s = focal_length_mm, distance_mm
    if math.isfinite(s):
        finite("distance", s, "mm")
    if not s > f:
        raise bad_input("distance", f"{s:g} mm is not beyond the focal length of {f:g} mm", "give a longer one")
    if math.isinf(s):
        return DepthOfField(distance_mm=s, hyperfocal_mm=H, near_mm=H - f, far_mm=math.inf)
    far = math.inf if s >= H else s * (H - f) / (H - s)
    return DepthOfField(distance_mm=s, hyperfocal_mm=H, near_mm=s * (H - f) / (H + s - 2 * f), far_mm=far)


@lru_cache(maxsize=256)
def coverage_factor(degrees_of_freedom: float | None, *, probability: float = 0.95) -> float:
    """Return Student's two-sided factor (JCGM 100:2008, table G.2); None means infinitely many."""
    upper = (1 + probability) / 2
    if degrees_of_freedom is None or math.isinf(degrees_of_freedom):
        return float(ndtri(upper))
    return float(stdtrit(degrees_of_freedom, upper))


def judge(reading: Reading, *, limit: float) -> Verdict:
    """Say whether a reading lies within ± `limit`, with 95 % coverage by its degrees of freedom.

    A value whose uncertainty nobody knows is never called within or outside: "cannot tell".
    """
    if reading.value is not None and reading.standard_uncertainty is None:
        return "cannot tell"
    tolerance = Tolerance(unit=reading.unit, source="the focus budget", lower=-limit, upper=limit)
    factor = coverage_factor(reading.degrees_of_freedom)
    return verdict(reading, tolerance, coverage_factor=factor)


def positive(name: str, value: float, unit: str) -> None:
    """Refuse a quantity that is not greater than zero, or is none that a bench measures."""
    shown = f"{value:g} {unit}".strip()
    if math.isnan(value) or value <= 0:
        raise bad_input(name, f"{shown} is not greater than zero", "measure it again or check the sign")
    if not LEAST <= value <= MOST:
        raise bad_input(name, f"{shown} is no measurement", "check the number and its unit")


def not_negative(name: str, value: float | None, unit: str) -> None:
    """Refuse an uncertainty or a size that is below zero or no measurement; None (not known) passes."""
    if value is None or 0 <= value <= MOST:
        return
    shown = f"{value:g} {unit}".strip()
    what = f"{shown} is below zero" if value < 0 else f"{shown} is no measurement"
    raise bad_input(name, what, "give its size, zero or more")


def finite(name: str, value: float, unit: str) -> None:
    """Refuse a quantity that is infinite, no number, or none that a bench measures."""
    if not abs(value) <= MOST:
        raise bad_input(name, f"{f'{value:g} {unit}'.strip()} is no measurement", "check the number and its unit")


def check_height(reading: Reading) -> None:
    """Refuse a height whose value is no measurement, or whose uncertainty is below zero."""
    if reading.value is not None:
        finite("height", reading.value, "mm")
    not_negative("uncertainty of the height", reading.standard_uncertainty, "mm")
