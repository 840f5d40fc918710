"""The way back: the order in which parts return, with everything each step must know."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from uuid import UUID

from asfound.problems import Problem
from asfound.quantity import CameraState, Reading
from asfound.quantity.tolerance import Tolerance, Verdict, verdict
from asfound.teardown.fastener import FastenerGroup
from asfound.teardown.step import Step


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingToRestore:
    """A reading as it was found, to be come back to when its part is on again."""

    entry: UUID
    quantity: str
    place: str
    reading: Reading
    tolerance: Tolerance | None
    restored: Reading | None = None

    @property
    def verdict(self) -> Verdict | None:
        """How the reading as left stands to the tolerance; None while there is none, or nothing to hold it to."""
        if self.restored is None or self.tolerance is None or self.restored.unit != self.tolerance.unit:
            return None
        return verdict(self.restored, self.tolerance)

    @property
    def open(self) -> bool:
        """Whether it is still to be restored: not measured again, or not where it should be."""
        return self.restored is None or self.verdict in ("outside", "cannot tell")


@dataclass(frozen=True, slots=True, kw_only=True)
class StepBack:
    """One step of the way back."""

    step: Step
    state: CameraState
    marks: tuple[str, ...] = ()
    restore: tuple[ReadingToRestore, ...] = ()
    cautions: tuple[str, ...] = ()
    waits_for: str = ""

    @property
    def title(self) -> str:
        """What to do, in one line."""
        match self.step.action:
            case "slackened":
                return f"tighten {self.step.part}{_by_turns(self.step.turns)}"
            case "spacer":
                return f"lay in {self.step.part}"
            case _:
                return f"put back {self.step.part}"


def _by_turns(turns: float | None) -> str:
    if turns is None:
        return ""
    return f" by {turns:g} turn{'s' if turns > 1 else ''}, as it was"


@dataclass(frozen=True, slots=True, kw_only=True)
class WayBack:
    """The whole way: steps in order (those done included), and what is not accounted for."""

    steps: tuple[StepBack, ...]
    unaccounted: tuple[str, ...] = ()

    @property
    def open(self) -> tuple[StepBack, ...]:
        """The steps still to be done."""
        return tuple(s for s in self.steps if not s.step.back)


def freed_by(steps: Sequence[Step]) -> tuple[dict[UUID, frozenset[UUID]], tuple[Problem, ...]]:
    """Return, for each step, the steps that had to come before it; unsaid, all previous ones.

    A step said to be freed by a later one, or by one that is not there, is a problem; that freeing is left out.
    """
    place = {step.id: n for n, step in enumerate(steps)}
    before: dict[UUID, frozenset[UUID]] = {}
    problems: list[Problem] = []
    for n, step in enumerate(steps):
        named = frozenset(place) & frozenset(s.id for s in steps[:n]) if step.freed_by is None else step.freed_by
        good = frozenset(id_ for id_ in named if place.get(id_, n) < n)
        if good != named:
            what = f"{step.part} is said to be freed by a step that did not come before it"
            problems.append(Problem(f"step {step.number}", what, "say anew what freed it"))
        before[step.id] = good
    return before, tuple(problems)


def order_back(steps: Sequence[Step], waiting: Iterable[UUID] = ()) -> tuple[Step, ...]:
    """Return the steps in the order they are undone.

    Each step is undone only when every step that it had freed is undone. Among those possible the last taken off
    comes first, so that without more knowledge it is the exact reverse; what waits (a part on order, soaking)
    is left as late as the rest allows.

    Parameters
    ----------
    steps : sequence of Step
        In the order they were taken.
    waiting : iterable of UUID
        Steps whose part cannot go back yet.
    """
    before, _ = freed_by(steps)
    blocked = {step.id: sum(step.id in before[later.id] for later in steps) for step in steps}
    late = frozenset(waiting)
    left = list(steps)
    order: list[Step] = []
    while left:
        ready = [step for step in left if blocked[step.id] == 0]
        chosen = next((step for step in reversed(ready) if step.id not in late), ready[-1])
        left.remove(chosen)
        order.append(chosen)
        for earlier in before[chosen.id]:
            blocked[earlier] -= 1
    return tuple(order)


def way_back(
    steps: Sequence[Step],
    *,
    marks: Mapping[UUID, Sequence[str]] | None = None,
    restore: Mapping[UUID, Sequence[ReadingToRestore]] | None = None,
    cautions: Mapping[UUID, Sequence[str]] | None = None,
    waiting: Mapping[UUID, str] | None = None,
    unaccounted: Sequence[str] = (),
) -> WayBack:
    """Put together the way back from the steps and what the job knows of each, all by step identifier."""
    waits = waiting or {}
    _, problems = freed_by(steps)
    back = tuple(
        StepBack(
            step=step,
            state=replace(step.state, surface=None, spacer=None),
            marks=tuple((marks or {}).get(step.id, ())),
            restore=tuple((restore or {}).get(step.id, ())),
            cautions=tuple((cautions or {}).get(step.id, ())),
            waits_for=waits.get(step.id, ""),
        )
        for step in order_back(steps, waits)
    )
    missing = (*unaccounted, *_without_a_place(steps), *(str(problem) for problem in problems))
    return WayBack(steps=back, unaccounted=missing)


def _without_a_place(steps: Sequence[Step]) -> tuple[str, ...]:
    """Name every part that is off and nobody said where it lies."""
    off = (s for s in steps if s.action != "slackened" and not s.back and not s.lies)
    return tuple(f"step {s.number}: where {s.part} lies was not said" for s in off)


def fastener_count(steps: Iterable[Step]) -> dict[str, int]:
    """Return how many fasteners of each sort are off the camera, to be compared going back."""
    counts: dict[str, int] = {}
    groups: list[FastenerGroup] = [g for s in steps if not s.back and s.action == "off" for g in s.fasteners]
    for group in groups:
        counts[group.sort] = counts.get(group.sort, 0) + group.count
    return counts
