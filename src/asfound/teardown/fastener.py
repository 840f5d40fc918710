"""Fasteners as the hands meet them: a group that came off together."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class FastenerGroup:
    """So many alike fasteners.

    Attributes
    ----------
    count : int
        How many, one or more.
    what : str
        "screw", "nut", "ring", "pin", "clip", "rivet", "washer".
    thread : str or None
        As read or guessed: "M1.4", "1.7 x 0.35", "10 BA".
    length_mm : float or None
        Under the head.
    head, drive : str or None
        "cheese", "countersunk", "pan"; "slot", "spanner holes".
    place : str
        Which of the group's holes, where lengths differ: "top left".
    damaged : int
        How many of them are chewed, bent or cracked.
    left_hand : bool
        Turns off clockwise.
    lacquered : bool
        Sealed with lacquer when found.
    painted : bool or None
        Painted over when found; None: nobody said.
    deformed_head : bool or None
        Deformed by the factory so that nobody turns it out.
    reachable : str or None
        Where it can only be reached in a certain pose or position: that pose.
    """

    count: int = 1
    what: str = "screw"
    thread: str | None = None
    length_mm: float | None = None
    head: str | None = None
    drive: str | None = None
    place: str = ""
    damaged: int = 0
    left_hand: bool = False
    lacquered: bool = False
    deformed_head: bool | None = None
    reachable: str | None = None
    painted: bool | None = None

    def __post_init__(self) -> None:
        if self.count < 1:
            raise ValueError(f"a group has at least one fastener, not {self.count}")
        if not 0 <= self.damaged <= self.count:
            raise ValueError(f"{self.damaged} damaged of {self.count}")
        if self.length_mm is not None and not 0 < self.length_mm < 500:
            raise ValueError(f"a length of {self.length_mm:g} mm is not that of a fastener")

    @property
    def sort(self) -> str:
        """What this fastener is, without how many: equal for fasteners that may be swapped."""
        length = None if self.length_mm is None else f"{self.length_mm:g} mm"
        size = " × ".join(part for part in (self.thread, length) if part)
        kind = " ".join(part for part in (self.head, self.drive, self.what) if part)
        hand = "left-hand" if self.left_hand else ""
        return ", ".join(part for part in (f"{kind} {size}".strip(), hand) if part)

    def __str__(self) -> str:
        extras = [self.place]
        if self.damaged:
            extras.append(f"{self.damaged} damaged")
        if self.lacquered:
            extras.append("lacquered")
        if self.painted:
            extras.append("painted over")
        if self.deformed_head:
            extras.append("head deformed by the factory")
        if self.reachable:
            extras.append(f"reached only {self.reachable}")
        return ", ".join([f"{self.count} × {self.sort}", *(extra for extra in extras if extra)])
