"""The walk along the dial while firing: which speed next, how many shots are left, and what a struck shot changes."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from asfound.problems import Problem
from asfound.shutter.speeds.dial import DEFAULT_SOURCE, DEFAULT_TOLERANCE_STOPS, Dial, judged, tolerances
from asfound.shutter.speeds.marked import MarkedSpeed
from asfound.shutter.timing.firing import Firing


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkedShot:
    """One firing of a walk.

    Attributes
    ----------
    marked : str or None
        The speed that was to be fired; None where the walk was complete.
    firing : Firing
    final : bool
        Whether more will be known of it.
    struck : bool
        Whether it was struck through as a bad shot.
    """

    marked: str | None
    firing: Firing
    final: bool = False
    struck: bool = False

    @property
    def time_s(self) -> float | None:
        """Its time: by light, else between the clicks."""
        return self.firing.effective_s if self.firing.effective_s is not None else self.firing.open_s

    @property
    def is_good(self) -> bool:
        """Whether it counts: it has a time and was not struck."""
        return not self.struck and self.time_s is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Walk:
    """Where somebody is on the dial.

    Attributes
    ----------
    marks : tuple of str
        In the order to be fired.
    each : int
        Good shots wanted of each.
    at : str or None
        The speed to be fired next; None once all are complete.
    stays : bool
        Whether it stays at one speed, as while an adjuster is trimmed.
    shots : tuple of WalkedShot
        In the order fired.
    """

    marks: tuple[str, ...]
    each: int
    at: str | None
    stays: bool = False
    shots: tuple[WalkedShot, ...] = ()

    def good(self, mark: str) -> tuple[WalkedShot, ...]:
        """Return the shots that count for a speed."""
        return tuple(shot for shot in self.shots if shot.marked == mark and shot.is_good)

    def left(self, mark: str) -> int:
        """Return how many good shots are still wanted of a speed."""
        return max(0, self.each - len(self.good(mark)))

    def after(self, mark: str) -> str | None:
        """Return the speed after one: the next along the dial that is not complete, None if all are."""
        place = self.marks.index(mark)
        onward = (*self.marks[place + 1 :], *self.marks[: place + 1])
        return next((one for one in onward if self.left(one)), None)


def begin(marks: Sequence[str], *, each: int, watch: str | None = None) -> Walk:
    """Return a walk before its first shot.

    Parameters
    ----------
    marks : sequence of str
        One or more, each once.
    each : int
        At least one.
    watch : str, optional
        Stay at this speed, one of them.
    """
    return Walk(marks=tuple(marks), each=each, at=watch or marks[0], stays=watch is not None)


def fired(walk: Walk, firing: Firing, *, final: bool) -> Walk:
    """Return the walk after a firing: it belongs to the speed that was to be fired."""
    shot = WalkedShot(marked=walk.at, firing=firing, final=final)
    return _moved_on(replace(walk, shots=(*walk.shots, shot)))


def told_more(walk: Walk, place: int, firing: Firing, *, final: bool) -> Walk:
    """Return the walk once more is known of a shot."""
    return _with(walk, place, replace(walk.shots[place], firing=firing, final=final))


def withdrawn(walk: Walk, place: int) -> Walk:
    """Return the walk without what was no firing after all; the speed is the one it stood at."""
    mark = walk.shots[place].marked
    shots = tuple(shot for at, shot in enumerate(walk.shots) if at != place)
    return replace(walk, shots=shots, at=mark if mark is not None and place == len(shots) else walk.at)


def struck(walk: Walk, place: int) -> Walk:
    """Return the walk with a shot struck through, or counted again where it was.

    Striking the latest shot goes back to its speed.
    """
    return _with(walk, place, replace(walk.shots[place], struck=not walk.shots[place].struck))


def last_standing(walk: Walk) -> int | None:
    """Return the place of the latest shot that is not struck."""
    return next((at for at in reversed(range(len(walk.shots))) if not walk.shots[at].struck), None)


def picked(walk: Walk, mark: str) -> Walk:
    """Return the walk at a speed chosen by hand."""
    return replace(walk, at=mark)


def stepped(walk: Walk, step: int) -> Walk:
    """Return the walk one speed further along the dial, or back."""
    if walk.at is None:
        return replace(walk, at=walk.marks[0 if step > 0 else -1])
    return replace(walk, at=walk.marks[(walk.marks.index(walk.at) + step) % len(walk.marks)])


def _with(walk: Walk, place: int, shot: WalkedShot) -> Walk:
    changed = replace(walk, shots=(*walk.shots[:place], shot, *walk.shots[place + 1 :]))
    counted = walk.shots[place].is_good != shot.is_good
    if not counted or place != len(walk.shots) - 1 or shot.marked is None:
        return changed
    return _moved_on(replace(changed, at=shot.marked))


def _moved_on(walk: Walk) -> Walk:
    if walk.stays or walk.at is None or walk.left(walk.at):
        return walk
    return replace(walk, at=walk.after(walk.at))


def read_dial_as_walked(
    firings: Sequence[Firing],
    marked: Sequence[MarkedSpeed],
    *,
    walked: Sequence[str | None],
    tolerance_stops: float = DEFAULT_TOLERANCE_STOPS,
    tolerance_source: str = DEFAULT_SOURCE,
    top_tolerance_stops: float | None = None,
    struck: Collection[int] = (),
) -> tuple[Dial, tuple[Problem, ...]]:
    """Give each firing to the speed that it was fired at, as was said while firing.

    Parameters
    ----------
    firings : sequence of Firing
    marked : sequence of MarkedSpeed
    walked : sequence of str or None
        The mark of each firing; None for one that belongs to no speed.
    tolerance_stops, tolerance_source, top_tolerance_stops, struck
        As in `read_dial`.

    Returns
    -------
    dial : Dial
    problems : tuple of Problem
        For each speed that no good shot was kept for.
    """
    numbered = list(zip(range(1, len(firings) + 1), firings, walked, strict=True))
    shared_out = [[(one, n in struck) for n, one, mark in numbered if mark == speed.mark] for speed in marked]
    limits = tolerances(marked, tolerance_stops=tolerance_stops, top_tolerance_stops=top_tolerance_stops)
    dial = judged(marked, shared_out, limits, tolerance_stops, tolerance_source)
    empty = [row.marked for row in dial.rows if not row.n]
    remedy = "fire it, or leave it out of the speeds"
    return dial, tuple(Problem(mark, f"there is no good shot at {mark}", remedy) for mark in empty)
