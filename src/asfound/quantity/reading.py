"""A measured value with its uncertainty: what every result that a user could act on is."""

import re
from dataclasses import dataclass, field

from asfound.quantity.state import CameraState


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A value, how well it is known, and how it was taken.

    Attributes
    ----------
    value : float or None
        In `unit`. None when only one bound is known: a one-sided reading is never a plus-or-minus.
    unit : str
        Symbol as printed: "mm", "s", "N·mm", "deg", "turn", "N", "1".
    standard_uncertainty : float or None
        One standard uncertainty in `unit` (JCGM 100:2008, 2.3.1). None where nothing is known of it.
    degrees_of_freedom : float or None
        None means infinitely many (an uncertainty taken as exactly known).
    lower, upper : float or None
        Bounds in `unit`, for a reading that is a bracket or one-sided.
    how : str
        How it was taken: instrument, number of tries.
    state : CameraState
        What the camera was in when it was taken.
    """

    value: float | None
    unit: str
    standard_uncertainty: float | None = None
    degrees_of_freedom: float | None = None
    lower: float | None = None
    upper: float | None = None
    how: str = ""
    state: CameraState = field(default_factory=CameraState)

    def flat(self, name: str) -> dict[str, float | None]:
        """Return the reading as flat JSON fields, such as ``x_mm``, ``u_x_mm``, ``dof_x``.

        Bounds appear as ``x_lower_mm`` and ``x_upper_mm`` where they are known.
        """
        suffix = unit_suffix(self.unit)
        flat: dict[str, float | None] = {
            f"{name}{suffix}": self.value,
            f"u_{name}{suffix}": self.standard_uncertainty,
            f"dof_{name}": self.degrees_of_freedom,
        }
        if self.lower is not None:
            flat[f"{name}_lower{suffix}"] = self.lower
        if self.upper is not None:
            flat[f"{name}_upper{suffix}"] = self.upper
        return flat


def unit_suffix(unit: str) -> str:
    """Return the ending that a unit gives to a JSON name: ``_mm``, ``_n_mm``; nothing for a pure number."""
    if unit in ("", "1"):
        return ""
    return "_" + re.sub(r"[^a-z0-9]+", "_", unit.lower().replace("µ", "u")).strip("_")
