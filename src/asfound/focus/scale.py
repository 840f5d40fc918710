"""The distance scale of a helical: its lead, where each distance is engraved, and whether that is true."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from scipy.special import chdtrc

from asfound.focus.budget import FocusBudget, finite, judge, not_negative, positive
from asfound.focus.focusing import Focusing
from asfound.focus.line import Line, fit_line
from asfound.problems import bad_input
from asfound.quantity import Reading
from asfound.quantity.tolerance import Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkError:
    """One engraved distance: where the pointer stood, and what the lens does there.

    Attributes
    ----------
    engraved_mm : float
        The distance as engraved; may be infinite.
    angle_deg, fitted_angle_deg : float
        Where the mark is, and where it belongs for the lead and the zero in use.
    error : Reading
        Displacement of the image at the mark in mm, positive when the lens stands too far out: for unit focusing
        the extension there less the extension that the distance needs.
    sharp_at_mm : float
        The distance that is truly sharp with the pointer on the mark; infinite when at or short of infinity.
    depths : float or None
        The error in half depths of focus at that image distance: beyond ±1 the subject is outside the depth
        of field. None without a budget.
    verdict : Verdict or None
        Against the depth of field; None without a budget.
    """

    engraved_mm: float
    angle_deg: float
    fitted_angle_deg: float
    error: Reading
    sharp_at_mm: float
    depths: float | None
    verdict: Verdict | None

    def flat(self) -> dict[str, float | str | None]:
        """Return the mark under its JSON names."""
        return {
            "engraved_mm": self.engraved_mm,
            "angle_deg": self.angle_deg,
            "fitted_angle_deg": self.fitted_angle_deg,
            **self.error.flat("error"),
            "sharp_at_mm": self.sharp_at_mm,
            "depths": self.depths,
            "verdict": self.verdict,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleFit:
    """Pointer angles fitted against engraved distances.

    Attributes
    ----------
    lead : Reading
        Travel per turn in mm; positive when the lens moves out as the angle grows.
    offset : Reading
        Pointer angle, in degrees, at which the fitted scale has infinity.
    lead_used_mm, zero_used_deg : float
        What the errors of the marks are counted from: as given, else as fitted.
    marks : tuple of MarkError
        In the order given.
    consistent : bool or None
        Whether the scatter is explained by the stated uncertainty of one angle (chi-squared, 1 %); None where
        none was stated or two marks leave no scatter.
    """

    lead: Reading
    offset: Reading
    lead_used_mm: float
    zero_used_deg: float
    marks: tuple[MarkError, ...]
    consistent: bool | None

    def flat(self) -> dict[str, object]:
        """Return the fit under its JSON names."""
        return {
            **self.lead.flat("lead"),
            **self.offset.flat("offset"),
            "lead_used_mm": self.lead_used_mm,
            "zero_used_deg": self.zero_used_deg,
            "consistent": self.consistent,
            "marks": [mark.flat() for mark in self.marks],
        }


def rotation_for_extension(*, extension_mm: float, lead_mm: float) -> float:
    """Return the angle in degrees that a thread turns for a travel: 360 x' / lead."""
    positive("lead", abs(lead_mm), "mm")
    return 360 * extension_mm / lead_mm


def engraved_angle(*, focusing: Focusing, distance_mm: float, lead_mm: float) -> float:
    """Return the angle in degrees from infinity at which a distance belongs on the scale."""
    return rotation_for_extension(extension_mm=focusing.travel_for(distance_mm), lead_mm=lead_mm)


def lead_from_travel(*, travel_mm: float, angle_deg: float) -> float:
    """Return the lead in mm per turn from a measured travel over a measured angle."""
    positive("angle", abs(angle_deg), "deg")
    positive("travel", abs(travel_mm), "mm")
    return 360 * travel_mm / angle_deg


def lead_from_scale(*, focusing: Focusing, distance_mm: float, angle_deg: float) -> float:
    """Return the lead in mm that the engraving implies: the angle from infinity to one distance."""
    return lead_from_travel(travel_mm=focusing.travel_for(distance_mm), angle_deg=angle_deg)


def fit_scale(
    *,
    focusing: Focusing,
    marks: Sequence[tuple[float, float]],
    u_angle_deg: float | None = None,
    u_focal_length_mm: float = 0.0,
    lead_mm: float | None = None,
    infinity_deg: float | None = None,
    budget: FocusBudget | None = None,
) -> ScaleFit:
    """Fit measured pointer angles against engraved distances, and judge each mark.

    The angle is taken as straight in the travel: angle = offset + 360 x' / lead (a thread turns evenly). Focal
    length and lead can hardly be told apart by angles alone, since x' goes nearly with f²: what a doubtful focal
    length does to both results is carried into their uncertainties.

    Parameters
    ----------
    focusing : UnitFocusing or FrontFocusing
        What moves, and from where distances are measured.
    u_focal_length_mm : float
        Standard uncertainty of the focal length of what moves (the lens, or its front group).
    marks : sequence of (distance in mm, angle in degrees)
        At least two; infinity as ``math.inf``.
    u_angle_deg : float, optional
        Standard uncertainty of one pointer angle; without it the scatter about the line is used.
    lead_mm, infinity_deg : float, optional
        The lead measured apart from the scale, and the pointer angle of a proved infinity. With them the errors
        are those of the camera; without, those of the engraving against its own best line.
    budget : FocusBudget, optional
        For the errors in depths of field.

    Raises
    ------
    BadInputError
        For fewer than two different distances, a lead of zero, a distance shorter than the lens allows.
    """
    if lead_mm is not None:
        positive("lead", abs(lead_mm), "mm")
    not_negative("uncertainty of the focal length", u_focal_length_mm, "mm")
    if infinity_deg is not None:
        finite("pointer at infinity", infinity_deg, "deg")
    needed = [focusing.travel_for(distance) for distance, _ in marks]
    angles = [angle for _, angle in marks]
    line = fit_line(x=needed, y=angles, u_y=u_angle_deg)
    if line.slope == 0:
        raise bad_input("marks", "all angles are alike", "read the pointer's angle at each engraved distance")
    # A step of a thousandth keeps the nearest mark within what the lens allows.
    other = fit_line(x=[focusing.scaled(1.001).travel_for(s) for s, _ in marks], y=angles, u_y=u_angle_deg)
    by_f = u_focal_length_mm / (0.001 * focusing.moving_focal_length_mm)
    lead = _lead(line, (360 / other.slope - 360 / line.slope) * by_f)
    offset = _offset(line, (other.intercept - line.intercept) * by_f)
    used = lead_mm if lead_mm is not None else 360 / line.slope
    zero = infinity_deg if infinity_deg is not None else line.intercept
    u = u_angle_deg if u_angle_deg is not None else line.residual_sd
    errors = tuple(
        _mark_error(focusing, mark, x, (used, zero), (u, line.degrees_of_freedom), budget)
        for mark, x in zip(marks, needed, strict=True)
    )
    return ScaleFit(
        lead=lead,
        offset=offset,
        lead_used_mm=used,
        zero_used_deg=zero,
        marks=errors,
        consistent=_consistent(line, u_angle_deg),
    )


def _lead(line: Line, by_f: float) -> Reading:
    u = None if line.u_slope is None else math.hypot(360 * line.u_slope / line.slope**2, by_f)
    return _fitted(360 / line.slope, u, "mm", line)


def _offset(line: Line, by_f: float) -> Reading:
    u = None if line.u_intercept is None else math.hypot(line.u_intercept, by_f)
    return _fitted(line.intercept, u, "deg", line)


def _fitted(value: float, u: float | None, unit: str, line: Line) -> Reading:
    return Reading(
        value=value,
        unit=unit,
        standard_uncertainty=u,
        degrees_of_freedom=line.degrees_of_freedom,
        how=f"fit of {len(line.residuals)} engraved distances",
    )


def _consistent(line: Line, u_angle_deg: float | None) -> bool | None:
    dof = len(line.residuals) - 2
    if u_angle_deg is None or u_angle_deg == 0 or dof == 0:
        return None
    squares = sum((residual / u_angle_deg) ** 2 for residual in line.residuals)
    return bool(chdtrc(dof, squares) > 0.01)


def _mark_error(
    focusing: Focusing,
    mark: tuple[float, float],
    needed_mm: float,
    used: tuple[float, float],
    known: tuple[float | None, float | None],
    budget: FocusBudget | None,
) -> MarkError:
    distance, angle = mark
    lead, zero = used
    u_angle, dof = known
    travel = lead * (angle - zero) / 360
    error = Reading(
        value=focusing.image_per_travel * (travel - needed_mm),
        unit="mm",
        standard_uncertainty=None if u_angle is None else focusing.image_per_travel * abs(lead) / 360 * u_angle,
        degrees_of_freedom=dof,
        how="pointer angle against the distance",
    )
    half = None if budget is None else focusing.half_depth(budget, needed_mm)
    return MarkError(
        engraved_mm=distance,
        angle_deg=angle,
        fitted_angle_deg=zero + 360 * needed_mm / lead,
        error=error,
        sharp_at_mm=focusing.distance_for(travel),
        depths=None if half is None or error.value is None else error.value / half,
        verdict=None if half is None else judge(error, limit=half),
    )
