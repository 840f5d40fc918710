"""Spring wire as it is sold: materials, strength by size, moduli, gauges and tolerances."""

import math
from dataclasses import dataclass
from typing import Literal

Mark = Literal["read", "memory", "common practice, no source"]
StrengthRule = Literal["between", "up to"]

_KSI = 4.4482216152605 / 25.4**2 * 1000
_INCH = 25.4


@dataclass(frozen=True, slots=True)
class Strength:
    """Listed tensile strength of one size: minimum, maximum where listed, and where it is listed."""

    minimum_mpa: float
    maximum_mpa: float | None
    source: str
    mark: Mark


@dataclass(frozen=True, slots=True)
class StrengthTable:
    """Tensile strength by wire diameter.

    Attributes
    ----------
    points : tuple of (diameter in mm, minimum in MPa, maximum in MPa or None)
        Sorted by diameter.
    rule : {"between", "up to"}
        "between" joins neighbouring points by a power law; "up to" holds for every size up to the one listed.
    thinnest_mm : float
        Thinnest wire that the table speaks for; between it and the first point the first value holds.
    """

    points: tuple[tuple[float, float, float | None], ...]
    rule: StrengthRule
    thinnest_mm: float
    source: str
    mark: Mark = "read"


@dataclass(frozen=True, slots=True)
class StrengthFit:
    """Tensile strength as A / d^m over stretches of diameter: (from mm, to mm, A, m)."""

    stretches: tuple[tuple[float, float, float, float], ...]
    source: str
    mark: Mark = "memory"


@dataclass(frozen=True, slots=True)
class Moduli:
    """Young's and shear modulus of wire up to a diameter."""

    up_to_mm: float
    youngs_mpa: float
    shear_mpa: float
    source: str
    mark: Mark


@dataclass(frozen=True, slots=True)
class Material:
    """A kind of spring wire.

    Attributes
    ----------
    yield_fraction : float
        Static yield in bending over tensile strength.
    shear_yield_fraction : float
        Static yield in torsion over tensile strength.
    magnetic : bool
        Whether a magnet pulls it plainly (cold-drawn stainless is pulled weakly).
    colour : str
        What it looks like when clean.
    """

    name: str
    also_called: tuple[str, ...]
    strength: StrengthTable | StrengthFit
    moduli: tuple[Moduli, ...]
    yield_fraction: float
    yield_source: str
    shear_yield_fraction: float
    magnetic: bool
    colour: str


def _ksi(*rows: tuple[float, float, float]) -> tuple[tuple[float, float, float | None], ...]:
    return tuple((d * _INCH, low * _KSI, high * _KSI) for d, low, high in rows)


# ASTM A228 minimum and maximum, ksi by inch, as a supplier's table lists them (read).
_A228 = _ksi(
    (0.004, 439, 485), (0.005, 426, 471), (0.006, 415, 459), (0.007, 407, 449), (0.008, 399, 441),
    (0.009, 393, 434), (0.010, 387, 428), (0.011, 382, 422), (0.012, 377, 417), (0.013, 373, 412),
    (0.014, 369, 408), (0.016, 362, 400), (0.018, 356, 393), (0.020, 350, 387), (0.022, 345, 382),
    (0.024, 341, 377), (0.026, 337, 373), (0.028, 333, 368), (0.030, 330, 365), (0.032, 327, 361),
    (0.040, 315, 349), (0.051, 303, 335), (0.063, 293, 324), (0.072, 287, 317), (0.080, 282, 312),
    (0.100, 271, 300),
)  # fmt: skip
_SM = (
    (0.3, 2370, None), (0.4, 2270, None), (0.5, 2200, None), (0.6, 2140, None), (0.7, 2090, None),
    (0.8, 2050, None), (0.9, 2010, None), (1.0, 1980, None), (1.5, 1850, None), (2.0, 1760, None),
)  # fmt: skip
_DH = (
    (0.10, 2800, 3380), (0.15, 2800, 3255), (0.20, 2800, 3110), (0.22, 2770, 3080), (0.25, 2720, 3010),
    (0.28, 2680, 2970), (0.30, 2660, 2940), (0.32, 2640, 2920), (0.35, 2600, 2880), (0.40, 2560, 2830),
    (0.45, 2510, 2780),
)  # fmt: skip
_NS = (
    (0.20, 2200, None), (0.30, 2150, None), (0.40, 2100, None), (0.50, 2050, None), (0.65, 2000, None),
    (0.80, 1950, None), (1.00, 1900, None), (1.25, 1850, None), (1.50, 1800, None), (2.00, 1700, None),
)  # fmt: skip

_SHIGLEY_E = "Shigley, Mechanical Engineering Design, Table 10-5"
_SHIGLEY_A = "Shigley, Mechanical Engineering Design, Table 10-4"
_SHIGLEY_Y = "Shigley, Mechanical Engineering Design, Table 10-6"
_EN1 = "EN 10270-1, supplier's table"


def _bands(mark: Mark, *rows: tuple[float, float, float]) -> tuple[Moduli, ...]:
    return tuple(Moduli(d, e * 1000, g * 1000, _SHIGLEY_E, mark) for d, e, g in rows)


_EN_STEEL = (Moduli(math.inf, 206_000, 81_500, _EN1, "read"),)

MATERIALS = (
    Material(
        "music wire",
        ("a228", "astm a228", "piano wire"),
        StrengthTable(_A228, "between", 0.0995, "ASTM A228, supplier's table"),
        # "below .032 in" belongs to the first band, .032 itself to the second.
        _bands("read", (0.8127, 203.4, 82.7), (1.6002, 200.0, 81.7), (3.175, 196.5, 81.0), (math.inf, 193, 80)),
        0.78,
        _SHIGLEY_Y + " (memory)",
        0.45,
        True,
        "bright grey",
    ),
    Material(
        "EN SM",
        ("en 10270-1 sm", "sm"),
        StrengthTable(_SM, "between", 0.3, _EN1),
        _EN_STEEL,
        0.78,
        _SHIGLEY_Y + ", cold drawn (memory)",
        0.45,
        True,
        "bright grey",
    ),
    Material(
        "EN DH",
        ("en 10270-1 dh", "dh"),
        StrengthTable(_DH, "up to", 0.0995, _EN1),
        _EN_STEEL,
        0.78,
        _SHIGLEY_Y + ", cold drawn (memory)",
        0.45,
        True,
        "bright grey",
    ),
    Material(
        "hard-drawn wire",
        ("a227", "astm a227", "hard-drawn", "hard drawn wire"),
        StrengthFit(((0.7, 12.7, 1783, 0.190),), _SHIGLEY_A + ", A227"),
        _bands("memory", (0.8127, 198.6, 80.7), (1.6002, 197.9, 80), (3.175, 197.2, 79.3), (math.inf, 196.5, 78.6)),
        0.78,
        _SHIGLEY_Y + " (memory)",
        0.45,
        True,
        "dull grey",
    ),
    Material(
        "oil-tempered wire",
        ("a229", "astm a229", "oil-tempered"),
        StrengthFit(((0.5, 12.7, 1855, 0.187),), _SHIGLEY_A + ", A229"),
        _bands("memory", (math.inf, 196.5, 77.2)),
        0.87,
        _SHIGLEY_Y + ", hardened and tempered (read)",
        0.50,
        True,
        "dark, oxidised",
    ),
    Material(
        "302 stainless",
        ("a313", "astm a313", "stainless"),
        StrengthFit(((0.3, 2.5, 1867, 0.146),), _SHIGLEY_A + ", A313"),
        _bands("read", (math.inf, 193, 69)),
        0.61,
        _SHIGLEY_Y + " (memory)",
        0.35,
        False,
        "white, never rusted",
    ),
    Material(
        "1.4310",
        ("en 1.4310", "en 10270-3 1.4310"),
        StrengthTable(_NS, "up to", 0.0995, "EN 10270-3 NS, supplier's table"),
        (Moduli(math.inf, 180_000, 70_000, "EN 10270-3, as drawn", "memory"),),
        0.61,
        _SHIGLEY_Y + ", stainless (memory)",
        0.35,
        False,
        "white, never rusted",
    ),
    Material(
        "phosphor bronze",
        ("b159", "astm b159", "bronze"),
        StrengthFit(((0.1, 0.6, 1000, 0.0), (0.6, 2.0, 913, 0.028)), _SHIGLEY_A + ", B159"),
        _bands("read", (math.inf, 103, 43)),
        0.61,
        _SHIGLEY_Y + ", non-ferrous (memory)",
        0.35,
        False,
        "yellow to copper red",
    ),
)

# Fit of A228 kept for comparison only: it overestimates the listed minima by 1 to 2 % up to 1 mm.
A228_FIT = StrengthFit(((0.10, 6.5, 2211, 0.145),), _SHIGLEY_A + ", A228")

METRIC_SIZES_MM = (
    0.10, 0.12, 0.16, 0.20, 0.25, 0.30, 0.35, 0.40, 0.45, 0.50, 0.55, 0.60, 0.65, 0.70, 0.80, 0.90, 1.00,
)  # fmt: skip

# Music-wire gauge, inch: Machinery's Handbook and a gauge table (read).
MUSIC_GAUGE_IN = {
    "6/0": 0.004, "5/0": 0.005, "4/0": 0.006, "3/0": 0.007, "2/0": 0.008, "0": 0.009, "1": 0.010,
    "2": 0.011, "3": 0.012, "4": 0.013, "5": 0.014, "6": 0.016, "7": 0.018, "8": 0.020, "9": 0.022,
    "10": 0.024, "11": 0.026, "12": 0.029, "13": 0.031, "14": 0.033, "15": 0.035, "16": 0.037,
    "17": 0.039, "18": 0.041, "19": 0.043, "20": 0.045, "21": 0.047, "22": 0.049, "23": 0.051,
    "24": 0.055, "25": 0.059, "26": 0.063, "27": 0.067, "28": 0.071, "29": 0.075, "30": 0.080,
    "31": 0.085,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class SoldSize:
    """A wire size as sold: what to ask for, and its diameter."""

    label: str
    diameter_mm: float


def find_material(name: str) -> Material | None:
    """Return the material called `name`, in any case, or None."""
    wanted = " ".join(name.lower().split())
    for material in MATERIALS:
        if wanted == material.name.lower() or wanted in material.also_called:
            return material
    return None


def tensile_strength(material: Material, *, wire_diameter_mm: float) -> Strength | None:
    """Return the listed tensile strength of a size, or None where nothing is listed for it.

    A table is preferred to a fit: a power law only joins two neighbouring listed sizes. A material known by a
    fit alone is given within the fit's own range.
    """
    if isinstance(material.strength, StrengthFit):
        return fitted_strength(material.strength, wire_diameter_mm=wire_diameter_mm)
    return _tabled(material.strength, wire_diameter_mm)


def fitted_strength(fit: StrengthFit, *, wire_diameter_mm: float) -> Strength | None:
    """Return A / d^m within the fit's range, else None."""
    for low, high, a, m in fit.stretches:
        if low <= wire_diameter_mm <= high:
            return Strength(a / wire_diameter_mm**m, None, fit.source, fit.mark)
    return None


def _tabled(table: StrengthTable, diameter: float) -> Strength | None:
    # A size bought as 0.6 mm may read 0.6000001 after a conversion from inch.
    diameter = round(diameter, 6)
    if not table.thinnest_mm <= diameter <= round(table.points[-1][0], 6):
        return None
    above = next(i for i, point in enumerate(table.points) if diameter <= round(point[0], 6))
    _, low, high = table.points[above]
    if table.rule == "between" and above > 0:
        before = table.points[above - 1]
        low = _join(diameter, (before[0], before[1]), (table.points[above][0], low))
        if high is not None and before[2] is not None:
            high = _join(diameter, (before[0], before[2]), (table.points[above][0], high))
    return Strength(low, high, table.source, table.mark)


def _join(d: float, first: tuple[float, float], second: tuple[float, float]) -> float:
    part = math.log(d / first[0]) / math.log(second[0] / first[0])
    return first[1] * math.pow(second[1] / first[1], part)


def moduli(material: Material, *, wire_diameter_mm: float) -> Moduli:
    """Return Young's and shear modulus of the material at this size."""
    return next(band for band in material.moduli if wire_diameter_mm <= band.up_to_mm)


def diameter_tolerance_mm(*, wire_diameter_mm: float) -> float:
    """Return half the diameter's tolerance band: ASTM A228 up to .063 in (read), then from memory."""
    inch = wire_diameter_mm / _INCH
    steps = ((0.010, 0.0002), (0.028, 0.0003), (0.063, 0.0004), (0.080, 0.0005), (math.inf, 0.001))
    return next(half for up_to, half in steps if inch <= up_to + 1e-9) * _INCH


def sold_sizes(*, thinnest_mm: float = 0.0, thickest_mm: float = math.inf) -> tuple[SoldSize, ...]:
    """Return every sold size in a range: metric first where it equals a gauge, then music-wire gauge."""
    metric = [SoldSize(f"{d:.2f} mm", d) for d in METRIC_SIZES_MM]
    gauge = [SoldSize(f"music wire no. {name}", round(d * _INCH, 4)) for name, d in MUSIC_GAUGE_IN.items()]
    sizes = [size for size in metric + gauge if thinnest_mm <= size.diameter_mm <= thickest_mm]
    return tuple(sorted(sizes, key=lambda size: size.diameter_mm))
