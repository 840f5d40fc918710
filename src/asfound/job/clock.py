"""The hybrid logical clock that orders entries written on several benches."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, order=True)
class Stamp:
    """A moment: wall milliseconds since 1970 (UTC), and a counter among entries of one millisecond.

    Never goes back, even where the wall clock does (Kulkarni, Demirbas et al., "Logical Physical Clocks",
    2014, from memory).
    """

    wall_ms: int
    counter: int = 0

    def __str__(self) -> str:
        return f"{self.wall_ms:013d}-{self.counter:06d}"

    @classmethod
    def read(cls, text: str) -> "Stamp":
        """Return the stamp that `str` printed."""
        wall, _, counter = text.partition("-")
        return cls(int(wall), int(counter))


def next_stamp(*, latest: Stamp | None, wall_ms: int) -> Stamp:
    """Return a stamp later than `latest` (the latest seen, own or merged) and no earlier than the wall."""
    if latest is None or wall_ms > latest.wall_ms:
        return Stamp(wall_ms)
    return Stamp(latest.wall_ms, latest.counter + 1)
