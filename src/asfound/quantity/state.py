"""The state a camera was in when a step was made or a reading taken."""

from dataclasses import dataclass, fields, replace
from typing import Literal


@dataclass(frozen=True, slots=True, kw_only=True)
class CameraState:
    """What was set, locked, seated and cleaned; None where nobody said.

    A state is carried forward until changed and shown with every reading: a dial reading wide open and one
    at f/11, or a height pushed home and one pulled out, are not the same measurement.
    """

    dial: str | None = None
    shutter: Literal["cocked", "released"] | None = None
    aperture: float | None = None
    focus: str | None = None
    door: Literal["open", "shut"] | None = None
    struts: Literal["locked", "unlocked", "folded"] | None = None
    seated: Literal["push", "pull"] | None = None
    spacer: Literal["in", "out"] | None = None
    surface: Literal["dirty", "dry", "greased"] | None = None

    def then(self, change: "CameraState") -> "CameraState":
        """Return this state with everything that `change` says laid over it."""
        said = {name: value for name in CameraState.__slots__ if (value := getattr(change, name)) is not None}
        return replace(self, **said) if said else self

    def differences(self, other: "CameraState") -> tuple[str, ...]:
        """Name what is said differently in both states (said in only one is no difference)."""
        pairs = ((f.name, getattr(self, f.name), getattr(other, f.name)) for f in fields(self))
        return tuple(name for name, mine, theirs in pairs if None not in (mine, theirs) and mine != theirs)

    def __str__(self) -> str:
        words = []
        if self.dial is not None:
            words.append(f"dial {self.dial}")
        if self.shutter is not None:
            words.append(self.shutter)
        if self.aperture is not None:
            words.append(f"f/{self.aperture:g}")
        if self.focus is not None:
            words.append(f"focus {self.focus}")
        for name in ("door", "struts", "seated", "spacer"):
            value = getattr(self, name)
            if value is not None:
                words.append(f"{name} {value}")
        if self.surface is not None:
            words.append(self.surface)
        return ", ".join(words)
