"""Setting infinity: from readings of where the image is sharpest to how much to turn or shim."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from asfound.focus.budget import FocusBudget, not_negative, positive
from asfound.focus.extension import lens_extension
from asfound.problems import bad_input
from asfound.quantity import Reading
from asfound.quantity.tolerance import Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class InfinitySetting:
    """Where the infinity stop stands against the true infinity.

    All lengths in mm along the axis, positive outwards from the film.

    Attributes
    ----------
    sharpest : Reading
        Setting at which the target was sharpest.
    true_infinity : Reading
        Setting at which infinity is sharp: the sharpest less what the target's distance asks for, and less what
        the ground glass lies off the film's plane.
    error : Reading
        The stop less the true infinity: positive when the lens at its stop stands too far out.
    erection_sd_mm : float
        Scatter of the lens's height from one opening of the camera to the next.
    as_used : Reading
        The error as the next opening will find it: the same value, the erection scatter included.
    turn : Reading or None
        Degrees to screw the lens in (negative: out); None without a lead.
    turns : float or None
        The same in turns.
    shim : Reading
        Thickness to add under the lens in mm (negative: to take out).
    share : float or None
        Error as a signed share of the budget.
    verdict : Verdict or None
        Of the error as used.
    advice : str
        What to do, in one sentence.
    """

    sharpest: Reading
    true_infinity: Reading
    error: Reading
    erection_sd_mm: float
    as_used: Reading
    turn: Reading | None
    turns: float | None
    shim: Reading
    share: float | None
    verdict: Verdict | None
    advice: str

    def flat(self) -> dict[str, object]:
        """Return the setting under its JSON names."""
        turn = {} if self.turn is None else self.turn.flat("turn")
        return {
            **self.sharpest.flat("sharpest"),
            **self.true_infinity.flat("true_infinity"),
            **self.error.flat("infinity_error"),
            "erection_sd_mm": self.erection_sd_mm,
            "u_as_used_mm": self.as_used.standard_uncertainty,
            "dof_as_used": self.as_used.degrees_of_freedom,
            **turn,
            "turn_turns": self.turns,
            **self.shim.flat("shim"),
            "share": self.share,
            "verdict": self.verdict,
            "advice": self.advice,
        }


def sharpest_setting(brackets_mm: Sequence[tuple[float, float]]) -> Reading:
    """Return the setting of best focus from repeats of "sharpest between these two settings".

    Each repeat is two settings between which the image is sharpest (two equal ones for a single estimate); its
    middle counts. The uncertainty is the larger of the scatter of the mean, s / sqrt n (JCGM 100:2008, 4.2.3),
    and that of a rectangular distribution over the mean bracket, half its width / sqrt 3 (4.3.7): repeats that
    end in the same bracket prove nothing finer than the bracket (as F.2.2.1 has it for an indication's steps).

    Parameters
    ----------
    brackets_mm : sequence of (float, float)
        Settings in mm, either order.

    Raises
    ------
    BadInputError
        If there is none, or one setting is not a number.
    """
    if not brackets_mm:
        raise bad_input("settings", "there are none", "give two settings between which the image is sharpest")
    pairs = np.asarray(brackets_mm, dtype=float)
    if not np.isfinite(pairs).all():
        raise bad_input("settings", "one of them is not a number", "read the scale again")
    middles, n = pairs.mean(axis=1), len(pairs)
    rectangular = float(np.abs(pairs[:, 1] - pairs[:, 0]).mean()) / 2 / math.sqrt(3)
    scatter = float(middles.std(ddof=1)) / math.sqrt(n) if n > 1 else 0.0
    by_scatter = scatter > rectangular
    u = max(scatter, rectangular)
    return Reading(
        value=float(middles.mean()),
        unit="mm",
        standard_uncertainty=u if u > 0 else None,
        degrees_of_freedom=float(n - 1) if by_scatter else None,
        how=f"sharpest between two settings, {n} {'try' if n == 1 else 'tries'}",
    )


def erection_scatter(heights_mm: Sequence[float]) -> float:
    """Return the standard deviation in mm of a height over openings and closings of the camera.

    Raises
    ------
    BadInputError
        If there are fewer than two heights.
    """
    if len(heights_mm) < 2:
        raise bad_input("erection heights", "one opening shows no scatter", "open and close it five times")
    return float(np.std(heights_mm, ddof=1))


def set_infinity(
    *,
    sharpest: Reading,
    stop_mm: float = 0.0,
    focal_length_mm: float,
    target_distance_mm: float = math.inf,
    u_focal_length_mm: float = 0.0,
    u_target_distance_mm: float = 0.0,
    nodal_separation_mm: float = 0.0,
    glass_behind_film_mm: float = 0.0,
    u_glass_mm: float = 0.0,
    erection_sd_mm: float = 0.0,
    re_erected: bool = False,
    lead_mm: float | None = None,
    budget: FocusBudget | None = None,
) -> InfinitySetting:
    """Return how far the infinity stop is off, and what takes it out.

    Parameters
    ----------
    sharpest : Reading
        Setting of best focus in mm, outwards positive: from `sharpest_setting` or a series of photographs.
    stop_mm : float
        Setting at the infinity stop.
    focal_length_mm, u_focal_length_mm, nodal_separation_mm : float
        For the correction of a near target.
    target_distance_mm, u_target_distance_mm : float
        From the film plane; infinite for a collimator or a far skyline.
    glass_behind_film_mm, u_glass_mm : float
        How far the ground side lies behind the plane of the film (further from the lens); negative in front.
    erection_sd_mm : float
        Scatter of the lens's height from one opening to the next, as a standard deviation.
    re_erected : bool
        Whether the camera was folded and opened between the readings, so that their scatter holds the erection
        scatter already; if not, it counts twice: for the opening measured and for the next one.
    lead_mm : float, optional
        Travel per turn of what is adjusted.
    budget : FocusBudget, optional
        For share and verdict.

    Raises
    ------
    BadInputError
        For a target nearer than the lens allows, a lead of zero, an uncertainty below zero.
    """
    assert sharpest.value is not None
    not_negative("erection scatter", erection_sd_mm, "mm")
    not_negative("uncertainty of the ground glass", u_glass_mm, "mm")
    near = _near_target(
        focal_length_mm, target_distance_mm, u_focal_length_mm, u_target_distance_mm, nodal_separation_mm
    )
    assert near.value is not None
    true = _shifted(
        sharpest,
        glass_behind_film_mm - near.value,
        math.hypot(near.standard_uncertainty or 0.0, u_glass_mm),
        how="corrected for the target's distance and the ground glass",
    )
    assert true.value is not None
    error = replace(true, value=stop_mm - true.value, how="stop less true infinity")
    openings = 1 if re_erected else 2
    used = _shifted(error, 0.0, erection_sd_mm * math.sqrt(openings), how="as the next opening finds it")
    verdict = budget.judge(used) if budget else None
    value = stop_mm - true.value
    return InfinitySetting(
        sharpest=sharpest,
        true_infinity=true,
        error=error,
        erection_sd_mm=erection_sd_mm,
        as_used=used,
        turn=_turn(error, lead_mm),
        turns=None if lead_mm is None else value / lead_mm,
        shim=replace(error, value=-value, how="thickness to add under the lens"),
        share=budget.share(value) if budget else None,
        verdict=verdict,
        advice=_advice(value, lead_mm, verdict),
    )


def _near_target(f: float, distance: float, u_f: float, u_distance: float, nodal: float) -> Reading:
    result = lens_extension(
        focal_length_mm=f,
        distance_mm=distance,
        nodal_separation_mm=nodal,
        u_focal_length_mm=u_f,
        u_distance_mm=u_distance,
    )
    return result.extension


def _shifted(reading: Reading, by_mm: float, u_mm: float, *, how: str) -> Reading:
    """Return the reading moved by a correction; degrees of freedom by Welch-Satterthwaite (JCGM 100, G.4)."""
    assert reading.value is not None
    u0, dof = reading.standard_uncertainty, reading.degrees_of_freedom
    u = None if u0 is None else math.hypot(u0, u_mm)
    if u0 and u and dof is not None:
        dof = dof * (u / u0) ** 4
    return replace(reading, value=reading.value + by_mm, standard_uncertainty=u, degrees_of_freedom=dof, how=how)


def _turn(error: Reading, lead_mm: float | None) -> Reading | None:
    if lead_mm is None:
        return None
    positive("lead", abs(lead_mm), "mm")
    assert error.value is not None
    u = error.standard_uncertainty
    return replace(
        error,
        value=360 * error.value / lead_mm,
        unit="deg",
        standard_uncertainty=None if u is None else abs(360 / lead_mm) * u,
        how="turn that brings the stop to infinity",
    )


def _advice(error_mm: float, lead_mm: float | None, verdict: Verdict | None) -> str:
    where = "too far out" if error_mm > 0 else "too far in"
    way = "in" if error_mm > 0 else "out"
    shim = "take out" if error_mm > 0 else "add"
    turn = "" if lead_mm is None else f"screw the lens {way} by {abs(360 * error_mm / lead_mm):.1f} deg, or "
    move = f"{turn}{shim} {abs(error_mm):.3f} mm of shim"
    if verdict == "within":
        return f"the stop is {abs(error_mm):.3f} mm {where}: within the budget, leave it"
    if verdict == "cannot tell":
        return f"the readings cannot tell: repeat them; for now the stop looks {where}: {move}"
    return f"the stop is {abs(error_mm):.3f} mm {where}: {move}"
