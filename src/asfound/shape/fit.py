"""Play between two parts: tab and groove, pin and hole, bayonet."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from asfound.problems import bad_input
from asfound.quantity import Reading, propagate, student_factor
from asfound.quantity.tolerance import Tolerance, Verdict, verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeUp:
    """What takes up the play.

    Attributes
    ----------
    wanted_mm : float
        Height of a dimple, or thickness of a shim, that leaves just the play to keep.
    shim_mm : float or None
        The thickest of the leaves at hand, or stack of two, that leaves at least the play to keep.
    remains : Reading
        The play with that shim in (or the wanted dimple, if there is no leaf).
    """

    wanted_mm: float
    shim_mm: float | None
    remains: Reading


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """Play of a pair.

    Attributes
    ----------
    play : Reading
        Outer less inner size, in mm; across the whole width or diameter.
    rattle : Reading or None
        Whole angle that the inner part can turn through, in degrees; None without a radius.
    free : {"within", "outside", "cannot tell"}
        Within where there is surely play, outside where the pair surely binds.
    least_mm : float or None
        For a rotating pair measured in several directions: the least clearance over a turn.
    take_up : TakeUp
    """

    play: Reading
    rattle: Reading | None
    free: Verdict
    least_mm: float | None
    take_up: TakeUp


def fit_of(
    *,
    outer: Sequence[Reading],
    inner: Sequence[Reading],
    radius_mm: float | None = None,
    keep_mm: float = 0.0,
    leaves_mm: Sequence[float] = (),
) -> Fit:
    """Return the play of a pair from measured sizes.

    Parameters
    ----------
    outer, inner : sequence of Reading
        Width or diameter of groove or hole, and of tab or pin, in mm; several directions for a rotating pair.
    radius_mm : float, optional
        Where on the part the play is met, for the rattle angle: 2 asin(play / 2 r), as the chord of play.
    keep_mm : float
        Play that must stay.
    leaves_mm : sequence of float
        Shims at hand.

    Returns
    -------
    Fit
        The play is that of the means; the least clearance takes the smallest hole and the largest pin, each
        turned to where they meet.

    Raises
    ------
    BadInputError
        If a size is missing, not in mm, or the radius is less than the play.
    """
    sizes = {f"o{i}": r for i, r in enumerate(outer)} | {f"i{i}": r for i, r in enumerate(inner)}
    _check(outer, inner, sizes)

    def play_of(**s: float) -> float:
        wide = [v for k, v in s.items() if k[0] == "o"]
        narrow = [v for k, v in s.items() if k[0] == "i"]
        return math.fsum(wide) / len(wide) - math.fsum(narrow) / len(narrow)

    play = propagate(play_of, sizes, unit="mm", how="outer less inner").reading
    turning = len(outer) > 1 or len(inner) > 1
    least = min(r.value or 0.0 for r in outer) - max(r.value or 0.0 for r in inner)
    factor = student_factor(play.degrees_of_freedom)
    return Fit(
        play=play,
        rattle=None if radius_mm is None else _rattle(play, radius_mm),
        free=verdict(play, Tolerance(unit="mm", source="free to move", lower=0.0), coverage_factor=factor),
        least_mm=least if turning else None,
        take_up=_take_up(play, least, keep_mm, leaves_mm),
    )


def _check(outer: Sequence[Reading], inner: Sequence[Reading], sizes: dict[str, Reading]) -> None:
    for what, group in (("hole or groove", outer), ("pin or tab", inner)):
        if not group:
            raise bad_input(what, "has no size", "measure it")
    for reading in sizes.values():
        if reading.unit != "mm" or reading.value is None or not reading.value > 0:
            raise bad_input("size", "is not a length above zero in mm", "measure it again")


def _rattle(play: Reading, radius_mm: float) -> Reading:
    value = play.value or 0.0
    if not radius_mm > abs(value) / 2:
        raise bad_input("radius", f"{radius_mm:g} mm is less than the play", "give where the play is met")

    def angle(play: float) -> float:
        return 2 * math.degrees(math.asin(max(-1.0, min(1.0, play / (2 * radius_mm)))))

    return propagate(angle, {"play": play}, unit="deg", how=f"play at {radius_mm:g} mm").reading


def _take_up(play: Reading, least: float, keep_mm: float, leaves_mm: Sequence[float]) -> TakeUp:
    wanted = max(0.0, least - keep_mm)
    stacks = [a + b for i, a in enumerate(leaves_mm) for b in (0.0, *leaves_mm[i + 1 :])]
    shim = max((stack for stack in stacks if stack <= wanted + 1e-12), default=None)
    taken = wanted if shim is None and not leaves_mm else shim or 0.0
    remains = Reading(
        value=(play.value or 0.0) - taken,
        unit="mm",
        standard_uncertainty=play.standard_uncertainty,
        degrees_of_freedom=play.degrees_of_freedom,
        how="play less what takes it up",
    )
    return TakeUp(wanted_mm=wanted, shim_mm=shim, remains=remains)
