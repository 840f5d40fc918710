"""A spring measured at its lever: winding and unwinding part the spring from the friction."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean, stdev
from typing import Literal

from asfound.quantity import CameraState, Reading


@dataclass(frozen=True, slots=True, kw_only=True)
class LeverTry:
    """Forces at the lever at one angle, each tried once or more, in N."""

    angle_deg: float
    winding_n: tuple[float, ...]
    unwinding_n: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TorqueSplit:
    """What spring and friction give at one angle, in N mm."""

    angle_deg: float
    spring: Reading
    friction: Reading


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredSpring:
    """A spring as measured.

    Attributes
    ----------
    rate : Reading or None
        N mm per turn; None with fewer than two angles.
    free_angle : Reading or None
        Lever angle in degrees at which the spring gives nothing.
    clean : bool
        Measured after cleaning: only then is the spring to be judged.
    """

    splits: tuple[TorqueSplit, ...]
    rate: Reading | None
    free_angle: Reading | None
    clean: bool


def split_torque(
    tried: LeverTry, *, arm_mm: float, u_force_n: float = 0.0, u_arm_mm: float = 0.0, clean: bool = True
) -> TorqueSplit:
    """Return spring and friction torque at one angle.

    Spring is half the sum of winding and unwinding, friction half the difference: friction turns round with
    the motion, the spring does not (common practice, no source). Uncertainty by JCGM 100:2008, 5.1.2: scatter
    of the tries, the force gauge for each direction, and the arm, which is common to both.
    """
    up, down = fmean(tried.winding_n), fmean(tried.unwinding_n)
    u_up, u_down = _u_mean(tried.winding_n, u_force_n), _u_mean(tried.unwinding_n, u_force_n)
    u_half = None if u_up is None or u_down is None else math.hypot(u_up, u_down) / 2
    tries = max(len(tried.winding_n), len(tried.unwinding_n))
    state = CameraState(surface="dry" if clean else "dirty")

    def reading(force: float) -> Reading:
        u = None if u_half is None else math.hypot(arm_mm * u_half, force * u_arm_mm)
        how = f"force at {arm_mm:g} mm, winding and unwinding, {tries} tries"
        return Reading(value=arm_mm * force, unit="N·mm", standard_uncertainty=u, how=how, state=state)

    half_sum, half_difference = (up + down) / 2, (up - down) / 2
    return TorqueSplit(angle_deg=tried.angle_deg, spring=reading(half_sum), friction=reading(half_difference))


def _u_mean(forces: Sequence[float], u_gauge: float) -> float | None:
    scatter = stdev(forces) / math.sqrt(len(forces)) if len(forces) > 1 else 0.0
    return math.hypot(scatter, u_gauge) or None


def measure_spring(
    tries: Sequence[LeverTry], *, arm_mm: float, u_force_n: float = 0.0, u_arm_mm: float = 0.0, clean: bool
) -> MeasuredSpring:
    """Return a spring from tries at one or more angles: rate and free angle by a straight line.

    With two angles the line's uncertainty is that of the forces; with more it is at least what the scatter
    about the line says. The arm scales the rate and leaves the free angle alone.
    """
    splits = tuple(split_torque(t, arm_mm=arm_mm, u_force_n=u_force_n, u_arm_mm=u_arm_mm, clean=clean) for t in tries)
    # The line is fitted to torques whose arm is exact; the arm's share comes in at the end.
    bare = [split_torque(t, arm_mm=arm_mm, u_force_n=u_force_n, clean=clean).spring for t in tries]
    line = _line([t.angle_deg for t in tries], bare)
    if line is None:
        return MeasuredSpring(splits=splits, rate=None, free_angle=None, clean=clean)
    slope, u_slope, zero, u_zero, freedom = line
    how = f"straight line through {len(tries)} angles"
    u_rate = None if u_slope is None else math.hypot(360 * u_slope, 360 * slope * u_arm_mm / arm_mm)
    return MeasuredSpring(
        splits=splits,
        rate=Reading(
            value=360 * slope,
            unit="N·mm/turn",
            standard_uncertainty=u_rate,
            degrees_of_freedom=freedom,
            how=how,
        ),
        free_angle=Reading(value=zero, unit="deg", standard_uncertainty=u_zero, degrees_of_freedom=freedom, how=how),
        clean=clean,
    )


_Line = tuple[float, float | None, float, float | None, float | None]


def _line(angles: Sequence[float], torques: Sequence[Reading]) -> _Line | None:
    """Return slope, its uncertainty, the angle of zero torque, its uncertainty, and degrees of freedom."""
    values = [reading.value or 0.0 for reading in torques]
    centre = fmean(angles)
    spread = sum((a - centre) ** 2 for a in angles)
    if spread == 0:
        return None
    slope = sum((a - centre) * t for a, t in zip(angles, values, strict=True)) / spread
    if slope == 0:
        return None
    middle = fmean(values)
    zero = centre - middle / slope
    u, freedom = _u_about_line(angles, values, torques, slope)
    if u is None:
        return slope, None, zero, None, None
    u_slope = u / math.sqrt(spread)
    u_zero = u / abs(slope) * math.sqrt(1 / len(angles) + (zero - centre) ** 2 / spread)
    return slope, u_slope, zero, u_zero, freedom


def _u_about_line(
    angles: Sequence[float], values: Sequence[float], torques: Sequence[Reading], slope: float
) -> tuple[float | None, float | None]:
    """Return the uncertainty of one torque: as stated, or as scattered about the line where that is more."""
    stated = [r.standard_uncertainty for r in torques if r.standard_uncertainty is not None]
    known = math.sqrt(fmean(u * u for u in stated)) if len(stated) == len(torques) else None
    free = len(angles) - 2
    if free < 1:
        return known, None
    centre, middle = fmean(angles), fmean(values)
    squares = sum((t - middle - slope * (a - centre)) ** 2 for a, t in zip(angles, values, strict=True))
    scattered = math.sqrt(squares / free)
    if known is not None and known >= scattered:
        return known, None
    return scattered or None, float(free)


FindingKind = Literal["as its dimensions say", "set", "rate off", "cannot tell"]

Told = Literal["steel", "bronze", "cannot tell"]


def told_by_magnet_and_colour(*, pulled: bool, yellow: bool) -> Told:
    """Tell bronze from steel: a magnet pulls steel, and bronze is yellow to red under its tarnish.

    A grey wire that is not pulled may be stainless steel, whose modulus is near that of steel anyhow; plated
    wire answers to both.
    """
    if pulled == yellow:
        return "cannot tell"
    return "bronze" if yellow else "steel"


_ASK_ARM = "does the arm stand straight, or is it bent and pulls sideways?"
_ASK_BRONZE = "is it bronze and not steel? a magnet does not pull bronze, and it is yellow to red"
_ASKS_RATE = (
    "is the wire measured bare, with a micrometer, in three places? 1 % in diameter is 4 % in rate",
    "does a leg slip in its hole or along its stop while the lever moves?",
    "is the coil free on its pin and between its cheeks, or does it rub?",
    _ASK_ARM,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What the measured spring is against its own dimensions.

    Attributes
    ----------
    rate_ratio : float or None
        Measured rate over the one from the dimensions.
    wire_for_rate_mm : float or None
        The wire diameter that would explain the rate by itself.
    modulus_for_rate_mpa : float or None
        The modulus that would explain it.
    moved_deg : float or None
        By how much the free angle has moved towards the load; positive is set.
    asks : tuple of str
        To be answered before the spring is blamed.
    """

    kind: FindingKind
    rate_ratio: float | None
    u_rate_ratio: float | None
    wire_for_rate_mm: float | None
    modulus_for_rate_mpa: float | None
    moved_deg: float | None
    words: str
    asks: tuple[str, ...]


def compare_with_dimensions(
    measured: MeasuredSpring,
    *,
    rate_n_mm_per_turn: float,
    u_rate_n_mm_per_turn: float,
    wire_diameter_mm: float,
    modulus_mpa: float,
    free_angle_deg: float | None = None,
    u_free_angle_deg: float = 2.0,
    told: Told = "cannot tell",
) -> Finding:
    """Say whether a measured spring is set, or its rate is off, against its own dimensions.

    Rates and angles differ where they lie more than twice their joint standard uncertainty apart. Rate goes
    with the fourth power of the wire, so a rate that is off is first of all a question about the measurement.
    """
    if not measured.clean:
        return _open_finding("not clean: friction may hide the spring; clean it and measure again")
    rate = measured.rate
    if rate is None or rate.value is None or rate.standard_uncertainty is None:
        return _open_finding("rate or its uncertainty is not known; try two angles, each twice")
    ratio = rate.value / rate_n_mm_per_turn
    u_ratio = abs(ratio) * math.hypot(rate.standard_uncertainty / rate.value, u_rate_n_mm_per_turn / rate_n_mm_per_turn)
    moved, u_moved = _moved(measured, free_angle_deg, u_free_angle_deg)
    kind, words, asks = _judge(ratio, u_ratio, moved, u_moved, told)
    positive = max(ratio, 0.0)
    return Finding(
        kind=kind,
        rate_ratio=ratio,
        u_rate_ratio=u_ratio,
        wire_for_rate_mm=wire_diameter_mm * positive**0.25,
        modulus_for_rate_mpa=modulus_mpa * ratio,
        moved_deg=moved,
        words=words,
        asks=asks,
    )


def _moved(measured: MeasuredSpring, was: float | None, u_was: float) -> tuple[float | None, float]:
    free = measured.free_angle
    if was is None or free is None or free.value is None:
        return None, 0.0
    return free.value - was, math.hypot(free.standard_uncertainty or 0.0, u_was)


def _judge(
    ratio: float, u_ratio: float, moved: float | None, u_moved: float, told: Told
) -> tuple[FindingKind, str, tuple[str, ...]]:
    if abs(ratio - 1) > 2 * u_ratio:
        return _rate_off(ratio, told)
    if moved is None:
        return "cannot tell", "rate is right; where it once stood free is not known", (_ASK_ARM,)
    if moved > 2 * u_moved:
        return "set", f"rate is right and the free angle has moved {moved:.0f} deg: it has taken a set", (_ASK_ARM,)
    if moved < -2 * u_moved:
        words = (
            f"rate is right and it stands {-moved:.0f} deg further open than drawn: it was re-formed before, or misread"
        )
        return "cannot tell", words, (_ASK_ARM,)
    return "as its dimensions say", "rate and free angle are what the dimensions say", ()


def _rate_off(ratio: float, told: Told) -> tuple[FindingKind, str, tuple[str, ...]]:
    words = f"rate is {ratio:.0%} of what the dimensions say: answer the questions before blaming the spring"
    # Bronze for steel halves the rate; nothing else that could be told from outside does so.
    if not 0.42 <= ratio <= 0.60 or told == "steel":
        return "rate off", words, _ASKS_RATE
    if told == "bronze":
        words = f"rate is {ratio:.0%} of steel's, and it is bronze: reckon it again as phosphor bronze"
        return "rate off", words, _ASKS_RATE
    return "rate off", words, (*_ASKS_RATE, _ASK_BRONZE)


def _open_finding(words: str) -> Finding:
    return Finding(
        kind="cannot tell",
        rate_ratio=None,
        u_rate_ratio=None,
        wire_for_rate_mm=None,
        modulus_for_rate_mpa=None,
        moved_deg=None,
        words=words,
        asks=(_ASK_ARM,),
    )


TWIN_WARNING = "both struts have aged together: a twin that agrees may be as weak"


@dataclass(frozen=True, slots=True, kw_only=True)
class TwinComparison:
    """One strut's spring against its twin's at the same angle; ratio below 1 is weaker than the twin."""

    angle_deg: float
    ratio: float
    u_ratio: float | None
    words: str
    warning: str = TWIN_WARNING


def compare_with_twin(spring: TorqueSplit, twin: TorqueSplit) -> TwinComparison:
    """Compare the spring's torque with that of its twin on the other strut."""
    mine, other = spring.spring, twin.spring
    assert mine.value is not None
    assert other.value
    ratio = mine.value / other.value
    if mine.standard_uncertainty is None or other.standard_uncertainty is None or mine.value == 0:
        return TwinComparison(angle_deg=spring.angle_deg, ratio=ratio, u_ratio=None, words="uncertainty not known")
    u = abs(ratio) * math.hypot(mine.standard_uncertainty / mine.value, other.standard_uncertainty / other.value)
    if abs(ratio - 1) <= 2 * u:
        words = "no difference that the measurement could show"
    else:
        words = f"{'weaker' if ratio < 1 else 'stronger'} than its twin"
    return TwinComparison(angle_deg=spring.angle_deg, ratio=ratio, u_ratio=u, words=words)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cleaning:
    """What cleaning did to friction, as a share of the friction before."""

    friction_before_n_mm: float
    friction_after_n_mm: float
    gone_share: float | None


def compare_cleaning(before: TorqueSplit, after: TorqueSplit) -> Cleaning:
    """Return how much friction cleaning took away."""
    b, a = before.friction.value or 0.0, after.friction.value or 0.0
    return Cleaning(friction_before_n_mm=b, friction_after_n_mm=a, gone_share=(b - a) / b if b > 0 else None)
