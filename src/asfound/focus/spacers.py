"""Spacers and shims under the lens: their register, and what a missing, wrong or wedged one does."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from asfound.focus.budget import FocusBudget, not_negative, positive
from asfound.problems import bad_input
from asfound.quantity import Reading

CLOCK_DEG = (90.0, 210.0, 330.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spacer:
    """One spacer or shim, measured at three points a third of a turn apart (90, 210 and 330 degrees).

    Attributes
    ----------
    name : str
        What the bench calls it.
    thickness_mm : tuple of three float
        At 90, 210 and 330 degrees from its mark, counter-clockwise seen from the front.
    radius_mm : float
        Of the circle on which the points lie.
    u_thickness_mm : float or None
        Standard uncertainty of one of the three.
    """

    name: str
    thickness_mm: tuple[float, float, float]
    radius_mm: float
    u_thickness_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Wedge:
    """A spacer's mean thickness and its wedge.

    Attributes
    ----------
    mean : Reading
        In mm.
    slope_x, slope_y : float
        Rise per mm towards 0 and 90 degrees.
    tilt : Reading
        Angle between the faces in degrees. Its uncertainty is that of one slope: near zero tilt the angle
        itself is biased upwards by about as much.
    thickest_at_deg : float
        Clock position of the thickest place.
    """

    mean: Reading
    slope_x: float
    slope_y: float
    tilt: Reading
    thickest_at_deg: float

    def flat(self) -> dict[str, float | None]:
        """Return the wedge under its JSON names."""
        return {
            **self.mean.flat("mean_thickness"),
            **self.tilt.flat("tilt"),
            "slope_x": self.slope_x,
            "slope_y": self.slope_y,
            "thickest_at_deg": self.thickest_at_deg,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class StackEffect:
    """What the spacers that are in do, compared with those that belong there.

    Attributes
    ----------
    infinity_error : Reading
        Thickness in place less thickness wanted in mm, one to one for unit focusing.
    tilt : Reading
        Tilt of the lens in degrees that the wedges make together as they lie.
    tilted_towards_deg : float
        Clock position where the lens stands furthest out.
    corner_error_mm : float or None
        What the tilt displaces the image of infinity at the frame's corner; None without a half-diagonal.
    infinity_share, corner_share : float or None
        Both as shares of the focus budget.
    missing, extra : tuple of str
        Names of spacers that belong there and are not in, and the other way round.
    """

    infinity_error: Reading
    tilt: Reading
    tilted_towards_deg: float
    corner_error_mm: float | None
    infinity_share: float | None
    corner_share: float | None
    missing: tuple[str, ...]
    extra: tuple[str, ...]

    def flat(self) -> dict[str, object]:
        """Return the effect under its JSON names."""
        return {
            **self.infinity_error.flat("infinity_error"),
            **self.tilt.flat("tilt"),
            "tilted_towards_deg": self.tilted_towards_deg,
            "corner_error_mm": self.corner_error_mm,
            "infinity_share": self.infinity_share,
            "corner_share": self.corner_share,
            "missing": list(self.missing),
            "extra": list(self.extra),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenReading:
    """A reading by its name, and the spacers that were in when it was taken."""

    name: str
    spacers: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Flag:
    """A reading that was taken without a spacer that belongs there (or with one that does not)."""

    name: str
    missing: tuple[str, ...]
    extra: tuple[str, ...]
    height_shift_mm: float
    advice: str


def wedge(spacer: Spacer) -> Wedge:
    """Return the mean thickness and the wedge of a spacer from its three points.

    slope_x = (z330 - z210) / (sqrt3 R), slope_y = (2 z90 - z210 - z330) / (3 R): the plane through three points.
    Each slope has the uncertainty sqrt(2/3) u / R, the mean u / sqrt3.

    Raises
    ------
    BadInputError
        If a thickness or the radius is not greater than zero.
    """
    positive("radius", spacer.radius_mm, "mm")
    not_negative("uncertainty of the thickness", spacer.u_thickness_mm, "mm")
    for thickness in spacer.thickness_mm:
        positive(f"thickness of {spacer.name}", thickness, "mm")
    x, y = _slopes(spacer)
    u = spacer.u_thickness_mm
    mean = Reading(
        value=math.fsum(spacer.thickness_mm) / 3,
        unit="mm",
        standard_uncertainty=None if u is None else u / math.sqrt(3),
        how="mean of three points",
    )
    return Wedge(
        mean=mean,
        slope_x=x,
        slope_y=y,
        tilt=_tilt(x, y, _u_slope(spacer)),
        thickest_at_deg=math.degrees(math.atan2(y, x)) % 360,
    )


def stack_effect(
    *,
    present: Sequence[Spacer],
    wanted: Sequence[Spacer],
    half_diagonal_mm: float | None = None,
    budget: FocusBudget | None = None,
) -> StackEffect:
    """Return what the spacers in place do to infinity and to the lens's squareness.

    A lens that tilts by an angle takes the image plane of infinity with it (the plane stays square to the
    axis), so at distance r from the centre the image is off by r tan(tilt). Wedges add as they lie, each
    spacer's own mark to the top.

    Parameters
    ----------
    present, wanted : sequence of Spacer
        Those that are in, and those that belong there; the same spacer is known by its name.
    half_diagonal_mm : float, optional
        From the frame's centre to its corner.
    budget : FocusBudget, optional
        For the shares.
    """
    in_wedges, belong = [wedge(s) for s in present], [wedge(s) for s in wanted]
    x, y = math.fsum(w.slope_x for w in in_wedges), math.fsum(w.slope_y for w in in_wedges)
    thickness = math.fsum(w.mean.value or 0.0 for w in in_wedges)
    target = math.fsum(w.mean.value or 0.0 for w in belong)
    error = thickness - target
    corner = None if half_diagonal_mm is None else half_diagonal_mm * math.hypot(x, y)
    names, belonging = {s.name for s in present}, {s.name for s in wanted}
    # A spacer that is in and belongs in cancels, its uncertainty too.
    differing = [s for s in present if s not in wanted] + [s for s in wanted if s not in present]
    return StackEffect(
        infinity_error=Reading(
            value=error,
            unit="mm",
            standard_uncertainty=_together([w.mean.standard_uncertainty for w in map(wedge, differing)]),
            how="from the register of spacers",
        ),
        tilt=_tilt(x, y, _together([_u_slope(spacer) for spacer in present])),
        tilted_towards_deg=math.degrees(math.atan2(y, x)) % 360,
        corner_error_mm=corner,
        infinity_share=budget.share(error) if budget else None,
        corner_share=budget.share(corner) if budget and corner is not None else None,
        missing=tuple(s.name for s in wanted if s.name not in names),
        extra=tuple(s.name for s in present if s.name not in belonging),
    )


def flag_readings(
    *, wanted: Sequence[Spacer], readings: Iterable[TakenReading], others: Sequence[Spacer] = ()
) -> tuple[Flag, ...]:
    """Return the readings that a late-found spacer puts in doubt, each with the height it was off by.

    Parameters
    ----------
    wanted : sequence of Spacer
        The spacers that belong in, as now known.
    readings : iterable of TakenReading
        Every height or focus reading with the spacers that were in.
    others : sequence of Spacer
        Spacers that do not belong in but may have been.

    Raises
    ------
    BadInputError
        If a reading names a spacer that is in neither list.
    """
    means = {s.name: wedge(s).mean.value or 0.0 for s in (*others, *wanted)}
    belong = [s.name for s in wanted]
    return tuple(flag for reading in readings if (flag := _flag(reading, belong, means)) is not None)


def _flag(reading: TakenReading, belong: list[str], means: dict[str, float]) -> Flag | None:
    for name in sorted(reading.spacers - means.keys()):
        raise bad_input(reading.name, f"spacer {name!r} is not in the register", "measure and enter it first")
    missing = tuple(name for name in belong if name not in reading.spacers)
    extra = tuple(sorted(reading.spacers - set(belong)))
    if not missing and not extra:
        return None
    shift = math.fsum(means[name] for name in extra) - math.fsum(means[name] for name in missing)
    said = [f"without {name}" for name in missing] + [f"with {name}" for name in extra]
    advice = f"taken {' and '.join(said)}: take it again with the right spacers in"
    return Flag(name=reading.name, missing=missing, extra=extra, height_shift_mm=shift, advice=advice)


def _u_slope(spacer: Spacer) -> float | None:
    u = spacer.u_thickness_mm
    return None if u is None else u * math.sqrt(2 / 3) / spacer.radius_mm


def _together(uncertainties: Sequence[float | None]) -> float | None:
    known = [u for u in uncertainties if u is not None]
    return math.hypot(*known) if len(known) == len(uncertainties) else None


def _slopes(spacer: Spacer) -> tuple[float, float]:
    top, left, right = spacer.thickness_mm
    radius = spacer.radius_mm
    return (right - left) / (math.sqrt(3) * radius), (2 * top - left - right) / (3 * radius)


def _tilt(slope_x: float, slope_y: float, u_slope: float | None) -> Reading:
    return Reading(
        value=math.degrees(math.atan(math.hypot(slope_x, slope_y))),
        unit="deg",
        standard_uncertainty=None if u_slope is None else math.degrees(u_slope),
        how="plane through three points",
    )
