"""What a tilted front standard does over the frame, against the focus budget, and which corner to move."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from asfound.problems import bad_input
from asfound.quantity import Reading, student_factor
from asfound.quantity.tolerance import Tolerance, Verdict, verdict
from asfound.shape.charts import Floats
from asfound.shape.plane import PlaneFit

CORNERS = ("lower left", "lower right", "upper right", "upper left")
_SIGNS = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)], dtype=float)


@dataclass(frozen=True, slots=True, kw_only=True)
class ApertureFocus:
    """The worst of the frame at one aperture.

    Attributes
    ----------
    budget_mm : float
        Half-width of the focus budget, N c.
    share : float
        Worst defocus over the budget.
    verdict : {"within", "outside", "cannot tell"}
    """

    f_number: float
    budget_mm: float
    worst: Reading
    share: float
    verdict: Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class FrameFocus:
    """Defocus over the frame from the tilt of the standard, ready to be drawn.

    Attributes
    ----------
    x_mm, y_mm : (m,), (k,) arrays
        From the middle of the frame.
    defocus_mm : (k, m) array
        Where the sharp image lies before (+) or behind the film.
    corner_mm : dict of str to float
        Defocus at each corner of the frame.
    apertures : tuple of ApertureFocus
    """

    x_mm: Floats
    y_mm: Floats
    defocus_mm: Floats
    corner_mm: dict[str, float]
    apertures: tuple[ApertureFocus, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CornerMove:
    """One corner of the standard, and how far it stands off.

    Attributes
    ----------
    name : str
        The corner, or the strut that holds it.
    off_level_mm : float
        Above (+) or below the mean of all, were the standard parallel to the rails.
    off_plane_mm : float
        Of this, what no tilt explains: twist, or one bent strut.
    """

    name: str
    off_level_mm: float
    off_plane_mm: float


def frame_focus(
    fit: PlaneFit,
    *,
    width_mm: float,
    height_mm: float,
    circle_mm: float,
    f_numbers: Sequence[float],
    offset_mm: float = 0.0,
    scatter: Reading | None = None,
    steps: int = 25,
) -> FrameFocus:
    """Return the defocus that a tilted standard makes over the frame, and the verdict at each aperture.

    For a far subject the sharp image of a thin lens lies parallel to the lens, so that the standard's slope
    is the image's slope at the film. Only the tilt counts, not the mean height, unless `offset_mm` says how
    far the image stands off in the middle.

    Parameters
    ----------
    fit : PlaneFit
        Depths of the standard from the film rails.
    width_mm, height_mm : float
        The frame, along x and y.
    circle_mm : float
        Circle of confusion c; the budget is plus or minus N c.
    f_numbers : sequence of float
        Apertures to judge at.
    offset_mm : float
        Defocus in the middle.
    scatter : Reading, optional
        Scatter of erection, in mm: it goes into every uncertainty.
    steps : int
        Grid points along each side.

    Notes
    -----
    Thin lens at infinity, from memory; budget plus or minus N c (Ray, The Photographic Lens).
    """
    for what, value in (("frame", min(width_mm, height_mm)), ("circle of confusion", circle_mm)):
        if not value > 0:
            raise bad_input(what, f"{value:g} mm is not above zero", "give its size")
    slope = np.array([fit.least_squares.slope_x, fit.least_squares.slope_y])
    x, y = (np.linspace(-side / 2, side / 2, steps) for side in (width_mm, height_mm))
    grid = offset_mm + slope[0] * x[None, :] + slope[1] * y[:, None]
    corners = _SIGNS * (width_mm / 2, height_mm / 2)
    at_corners = offset_mm + corners @ slope
    worst = int(np.argmax(np.abs(at_corners)))
    reading = _with_scatter(float(at_corners[worst]), corners[worst], fit, scatter)
    return FrameFocus(
        x_mm=x,
        y_mm=y,
        defocus_mm=np.asarray(grid),
        corner_mm=dict(zip(CORNERS, (float(z) for z in at_corners), strict=True)),
        apertures=tuple(_at_aperture(n, circle_mm, reading) for n in f_numbers),
    )


def _with_scatter(value: float, corner: Floats, fit: PlaneFit, scatter: Reading | None) -> Reading:
    if fit.u_slope_x is None or fit.u_slope_y is None:
        return Reading(value=value, unit="mm")
    variance = (corner[0] * fit.u_slope_x) ** 2 + (corner[1] * fit.u_slope_y) ** 2
    freedom: float | None = fit.degrees_of_freedom
    if scatter is not None and scatter.standard_uncertainty:
        variance += scatter.standard_uncertainty**2
        both = [nu for nu in (freedom, scatter.degrees_of_freedom) if nu is not None]
        freedom = min(both, default=None)
    return Reading(value=value, unit="mm", standard_uncertainty=float(variance) ** 0.5, degrees_of_freedom=freedom)


def _at_aperture(f_number: float, circle_mm: float, worst: Reading) -> ApertureFocus:
    if not f_number > 0:
        raise bad_input("aperture", f"f/{f_number:g} is not above zero", "give it as in 3.5")
    budget = f_number * circle_mm
    known = worst.standard_uncertainty is not None
    limits = Tolerance(unit="mm", source="focus budget N c", lower=-budget, upper=budget)
    factor = student_factor(worst.degrees_of_freedom) if known else 0.0
    judged: Verdict = verdict(worst, limits, coverage_factor=factor) if known else "cannot tell"
    return ApertureFocus(
        f_number=f_number,
        budget_mm=budget,
        worst=worst,
        share=abs(worst.value or 0.0) / budget,
        verdict=judged,
    )


def corner_points(*, width_mm: float, height_mm: float, depth_mm: Sequence[float]) -> Floats:
    """Return depths at four corners, lower left first and against the clock, as places (4, 3).

    Raises
    ------
    BadInputError
        If there are not four.
    """
    if len(depth_mm) != 4:
        raise bad_input("corners", f"there are {len(depth_mm)}", "give four, lower left first, against the clock")
    return np.column_stack([_SIGNS * (width_mm / 2, height_mm / 2), np.asarray(depth_mm, float)])


def from_first(*, first_mm: float, hundredths: Sequence[float]) -> list[float]:
    """Return depths from the first one and the hundredths of a mm by which the others differ from it."""
    return [first_mm, *(first_mm + step / 100 for step in hundredths)]


def corner_moves(points_mm: Floats, fit: PlaneFit, names: Sequence[str] = CORNERS) -> tuple[CornerMove, ...]:
    """Return how far each place stands off, the worst first."""
    level = points_mm[:, 2] - points_mm[:, 2].mean()
    moves = [
        CornerMove(name=name, off_level_mm=float(off), off_plane_mm=float(left))
        for name, off, left in zip(names, level, fit.residual_mm, strict=True)
    ]
    return tuple(sorted(moves, key=lambda move: -abs(move.off_level_mm)))
