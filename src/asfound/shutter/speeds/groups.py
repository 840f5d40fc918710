"""Which speeds are made by what: driven freely, held by the retard train, held by train and pallet."""

from dataclasses import dataclass
from enum import StrEnum


class Group(StrEnum):
    """How a speed is made."""

    PLAIN = "plain"
    PALLET_OUT = "pallet out"
    PALLET_IN = "pallet in"


@dataclass(frozen=True, slots=True, kw_only=True)
class Train:
    """Where the retard train and its pallet come in: a property of the camera.

    Attributes
    ----------
    retard_from_s : float
        The shortest marked time that the train holds.
    pallet_from_s : float
        The shortest marked time with the pallet in.

    Notes
    -----
    The defaults (train from 1/75 s, pallet from 1/20 s) suit dials of 1 to 1/250 s with a train for 1/50 and
    slower: common practice, no source. Look at the cam plate: it shows where each comes in.
    """

    retard_from_s: float = 1 / 75
    pallet_from_s: float = 1 / 20

    def group(self, nominal_s: float) -> Group:
        """Return how a marked time is made; a share of a thousandth more or less does not count."""
        if nominal_s >= self.pallet_from_s * 0.999:
            return Group.PALLET_IN
        return Group.PALLET_OUT if nominal_s >= self.retard_from_s * 0.999 else Group.PLAIN


USUAL_TRAIN = Train()
