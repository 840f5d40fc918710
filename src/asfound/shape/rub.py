"""Where a ring rubs over a whole turn, and how much room is short."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from asfound.problems import bad_input
from asfound.shape.charts import Floats
from asfound.shape.ring import Arc, in_arc

STEP_DEG = 0.5


@dataclass(frozen=True, slots=True)
class Profile:
    """A radius for every direction round an axis, at even steps from 0 up to 360 degrees."""

    radius_mm: Floats

    @property
    def angle_deg(self) -> Floats:
        """Direction of each radius."""
        return np.asarray(np.arange(len(self.radius_mm)) * (360.0 / len(self.radius_mm)))


@dataclass(frozen=True, slots=True)
class Rub:
    """The tightest place over a turn.

    Attributes
    ----------
    clearance_mm : float
        The least over the turn; below nought it binds.
    short_mm : float
        How much is missing of the clearance needed; nought where there is enough.
    place_deg : float
        Where on the turning ring, in its own directions.
    turned_deg : float
        How far the ring is turned then.
    rubbing : tuple of (float, float)
        Arcs of the turning ring that come closer than needed somewhere in the turn.
    """

    clearance_mm: float
    short_mm: float
    place_deg: float
    turned_deg: float
    rubbing: tuple[Arc, ...]


def profile(*, angle_deg: Floats, radius_mm: Floats, step_deg: float = STEP_DEG) -> Profile:
    """Return radii at even steps, straight between the measured ones.

    Raises
    ------
    BadInputError
        If half a turn or more has no radius.
    """
    angle = np.mod(np.asarray(angle_deg, float), 360.0)
    order = np.argsort(angle)
    angle, radius = angle[order], np.asarray(radius_mm, float)[order]
    if len(angle) < 3 or np.diff(np.append(angle, angle[0] + 360)).max() >= 180:
        raise bad_input("angles", "they do not go round", "measure radii all the way round the ring")
    even = np.arange(round(360 / step_deg)) * step_deg
    return Profile(np.asarray(np.interp(even, angle, radius, period=360.0)))


def rub_on_pointer(ring: Profile, *, pointer_radius_mm: float, pointer_deg: float, needed_mm: float = 0.0) -> Rub:
    """Return where a ring turning about its axis comes nearest to a fixed pointer outside it.

    Parameters
    ----------
    ring : Profile
        About the axis that it turns on.
    pointer_radius_mm, pointer_deg : float
        Where the pointer's tip is from that axis.
    needed_mm : float
        Clearance to keep.
    """
    clearance = pointer_radius_mm - ring.radius_mm
    least = int(clearance.argmin())
    angle = ring.angle_deg
    return Rub(
        clearance_mm=float(clearance[least]),
        short_mm=max(0.0, needed_mm - float(clearance[least])),
        place_deg=float(angle[least]),
        turned_deg=float((pointer_deg - angle[least]) % 360),
        rubbing=arcs(clearance < needed_mm),
    )


def rub_in_ring(turning: Profile, fixed: Profile, *, needed_mm: float = 0.0) -> Rub:
    """Return where a ring turning inside another comes nearest to it, both about the axis of turning.

    Raises
    ------
    BadInputError
        If both profiles have not the same steps.
    """
    count = len(turning.radius_mm)
    if len(fixed.radius_mm) != count:
        raise bad_input("rings", "their profiles have different steps", "make both with the same step")
    index = np.arange(count)
    # clearance[t, i]: place i of the turning ring when it is turned by t steps.
    clearance = fixed.radius_mm[(index + index[:, None]) % count] - turning.radius_mm
    turned, place = np.unravel_index(int(clearance.argmin()), clearance.shape)
    least = float(clearance[turned, place])
    step = 360.0 / count
    return Rub(
        clearance_mm=least,
        short_mm=max(0.0, needed_mm - least),
        place_deg=float(place * step),
        turned_deg=float(turned * step),
        rubbing=arcs(clearance.min(axis=0) < needed_mm),
    )


def arcs(where: NDArray[np.bool_]) -> tuple[Arc, ...]:
    """Return the arcs of a full turn in which even steps are true, from the first to the last of each."""
    count = len(where)
    if where.all():
        return ((0.0, 360.0),)
    starts = np.flatnonzero(where & ~np.roll(where, 1))
    step = 360.0 / count
    found = []
    for start in starts:
        length = int(np.argmin(np.roll(where, -int(start))))
        found.append((float(start * step), float((start + length - 1) % count * step)))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Scuff:
    """A scuff mark seen on a ring, from one direction to another."""

    from_deg: float
    to_deg: float


@dataclass(frozen=True, slots=True)
class Overlay:
    """A scuff beside what was reckoned: how high the ring stands there, and whether it was to be expected."""

    scuff: Scuff
    deviation_mm: float
    rubs_there: bool


def overlay(scuffs: Sequence[Scuff], ring: Profile, rub: Rub) -> tuple[Overlay, ...]:
    """Lay scuff marks over the ring: the highest deviation from its mean in each, and whether it rubs there."""
    angle = ring.angle_deg
    deviation = ring.radius_mm - ring.radius_mm.mean()
    rubbing = np.zeros(len(angle), dtype=bool)
    for arc in rub.rubbing:
        rubbing |= in_arc(angle, arc)
    found = []
    for scuff in scuffs:
        under = in_arc(angle, (scuff.from_deg, scuff.to_deg))
        found.append(Overlay(scuff, float(deviation[under].max()), bool((rubbing & under).any())))
    return tuple(found)
