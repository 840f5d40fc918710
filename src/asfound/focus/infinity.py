"""Setting infinity: from readings of where the image is sharpest to how much to turn or shim."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from asfound.focus.budget import FocusBudget, check_height, finite, not_negative, positive
from asfound.focus.focusing import Focusing
from asfound.problems import bad_input
from asfound.quantity import Reading
from asfound.quantity.tolerance import Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class InfinitySetting:
    """Where the infinity stop stands against the true infinity.

    All lengths in mm along the axis, positive outwards from the film; settings are the travel of what moves.

    Attributes
    ----------
    sharpest : Reading
        Setting at which the target was sharpest.
    true_infinity : Reading
        Setting at which infinity is sharp: the sharpest less what the target's distance asks for, and less what
        the ground glass lies off the film's plane.
    error : Reading
        The stop less the true infinity: positive when what moves stands too far out at its stop.
    image_error : Reading
        What the error does to the image of infinity in mm: one to one for unit focusing, by the square of the rear
        group's magnification for a front cell.
    erection_sd_mm : float
        Scatter of the lens's height from one opening of the camera to the next.
    as_used : Reading
        The image error as the next opening will find it: the same value, the erection scatter included.
    turn : Reading or None
        Degrees to screw in what moves (negative: out); None without a lead.
    turns : float or None
        The same in turns.
    shim : Reading
        Thickness to add under the whole lens in mm (negative: to take out).
    share : float or None
        Image error as a signed share of the budget.
    verdict : Verdict or None
        Of the error as used.
    advice : str
        What to do, in one sentence.
    """

    sharpest: Reading
    true_infinity: Reading
    error: Reading
    image_error: Reading
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
            **self.image_error.flat("image_error"),
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
    for setting in pairs.flat:
        finite("settings", float(setting), "mm")
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
    for height in heights_mm:
        finite("erection height", height, "mm")
    return float(np.std(heights_mm, ddof=1))


def set_infinity(
    *,
    sharpest: Reading,
    focusing: Focusing,
    stop_mm: float = 0.0,
    target_distance_mm: float = math.inf,
    u_focal_length_mm: float = 0.0,
    u_target_distance_mm: float = 0.0,
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
    focusing : UnitFocusing or FrontFocusing
        What moves: settings are its travel. Says from where the target's distance is measured, too.
    target_distance_mm, u_target_distance_mm : float
        Infinite for a collimator or a far skyline.
    u_focal_length_mm : float
        Standard uncertainty of the focal length of what moves, for the correction of a near target.
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
    if sharpest.value is None:
        raise bad_input("sharpest setting", "only one side of it is known", "bracket it from both sides")
    check_height(sharpest)
    finite("stop", stop_mm, "mm")
    finite("ground glass", glass_behind_film_mm, "mm")
    not_negative("erection scatter", erection_sd_mm, "mm")
    not_negative("uncertainty of the ground glass", u_glass_mm, "mm")
    positive("lead", 1.0 if lead_mm is None else abs(lead_mm), "mm")
    near, u_near = _near_target(focusing, target_distance_mm, u_focal_length_mm, u_target_distance_mm)
    at_image = focusing.image_per_travel
    true = _shifted(
        sharpest,
        glass_behind_film_mm / at_image - near,
        math.hypot(u_near, u_glass_mm / at_image),
        how="corrected for the target's distance and the ground glass",
    )
    assert true.value is not None
    value = stop_mm - true.value
    error = replace(true, value=value, how="stop less true infinity")
    image = _scaled(error, at_image, "mm", how="what the error does to the image")
    openings = 1 if re_erected else 2
    used = _shifted(image, 0.0, erection_sd_mm * math.sqrt(openings), how="as the next opening finds it")
    verdict = budget.judge(used) if budget else None
    turn = None if lead_mm is None else _scaled(error, 360 / lead_mm, "deg", how="brings the stop to infinity")
    return InfinitySetting(
        sharpest=sharpest,
        true_infinity=true,
        error=error,
        image_error=image,
        erection_sd_mm=erection_sd_mm,
        as_used=used,
        turn=turn,
        turns=None if lead_mm is None else value / lead_mm,
        shim=_scaled(image, -1.0, "mm", how="thickness to add under the whole lens"),
        share=budget.share(at_image * value) if budget else None,
        verdict=verdict,
        advice=_advice(value, at_image * value, lead_mm, verdict),
    )


def _near_target(focusing: Focusing, distance: float, u_f: float, u_distance: float) -> tuple[float, float]:
    """Return the travel that a near target asks for, and its uncertainty (JCGM 100:2008, 5.1.2).

    The slopes are differences over a thousandth, towards what the lens allows.
    """
    not_negative("uncertainty of the focal length", u_f, "mm")
    not_negative("uncertainty of the target's distance", u_distance, "mm")
    travel = focusing.travel_for(distance)
    if math.isinf(distance):
        return travel, 0.0
    by_f = (travel - focusing.scaled(0.999).travel_for(distance)) / (0.001 * focusing.moving_focal_length_mm)
    by_distance = (focusing.travel_for(1.001 * distance) - travel) / (0.001 * distance)
    return travel, math.hypot(by_f * u_f, by_distance * u_distance)


def _shifted(reading: Reading, by_mm: float, u_mm: float, *, how: str) -> Reading:
    """Return the reading moved by a correction; degrees of freedom by Welch-Satterthwaite (JCGM 100, G.4)."""
    assert reading.value is not None
    u0, dof = reading.standard_uncertainty, reading.degrees_of_freedom
    u = None if u0 is None else math.hypot(u0, u_mm)
    if u0 and u and dof is not None:
        dof = dof * (u / u0) ** 4
    return replace(reading, value=reading.value + by_mm, standard_uncertainty=u, degrees_of_freedom=dof, how=how)


def _scaled(reading: Reading, factor: float, unit: str, *, how: str) -> Reading:
    assert reading.value is not None
    u = reading.standard_uncertainty
    return replace(
        reading,
        value=factor * reading.value,
        unit=unit,
        standard_uncertainty=None if u is None else abs(factor) * u,
        how=how,
    )


def _advice(error_mm: float, image_mm: float, lead_mm: float | None, verdict: Verdict | None) -> str:
    where = "too far out" if error_mm > 0 else "too far in"
    way = "in" if error_mm > 0 else "out"
    shim = "take out" if error_mm > 0 else "add"
    turn = "" if lead_mm is None else f"screw it {way} by {abs(360 * error_mm / lead_mm):.1f} deg, or "
    move = f"{turn}{shim} {abs(image_mm):.3f} mm of shim under the whole lens"
    if verdict == "within":
        return f"the stop is {abs(error_mm):.3f} mm {where}: within the budget, leave it"
    if verdict == "cannot tell":
        return f"the readings cannot tell: repeat them; for now the stop looks {where}: {move}"
    return f"the stop is {abs(error_mm):.3f} mm {where}: {move}"
