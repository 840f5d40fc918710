"""Effort over the travel of a focusing helical: where the ring rubs, and what the thread itself asks for."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from asfound.focus.budget import not_negative
from asfound.problems import bad_input

Surface = Literal["dirty", "dry", "greased"]
Ring = Literal["on", "off"]
Way = Literal["out", "in"]
Floats = NDArray[np.float64]

LEAST_POSITIONS = 6
STIFF_RATIO = 1.5  # of the median of the travel: a choice of this project
CLOSE_END = 0.2  # of the travel: stiffness there alone is commonly accepted (common practice, no source)


@dataclass(frozen=True, slots=True, kw_only=True)
class Effort:
    """One reading of the force at the lever."""

    position: float
    force_n: float
    surface: Surface
    ring: Ring
    way: Way


@dataclass(frozen=True, slots=True, kw_only=True)
class EffortCurve:
    """Force over the travel in one state, both ways averaged at each position.

    Attributes
    ----------
    surface, ring
        The state.
    positions, force_n : tuple of float
        The curve; positions rise from infinity to the close end.
    u_force_n : tuple of float
        Standard uncertainty of each mean.
    way_n : tuple of float
        Half of what out asks for more than in: a load that pulls one way (a spring, the weight), not friction;
        NaN where only one way was read.
    """

    surface: Surface
    ring: Ring
    positions: tuple[float, ...]
    force_n: tuple[float, ...]
    u_force_n: tuple[float, ...]
    way_n: tuple[float, ...]

    def flat(self) -> dict[str, object]:
        """Return the curve under its JSON names."""
        return {
            "surface": self.surface,
            "ring": self.ring,
            "positions": list(self.positions),
            "force_n": list(self.force_n),
            "u_force_n": list(self.u_force_n),
            "way_n": list(self.way_n),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """A run of positions that stand out.

    Attributes
    ----------
    first, last : float
        Its first and last position.
    greatest_n : float
        The greatest force in it (of a rub: over what the thread asks for).
    scuffs : tuple of float
        Scuff marks that lie in it, half a step to either side allowed.
    """

    first: float
    last: float
    greatest_n: float
    scuffs: tuple[float, ...]

    def flat(self) -> dict[str, object]:
        """Return the zone under its JSON names."""
        return {
            "first": self.first,
            "last": self.last,
            "greatest_n": self.greatest_n,
            "scuffs": list(self.scuffs),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Rub:
    """Ring on less ring off in one surface state: what the ring alone asks for."""

    surface: Surface
    positions: tuple[float, ...]
    rub_n: tuple[float, ...]
    u_rub_n: tuple[float, ...]
    zones: tuple[Zone, ...]

    def flat(self) -> dict[str, object]:
        """Return the rub under its JSON names."""
        return {
            "surface": self.surface,
            "positions": list(self.positions),
            "rub_n": list(self.rub_n),
            "u_rub_n": list(self.u_rub_n),
            "zones": [zone.flat() for zone in self.zones],
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class EffortFinding:
    """What the effort over the travel says.

    Attributes
    ----------
    curves : tuple of EffortCurve
        Every state read, in the order dirty, dry, greased; ring on before off.
    rubs : tuple of Rub
        For each surface state read with the ring on and off.
    stiff : tuple of Zone
        Where the thread itself is stiff, by the latest state with the ring off (else on).
    close_end_only : bool
        Whether the thread is stiff only near the close end, which is commonly accepted (common practice, no
        source).
    scuffs : tuple of float
        The scuff marks as given, for the drawing.
    grease_gain_n : float or None
        Mean force dry less greased, ring alike; None where not both were read.
    advice : str
        What it means, in one sentence.
    """

    curves: tuple[EffortCurve, ...]
    rubs: tuple[Rub, ...]
    stiff: tuple[Zone, ...]
    close_end_only: bool
    scuffs: tuple[float, ...]
    grease_gain_n: float | None
    advice: str

    def flat(self) -> dict[str, object]:
        """Return the finding under its JSON names."""
        return {
            "curves": [curve.flat() for curve in self.curves],
            "rubs": [rub.flat() for rub in self.rubs],
            "stiff": [zone.flat() for zone in self.stiff],
            "close_end_only": self.close_end_only,
            "scuffs": list(self.scuffs),
            "grease_gain_n": self.grease_gain_n,
            "advice": self.advice,
        }


def effort_finding(*, readings: Sequence[Effort], u_force_n: float, scuffs: Sequence[float] = ()) -> EffortFinding:
    """Compare the states of a helical over its travel.

    Ring on less ring off is what the ring rubs; the rest is the thread. A position stands out when it exceeds
    what the readings' scatter gives with a chance of 5 % over the whole travel (one-sided, shared out over the
    positions). The thread is called stiff where it asks for half as much again as the median of its travel.

    Parameters
    ----------
    readings : sequence of Effort
        At six positions or more in each state (6 to 12 are usual), positions rising from infinity to the close
        end, both ways; repeats are averaged.
    u_force_n : float
        Standard uncertainty of one force.
    scuffs : sequence of float
        Positions of scuff marks.

    Raises
    ------
    BadInputError
        For too few positions, a force below zero, or ring on and off read at different positions.
    """
    not_negative("uncertainty of a force", u_force_n, "N")
    curves = tuple(_curves(readings, u_force_n))
    if not curves:
        raise bad_input("effort", "there are no readings", "read the force at 6 to 12 positions, both ways")
    rubs = tuple(_rubs(curves, scuffs))
    thread = max(curves, key=lambda c: (c.ring == "off", SURFACES.index(c.surface)))
    stiff = _stiff(thread, scuffs)
    ends = thread.positions[-1] - CLOSE_END * (thread.positions[-1] - thread.positions[0])
    close_only = bool(stiff) and all(zone.first >= ends for zone in stiff)
    return EffortFinding(
        curves=curves,
        rubs=rubs,
        stiff=stiff,
        close_end_only=close_only,
        scuffs=tuple(scuffs),
        grease_gain_n=_gain(curves),
        advice=_advice(rubs, stiff, close_only),
    )


SURFACES: tuple[Surface, ...] = ("dirty", "dry", "greased")
RINGS: tuple[Ring, ...] = ("on", "off")


def _curves(readings: Sequence[Effort], u_force_n: float) -> Iterable[EffortCurve]:
    for reading in readings:
        if not (math.isfinite(reading.force_n) and reading.force_n >= 0 and math.isfinite(reading.position)):
            what = f"{reading.force_n:g} N at {reading.position:g} is no force"
            raise bad_input("effort", what, "give the size of the force, whichever way it pulls")
    for surface, ring in product(SURFACES, RINGS):
        mine = [r for r in readings if r.surface == surface and r.ring == ring]
        if mine:
            yield _curve(mine, surface, ring, u_force_n)


def _curve(mine: Sequence[Effort], surface: Surface, ring: Ring, u_force_n: float) -> EffortCurve:
    positions = sorted({reading.position for reading in mine})
    if len(positions) < LEAST_POSITIONS:
        what = f"{len(positions)} positions {surface} with the ring {ring} are too few"
        raise bad_input("effort", what, f"read at least {LEAST_POSITIONS} over the whole travel")
    points = [_point([r for r in mine if r.position == position], u_force_n) for position in positions]
    force, u, way = zip(*points, strict=True)
    return EffortCurve(surface=surface, ring=ring, positions=tuple(positions), force_n=force, u_force_n=u, way_n=way)


def _point(here: Sequence[Effort], u_force_n: float) -> tuple[float, float, float]:
    """Return the mean of both ways, its uncertainty, and half the difference of the ways."""
    ways = [[r.force_n for r in here if r.way == way] for way in ("out", "in")]
    read = [forces for forces in ways if forces]
    means = [math.fsum(forces) / len(forces) for forces in read]
    u = math.hypot(*(u_force_n / math.sqrt(len(forces)) for forces in read)) / len(read)
    return math.fsum(means) / len(means), u, (means[0] - means[1]) / 2 if len(read) == 2 else math.nan


def _rubs(curves: Sequence[EffortCurve], scuffs: Sequence[float]) -> Iterable[Rub]:
    for surface in SURFACES:
        pair = [curve for curve in curves if curve.surface == surface]
        if len(pair) == 2:
            yield _rub(pair[0], pair[1], scuffs)


def _rub(on: EffortCurve, off: EffortCurve, scuffs: Sequence[float]) -> Rub:
    travel = on.positions[-1] - on.positions[0]
    alike = len(on.positions) == len(off.positions) and np.allclose(
        on.positions, off.positions, rtol=0, atol=0.01 * travel
    )
    if not alike:
        what = f"{on.surface}: ring on and ring off were read at different positions"
        raise bad_input("effort", what, "read both at the same positions, then they can be compared")
    rub = np.subtract(on.force_n, off.force_n)
    u = np.hypot(on.u_force_n, off.u_force_n)
    return Rub(
        surface=on.surface,
        positions=on.positions,
        rub_n=tuple(rub.tolist()),
        u_rub_n=tuple(u.tolist()),
        zones=_zones(np.array(on.positions), rub, rub > outstanding(len(rub)) * u, scuffs),
    )


def outstanding(positions: int) -> float:
    """Return how many standard uncertainties one of so many positions must exceed: 5 % for all together."""
    return -float(ndtri(0.05 / positions))


def _stiff(curve: EffortCurve, scuffs: Sequence[float]) -> tuple[Zone, ...]:
    force, u = np.array(curve.force_n), np.array(curve.u_force_n)
    usual = float(np.median(force))
    high = (force > STIFF_RATIO * usual) & (force - usual > outstanding(len(force)) * u)
    return _zones(np.array(curve.positions), force, high, scuffs)


def _zones(positions: Floats, force: Floats, high: NDArray[np.bool_], scuffs: Sequence[float]) -> tuple[Zone, ...]:
    """Return the runs of positions that are high, each with the scuffs that lie in it."""
    half = float(np.median(np.diff(positions))) / 2
    edges = np.flatnonzero(np.diff(np.concatenate(([False], high, [False])).astype(int)))
    return tuple(
        Zone(
            first=float(positions[start]),
            last=float(positions[end - 1]),
            greatest_n=float(force[start:end].max()),
            scuffs=tuple(s for s in scuffs if positions[start] - half <= s <= positions[end - 1] + half),
        )
        for start, end in zip(edges[::2], edges[1::2], strict=True)
    )


def _gain(curves: Sequence[EffortCurve]) -> float | None:
    for ring in reversed(RINGS):
        means = {c.surface: float(np.mean(c.force_n)) for c in curves if c.ring == ring}
        if "dry" in means and "greased" in means:
            return means["dry"] - means["greased"]
    return None


def _advice(rubs: Sequence[Rub], stiff: Sequence[Zone], close_only: bool) -> str:
    rubbed = [zone for rub in rubs[-1:] for zone in rub.zones]
    if rubbed:
        where = ", ".join(f"{zone.first:g} to {zone.last:g}" for zone in rubbed)
        seen = " where scuffs are seen" if any(zone.scuffs for zone in rubbed) else ""
        return f"the ring rubs at {where}{seen}: ease it there; what is left is the thread"
    if close_only:
        return "the thread is stiff only near its close end: commonly accepted (common practice, no source)"
    if stiff:
        where = ", ".join(f"{zone.first:g} to {zone.last:g}" for zone in stiff)
        return f"the thread is stiff at {where}: clean it there and look for a bruise"
    return "even over the whole travel"
