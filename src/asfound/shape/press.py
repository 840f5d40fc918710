"""Where to press a ring that is out of round, and how far: in small steps, measured after each."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from asfound.shape.harmonics import Harmonic, wave

UNKNOWN_SPRING_BACK = (
    "how far a thin old ring springs back cannot be known: press less than you think, let go, measure again, "
    "and write down both"
)


@dataclass(frozen=True, slots=True)
class PressPlace:
    """One place to press.

    Attributes
    ----------
    angle_deg : float
        Where on the ring, from its centre.
    way : {"inwards", "outwards"}
    shortfall_mm : float
        How far that place must stay moved for the ring to be round there.
    """

    angle_deg: float
    way: Literal["inwards", "outwards"]
    shortfall_mm: float


@dataclass(frozen=True, slots=True)
class PressMade:
    """A press that was made: how far it was pushed, and how far it stayed moved."""

    pushed_mm: float
    stayed_mm: float


@dataclass(frozen=True, slots=True)
class SpringBack:
    """What the presses made so far teach: what springs back wholly, and what share of the rest stays."""

    springs_back_mm: float
    stays_share: float
    presses: int


def press_places(lobes: Sequence[Harmonic], *, allowed_mm: float = 0.0) -> tuple[PressPlace, ...]:
    """Return where to press, the worst first: tops of the ring inwards, hollows outwards.

    Parameters
    ----------
    lobes : sequence of Harmonic
        Of order 2 and above, about the least-squares centre; order 1 is no matter of pressing.
    allowed_mm : float
        Deviation from the mean circle that may stay.

    Notes
    -----
    The turning points of the waves' sum, so that scatter of single points is not chased. Common practice,
    no source.
    """
    waves = tuple(h for h in lobes if h.order > 1)
    if not waves:
        return ()
    angle = np.arange(0, 360, 0.25)
    deviation = wave(waves, angle)
    before, after = np.roll(deviation, 1), np.roll(deviation, -1)
    turning = ((deviation > before) & (deviation >= after)) | ((deviation < before) & (deviation <= after))
    places = []
    for i in np.flatnonzero(turning & (np.abs(deviation) > max(allowed_mm, 1e-12))):
        way: Literal["inwards", "outwards"] = "inwards" if deviation[i] > 0 else "outwards"
        places.append(PressPlace(float(angle[i]), way, abs(float(deviation[i])) - allowed_mm))
    return tuple(sorted(places, key=lambda place: -place.shortfall_mm))


def learn(presses: Sequence[PressMade]) -> SpringBack | None:
    """Return what presses at alike places teach of the spring-back; None from fewer than two different ones.

    A straight line through stayed against pushed, for those that stayed at all: below its foot all springs
    back. Valid between the smallest and the largest push made.
    """
    stayed = [press for press in presses if press.stayed_mm > 0]
    if len({press.pushed_mm for press in stayed}) < 2:
        return None
    pushed = np.array([press.pushed_mm for press in stayed])
    share, foot = np.polyfit(pushed, [press.stayed_mm for press in stayed], 1)
    if not 0 < share <= 1.5:
        return None
    return SpringBack(max(0.0, -float(foot) / float(share)), float(share), len(stayed))


def next_push_mm(shortfall_mm: float, learned: SpringBack | None, presses: Sequence[PressMade]) -> float:
    """Return how far to push next.

    With nothing learned, half the shortfall more than the longest push that did not stay enough; else what
    the line through the presses says, but never more than half as far again as the longest push made.
    """
    longest = max((press.pushed_mm for press in presses), default=0.0)
    if learned is None:
        return longest + shortfall_mm / 2
    wanted = learned.springs_back_mm + shortfall_mm / learned.stays_share
    return min(wanted, 1.5 * longest) if longest else wanted
