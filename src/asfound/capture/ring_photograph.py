"""The edge of a ring from a photograph, in millimetres, by the printed square that it lies in."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from asfound.capture.outline import Floats, Outline, drawn_finely, outlines
from asfound.capture.photograph import Light
from asfound.problems import Problem, bad_input
from asfound.shape import least_squares_circle

SIDE_MM = 120.0
BAR_MM = 6.0
WAVES = 50  # a turn; waves shorter than this are smoothed away
_PLACES = 720
_LOBES = 13
# Some hundred independent places: scatter may draw the extremes apart by anything up to seven times itself,
# taken as equally likely (JCGM 100:2008, 4.3.7).
_EXTREMES = 7 / 3**0.5
PARALLAX = Problem(
    "photograph",
    "an edge that stands above the paper looks larger, by its height over the distance of the camera",
    "photograph from far away, and take the size from a calliper",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class RingPhotograph:
    """A ring's edge as a photograph shows it.

    Attributes
    ----------
    points_mm : (720, 2) array
        The edge, x to the right and y up from the middle of the square, smoothed of waves shorter than 50 a
        turn (Gaussian filter of ISO 16610-21, from memory).
    edge_points : int
        Points of the edge in the photograph that went into it.
    pixel_mm : float
        Size of a pixel at the ring.
    u_deviation_mm : float
        Standard uncertainty of one radial deviation: scatter after smoothing, and what the square's sides
        are out of straight.
    u_out_of_round_mm : float
        Of the out-of-round: it is taken between the two extremes, which scatter draws apart.
    u_radius_mm : float
        Of the radius: scale, and by how much dark looks wider than it is.
    bar_wider_mm : float
        By how much the square's bars look wider than they are, on either side.
    remarks : tuple of Problem
    """

    points_mm: Floats
    edge_points: int
    pixel_mm: float
    u_deviation_mm: float
    u_out_of_round_mm: float
    u_radius_mm: float
    bar_wider_mm: float
    remarks: tuple[Problem, ...] = (PARALLAX,)


def ring_in_photograph(
    light: Light,
    *,
    name: str,
    edge: Literal["outer", "inner"] = "outer",
    side_mm: float = SIDE_MM,
    bar_mm: float = BAR_MM,
    u_side_mm: float = 0.1,
) -> RingPhotograph:
    """Measure a dark ring that lies within the printed square on light paper.

    Parameters
    ----------
    light : (rows, columns) array
        Proportional to light.
    name : str
        Of the photograph, for problems.
    edge : {"outer", "inner"}
        Which edge of the ring.
    side_mm, bar_mm : float
        Outer side and bar width of the square as printed: measure them.
    u_side_mm : float
        Standard uncertainty of the side.

    Raises
    ------
    BadInputError
        If there is no square, or no ring within it.

    Notes
    -----
    Perspective by the eight-parameter homography that brings every edge point of the square onto its line,
    by least squares; a ninth says how much wider dark looks. Lens distortion is not corrected: it shows as
    sides out of straight, and goes into the uncertainty.
    """
    if not side_mm > 2 * bar_mm > 0:
        raise bad_input("square", f"a side of {side_mm:g} with bars of {bar_mm:g} mm", "measure both")
    found = outlines(light)
    outer, inner = _square(found, name, side_mm, bar_mm)
    ring = _ring(found, inner, name, edge)
    view, wider, straight_mm = _view(light, outer, inner, side_mm, bar_mm)
    pixels, _ = drawn_finely(light, ring)
    points = _seen(view, pixels)
    smooth, scatter_mm, radius = _smoothed(points)
    return RingPhotograph(
        points_mm=smooth,
        edge_points=len(points),
        pixel_mm=float(np.hypot(*np.diff(points, axis=0).T).mean() / np.hypot(*np.diff(pixels, axis=0).T).mean()),
        u_deviation_mm=float(np.hypot(scatter_mm, straight_mm)),
        u_out_of_round_mm=float(np.hypot(_EXTREMES * scatter_mm, straight_mm)),
        u_radius_mm=float(np.hypot(radius * u_side_mm / side_mm, wider / 3**0.5)),
        bar_wider_mm=wider,
    )


def _square(found: list[Outline], name: str, side_mm: float, bar_mm: float) -> tuple[Outline, Outline]:
    within = ((side_mm - 2 * bar_mm) / side_mm) ** 2
    squares = [outline for outline in found if outline.corners is not None]
    for outer in squares:
        for inner in squares:
            if outer.holds(inner) and abs(inner.area / outer.area / within - 1) < 0.15:
                return outer, inner
    raise bad_input(
        name, "shows no whole printed square", "lay the ring in the printed square and have all of it in view"
    )


def _ring(found: list[Outline], square: Outline, name: str, edge: Literal["outer", "inner"]) -> Outline:
    rounds = [o for o in found if square.holds(o) and abs(o.roundness - 1) < 0.03 and o.area > 0.005 * square.area]
    if not rounds:
        raise bad_input(name, "shows no ring in the square", "lay a dark ring on the light paper within the square")
    if edge == "outer":
        return rounds[0]
    holes = [o for o in rounds[1:] if rounds[0].holds(o)]
    if not holes:
        raise bad_input(name, "shows no inner edge of the ring", "light the paper within it, or ask for the outer edge")
    return holes[0]


def _seen(view: Floats, pixels: Floats) -> Floats:
    """Return pixels in millimetres through a homography."""
    matrix = np.append(view[:8], 1.0).reshape(3, 3)
    mapped = np.column_stack([pixels, np.ones(len(pixels))]) @ matrix.T
    return np.asarray(mapped[:, :2] / mapped[:, 2:])


def _view(light: Light, outer: Outline, inner: Outline, side_mm: float, bar_mm: float) -> tuple[Floats, float, float]:
    """Return the homography from pixels to mm, how much wider dark looks, and how little straight the sides are."""
    half = side_mm / 2
    assert outer.corners is not None
    begin = np.append(_through_corners(outer.corners, half), 0.0)
    lines: list[tuple[Floats, int, float, float]] = []
    for outline, at, widens in ((outer, half, 1.0), (inner, half - bar_mm, -1.0)):
        pixels, _ = drawn_finely(light, outline)
        lines += [(p, axis, sign * at, sign * widens) for p, axis, sign in _sides(_seen(begin, pixels), pixels)]

    def off(view: Floats) -> Floats:
        return np.concatenate([_seen(view, p)[:, axis] - (at + widens * view[8]) for p, axis, at, widens in lines])

    scale = np.maximum(np.abs(begin), 1e-9)
    scale[8] = 0.01
    from scipy.optimize import least_squares

    best = least_squares(off, begin, x_scale=scale, method="trf", loss="soft_l1", f_scale=0.2).x
    # Scatter averages away along a side; what stays after smoothing does not.
    left = [np.convolve(part, np.ones(51) / 51, "valid") for part in _split(off(best), [len(p) for p, *_ in lines])]
    return best, float(best[8]), float(np.sqrt(np.mean(np.concatenate(left) ** 2)))


def _split(values: Floats, lengths: list[int]) -> list[Floats]:
    return np.split(values, np.cumsum(lengths)[:-1])


def _through_corners(corners: Floats, half: float) -> Floats:
    """Return the eight numbers that bring four corners, upper left first and clockwise, to those of a square."""
    rows, right = [], []
    for (x, y), (u, v) in zip(corners, [(-half, half), (half, half), (half, -half), (-half, -half)], strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    return np.linalg.solve(np.array(rows), np.array(right))


def _sides(seen: Floats, pixels: Floats) -> list[tuple[Floats, int, float]]:
    """Return the pixels of each of four sides, away from the corners, with the axis they lie square to."""
    edge = np.abs(seen).max()
    sides = []
    for axis in (0, 1):
        along = np.abs(seen[:, 1 - axis]) < 0.85 * edge
        for sign in (-1.0, 1.0):
            on = along & (sign * seen[:, axis] > 0.8 * edge)
            sides.append((pixels[on], axis, sign))
    return sides


def _smoothed(points: Floats) -> tuple[Floats, float, float]:
    """Return the edge at even directions without short waves, its scatter after that, and its radius."""
    circle = least_squares_circle(points)
    x, y = (points - circle.centre_mm).T
    angle, radius = np.arctan2(y, x), np.hypot(x, y)
    order = np.argsort(angle)
    angle, radius = angle[order], radius[order]
    even = np.arange(8 * _PLACES) * (2 * np.pi / (8 * _PLACES)) - np.pi
    waves = np.fft.rfft(np.interp(even, angle, radius, period=2 * np.pi))
    passed = 2.0 ** -((np.arange(len(waves)) / WAVES) ** 2)
    smooth = np.fft.irfft(waves * passed, len(even))
    power = 2 * (np.abs(waves) * passed / len(even)) ** 2
    # Waves above the lobes that a press could leave are taken as scatter, those among them being alike.
    scatter = float(np.sqrt(power[_LOBES:].sum() * (passed**2).sum() / (passed[_LOBES:] ** 2).sum()))
    even, smooth = even[::8], smooth[::8]
    edge = np.column_stack([smooth * np.cos(even), smooth * np.sin(even)]) + circle.centre_mm
    return edge, scatter, circle.radius_mm
