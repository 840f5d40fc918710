"""Apertures against their marks: the pupil's diameter in stops, the opening's shape, and which setting is off."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

import numpy as np
import scipy  # its rooms load when used
from numpy.typing import NDArray

from asfound.focus.budget import judge, not_negative, positive
from asfound.problems import bad_input
from asfound.quantity import Reading
from asfound.quantity.tolerance import Verdict

WANTED_STOPS = 1 / 3  # common practice, no source
PER_STOP = 2 / math.log(2)  # stops for a relative change of the diameter
# The whole-stop marks and what they stand for, powers of the square root of two (from memory).
SERIES = {"1.4": 1, "2": 2, "2.8": 3, "4": 4, "5.6": 5, "8": 6, "11": 7, "16": 8, "22": 9, "32": 10, "45": 11}
DIRECTIONS = 180


@dataclass(frozen=True, slots=True, kw_only=True)
class ApertureError:
    """One setting: its measured f-number against its mark.

    Attributes
    ----------
    marked, exact : float
        As engraved, and the number that the mark stands for.
    diameter_mm, f_number : float
        Of the entrance pupil, and the focal length over it.
    error : Reading
        In stops; positive is darker than marked.
    apart : Reading
        Error less the usual one of all settings (their median), in stops.
    verdict : Verdict
        Of the error.
    """

    marked: float
    exact: float
    diameter_mm: float
    f_number: float
    error: Reading
    apart: Reading
    verdict: Verdict

    def flat(self) -> dict[str, float | str | None]:
        """Return the setting under its JSON names."""
        return {
            "marked": self.marked,
            "exact": self.exact,
            "diameter_mm": self.diameter_mm,
            "f_number": self.f_number,
            **self.error.flat("error"),
            "apart_stop": self.apart.value,
            "verdict": self.verdict,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class ApertureFinding:
    """All settings of one diaphragm.

    Attributes
    ----------
    settings : tuple of ApertureError
        In the order given.
    common_stops : float
        Median error: what the focal length, the scale of the measurement or a shifted pointer does to all.
    off : tuple of float
        Marks that stand apart from the others by more than the tolerance, their uncertainty counted.
    advice : str
        What it means, in one sentence.
    """

    settings: tuple[ApertureError, ...]
    common_stops: float
    off: tuple[float, ...]
    advice: str

    def flat(self) -> dict[str, object]:
        """Return the finding under its JSON names."""
        return {
            "common_stops": self.common_stops,
            "off": list(self.off),
            "advice": self.advice,
            "settings": [setting.flat() for setting in self.settings],
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """The shape of an opening.

    Attributes
    ----------
    area_mm2 : float
        Its area.
    diameter : Reading
        Of the circle of the same area, in mm.
    least_width_mm, greatest_width_mm : float
        Between parallel tangents, over all directions.
    harmonics : tuple of float
        Amplitudes of the radius about the middle of area, as shares of the mean radius, from the second (oval)
        to the twelfth; a regular opening of n blades has only the n-th and its multiples.
    uneven : float or None
        Together what the harmonics hold that n blades do not explain; None without a count of blades.
    outline_mm : tuple of (x, y)
        The outline about its middle, one point every two degrees, for a drawing.
    """

    area_mm2: float
    diameter: Reading
    least_width_mm: float
    greatest_width_mm: float
    harmonics: tuple[float, ...]
    uneven: float | None
    outline_mm: tuple[tuple[float, float], ...]

    def flat(self) -> dict[str, object]:
        """Return the opening under its JSON names."""
        return {
            "area_mm2": self.area_mm2,
            **self.diameter.flat("diameter"),
            "least_width_mm": self.least_width_mm,
            "greatest_width_mm": self.greatest_width_mm,
            "harmonics": list(self.harmonics),
            "uneven": self.uneven,
        }


def exact_f_number(marked: float) -> float:
    """Return what a mark stands for: 5.6 is the fifth power of root two; a mark outside the series is itself."""
    power = SERIES.get(f"{marked:g}")
    return marked if power is None else math.sqrt(2) ** power


def aperture_finding(
    *,
    focal_length_mm: float,
    diameters: Sequence[tuple[float, Reading]],
    u_focal_length_mm: float = 0.0,
    pupil_magnification: float = 1.0,
    tolerance_stops: float = WANTED_STOPS,
) -> ApertureFinding:
    """Compare pupil diameters with the marked f-numbers.

    N = f / D with D the entrance pupil, the opening as seen through the front of the lens; error in stops is
    2 log2(N / marked).

    Parameters
    ----------
    focal_length_mm, u_focal_length_mm : float
        Of the lens.
    diameters : sequence of (marked f-number, diameter reading in mm)
        One for each setting.
    pupil_magnification : float
        Entrance pupil over the opening of the blades; 1 where the pupil itself was measured through the front.
    tolerance_stops : float
        Allowed either way; a third of a stop (common practice, no source).

    Raises
    ------
    BadInputError
        If there is no setting, or a number is not greater than zero.
    """
    positive("focal length", focal_length_mm, "mm")
    positive("pupil magnification", pupil_magnification, "")
    positive("tolerance", tolerance_stops, "stops")
    not_negative("uncertainty of the focal length", u_focal_length_mm, "mm")
    if not diameters:
        raise bad_input("apertures", "there are none", "measure the opening at two settings or more")
    pupils = [(marked, _pupil(marked, reading, pupil_magnification)) for marked, reading in diameters]
    stops = [2 * math.log2(focal_length_mm / d / exact_f_number(marked)) for marked, (d, _) in pupils]
    common = median(stops)
    settings = tuple(
        _setting(marked, pupil, focal_length_mm, u_focal_length_mm, stop, common, tolerance_stops)
        for (marked, pupil), stop in zip(pupils, stops, strict=True)
    )
    apart = [s.marked for s in settings if judge(s.apart, limit=tolerance_stops) == "outside"]
    off = tuple(apart) if len(settings) > 2 else ()  # of two that differ nobody knows which is off
    return ApertureFinding(
        settings=settings, common_stops=common, off=off, advice=_advice(settings, common, off, tolerance_stops)
    )


def opening_mask(grey: NDArray[np.floating]) -> NDArray[np.bool_]:
    """Return the largest bright patch of a photograph taken against the light, holes filled.

    The threshold is half way between dark and bright, each the median of its half of the grey values.

    Raises
    ------
    BadInputError
        If there is no contrast, or the patch touches the photograph's edge.
    """
    image = np.asarray(grey, dtype=np.float64)
    middle = (float(image.min()) + float(image.max())) / 2
    bright = image > middle
    if not bright.any() or np.ptp(image) < 0.1 * max(float(image.max()), 1e-9):
        raise bad_input("photograph", "no bright opening stands out", "photograph it against an even light")
    level = (float(np.median(image[bright])) + float(np.median(image[~bright]))) / 2
    labels, count = scipy.ndimage.label(image > level)
    sizes = scipy.ndimage.sum_labels(np.ones_like(image), labels, range(1, count + 1))
    mask = np.asarray(scipy.ndimage.binary_fill_holes(labels == 1 + int(np.argmax(sizes))), dtype=bool)
    if mask[0].any() or mask[-1].any() or mask[:, 0].any() or mask[:, -1].any():
        raise bad_input("photograph", "the opening runs over its edge", "step back and take the whole opening")
    return mask


def opening_shape(
    mask: NDArray[np.bool_], *, mm_per_pixel: float, u_scale: float = 0.0, blades: int | None = None
) -> Opening:
    """Return area, diameter and shape of an opening.

    Parameters
    ----------
    mask : array of bool, shape (rows, columns)
        True within the opening.
    mm_per_pixel : float
        From a scale in the photograph, in the plane of the opening.
    u_scale : float
        Relative standard uncertainty of that scale.
    blades : int, optional
        How many blades form the opening.

    Raises
    ------
    BadInputError
        If the opening is fewer than a hundred pixels, or the scale not greater than zero.
    """
    positive("scale", mm_per_pixel, "mm per pixel")
    not_negative("uncertainty of the scale", u_scale, "")
    rows, columns = np.nonzero(mask)
    if len(rows) < 100:
        raise bad_input("photograph", f"an opening of {len(rows)} pixels is too small", "take it from nearer")
    x, y = columns - columns.mean(), rows.mean() - rows
    diameter = 2 * math.sqrt(len(rows) / math.pi) * mm_per_pixel
    widths = _widths(x, y) * mm_per_pixel
    radii = _radii(x, y)
    harmonics = np.abs(np.fft.rfft(radii))[2:13] * 2 / len(radii) / radii.mean()
    return Opening(
        area_mm2=len(rows) * mm_per_pixel**2,
        diameter=Reading(
            value=diameter,
            unit="mm",
            # The edge may lie half a pixel further in or out all round: a rectangle of one pixel on the diameter.
            standard_uncertainty=math.hypot(mm_per_pixel / math.sqrt(3), diameter * u_scale),
            how="area of the opening in a photograph",
        ),
        least_width_mm=float(widths.min()),
        greatest_width_mm=float(widths.max()),
        harmonics=tuple(harmonics.tolist()),
        uneven=None if blades is None else _uneven(harmonics, blades),
        outline_mm=_outline(radii * mm_per_pixel),
    )


def _pupil(marked: float, reading: Reading, pupil_magnification: float) -> tuple[float, float | None]:
    positive("marked f-number", marked, "")
    value = reading.value if reading.value is not None else math.nan
    positive(f"diameter at f/{marked:g}", value, "mm")
    u = reading.standard_uncertainty
    return value * pupil_magnification, None if u is None else u * pupil_magnification


def _setting(
    marked: float,
    pupil: tuple[float, float | None],
    focal_length_mm: float,
    u_focal_length_mm: float,
    stops: float,
    common: float,
    tolerance_stops: float,
) -> ApertureError:
    diameter, u = pupil
    alone = None if u is None else PER_STOP * u / diameter
    whole = None if alone is None else math.hypot(alone, PER_STOP * u_focal_length_mm / focal_length_mm)
    error = Reading(value=stops, unit="stop", standard_uncertainty=whole, how="pupil against the mark")
    return ApertureError(
        marked=marked,
        exact=exact_f_number(marked),
        diameter_mm=diameter,
        f_number=focal_length_mm / diameter,
        error=error,
        # The focal length is common to all settings and drops out here.
        apart=Reading(value=stops - common, unit="stop", standard_uncertainty=alone, how="less the usual error"),
        verdict=judge(error, limit=tolerance_stops),
    )


def _advice(settings: Sequence[ApertureError], common: float, off: Sequence[float], tolerance_stops: float) -> str:
    if off:
        names = ", ".join(f"f/{mark:g}" for mark in off)
        return f"{names} stands apart from the others: look at its notch or cam, or measure it again"
    if abs(common) > tolerance_stops:
        way = "darker" if common > 0 else "brighter"
        return f"all settings are {way} by about {abs(common):.2f} stop: check focal length, scale and pointer"
    if all(setting.verdict == "within" for setting in settings):
        return "every setting is within the tolerance"
    return "no setting stands apart; those not within need a finer measurement"


def _widths(x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.float64]:
    angles = np.arange(DIRECTIONS) * math.pi / DIRECTIONS
    along = np.array([np.ptp(x * math.cos(a) + y * math.sin(a)) for a in angles])
    # Pixels are squares: their centres span less than they do by one side, seen along the angle.
    return np.asarray(along + np.maximum(np.abs(np.cos(angles)), np.abs(np.sin(angles))))


def _radii(x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the radius in pixels by direction, from the area in each of 180 sectors."""
    sectors = np.floor(np.arctan2(y, x) / (2 * math.pi) * DIRECTIONS).astype(int) % DIRECTIONS
    area = np.bincount(sectors, minlength=DIRECTIONS)
    return np.sqrt(2 * area / (2 * math.pi / DIRECTIONS))


def _outline(radii_mm: NDArray[np.float64]) -> tuple[tuple[float, float], ...]:
    angles = (np.arange(DIRECTIONS) + 0.5) * 2 * math.pi / DIRECTIONS
    points = np.column_stack([radii_mm * np.cos(angles), radii_mm * np.sin(angles)])
    return tuple((float(px), float(py)) for px, py in points)


def _uneven(harmonics: NDArray[np.float64], blades: int) -> float:
    if blades < 3:
        raise bad_input("blades", f"{blades} blades form no opening", "count them")
    orders = np.arange(2, 2 + len(harmonics))
    return float(np.linalg.norm(harmonics[orders % blades != 0]))
