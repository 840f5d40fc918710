"""What was walked while firing, laid beside the firings that were found in the recording."""

from collections.abc import Sequence
from dataclasses import dataclass

from asfound.book import Book
from asfound.capture.live_file import LiveTold, ToldShot, read_told
from asfound.shutter import Firing

# First light as found in the file and while firing; clicks are matched to one another in the file.
SAME_S = 0.01


@dataclass(frozen=True, slots=True)
class Walked:
    """The speed of each firing, in the order of the recording, and the numbers, from 1, of those struck through."""

    marks: tuple[str, ...]
    speeds: tuple[str | None, ...]
    struck: frozenset[int]


def told_of(book: Book, sha256: str) -> LiveTold | None:
    """Return what a live session's recording tells of itself; None for any other recording."""
    return read_told(book.attachment_path(sha256))


def walked_by(firings: Sequence[Firing], told: LiveTold) -> Walked:
    """Lay what was told while firing beside the firings of the recording.

    A firing that nobody was told of belongs to no speed.
    """
    shots = [_shot_of(firing, told) for firing in firings]
    return Walked(
        marks=told.marks,
        speeds=tuple(shot.marked if shot is not None else None for shot in shots),
        struck=frozenset(n for n, shot in enumerate(shots, start=1) if shot is not None and shot.struck),
    )


def _shot_of(firing: Firing, told: LiveTold) -> ToldShot | None:
    near = [shot for shot in told.shots if abs(shot.start_s - firing.start_s) <= SAME_S]
    return min(near, key=lambda shot: abs(shot.start_s - firing.start_s), default=None)
