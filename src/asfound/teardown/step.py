"""One step of taking apart, as recorded at the bench."""

from dataclasses import dataclass, field
from typing import Literal
from uuid import UUID

from asfound.quantity import CameraState
from asfound.teardown.fastener import FastenerGroup

Action = Literal["off", "slackened", "spacer"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A part that came off, was slackened, or a spacer that was found where it had lain.

    Attributes
    ----------
    id : UUID
        The entry that recorded it.
    number : str
        As shown: "7"; a spacer that belongs after step 7 is "7s1".
    freed_by : frozenset of UUID or None
        The steps that had to be done before this one. None: nobody said, so all previous ones are assumed.
    not_by : frozenset of UUID
        While all previous steps are assumed: those that were said not to have freed this one.
    lies : str
        Where the part and its fasteners are: a tray cell, "in solvent", "at the plater". Empty: nobody said.
    state : CameraState
        What the camera was in when the step was made.
    fasteners_back : tuple of FastenerGroup or None
        What went back with the part, where that was said; None: taken to be what came off.
    """

    id: UUID
    number: str
    action: Action
    part: str
    turns: float | None = None
    fasteners: tuple[FastenerGroup, ...] = ()
    lies: str = ""
    held_by: str = ""
    freed_by: frozenset[UUID] | None = None
    not_by: frozenset[UUID] = frozenset()
    tool: str = ""
    pose: str = ""
    note: str = ""
    state: CameraState = field(default_factory=CameraState)
    back: bool = False
    fasteners_back: tuple[FastenerGroup, ...] | None = None

    @property
    def assumed(self) -> bool:
        """Whether what freed it was not said, so that everything before it is assumed."""
        return self.freed_by is None
