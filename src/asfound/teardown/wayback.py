"""The way back: the order in which parts return, with everything each step must know."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from uuid import UUID

from asfound.quantity import CameraState, Reading
from asfound.quantity.tolerance import Tolerance, Verdict, verdict
from asfound.teardown.fastener import FastenerGroup
from asfound.teardown.fastening import closes, count_of, how_to_start
from asfound.teardown.freeing import freed_by
from asfound.teardown.holding import held_order
from asfound.teardown.ordering import shortest_order
from asfound.teardown.proving import PlacedProof
from asfound.teardown.step import Step

__all__ = [
    "ReadingToRestore",
    "StepBack",
    "WayBack",
    "fastener_count",
    "order_back",
    "shortest_order",
    "shown_order",
    "way_back",
]


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
    """One step of the way back.

    Attributes
    ----------
    state : CameraState
        The state to be in.
    fastening : tuple of str
        How to put in its fasteners.
    count_before : tuple of (str, int)
        Before a step that closes: the fasteners that must still lie on the tray, its own included. One short may
        be inside.
    proofs : tuple of PlacedProof
        What is cheapest to measure as soon as this step is done.
    """

    step: Step
    state: CameraState
    marks: tuple[str, ...] = ()
    restore: tuple[ReadingToRestore, ...] = ()
    cautions: tuple[str, ...] = ()
    waits_for: str = ""
    fastening: tuple[str, ...] = ()
    count_before: tuple[tuple[str, int], ...] = ()
    proofs: tuple[PlacedProof, ...] = ()

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
    proofs: Mapping[UUID, Sequence[PlacedProof]] | None = None,
    unaccounted: Sequence[str] = (),
    order: Sequence[Step] | None = None,
) -> WayBack:
    """Put together the way back from the steps and what the job knows of each, all by step identifier.

    Parameters
    ----------
    order : sequence of Step
        The order to show; without it `order_back`.
    """
    waits = waiting or {}
    before, problems = freed_by(steps)
    shown = order_back(steps, waits) if order is None else order
    back = tuple(
        StepBack(
            step=step,
            state=replace(step.state, surface=None, spacer=None),
            marks=tuple((marks or {}).get(step.id, ())),
            restore=tuple((restore or {}).get(step.id, ())),
            cautions=tuple((cautions or {}).get(step.id, ())),
            waits_for=waits.get(step.id, ""),
            fastening=how_to_start(step.fasteners),
            count_before=_on_tray(shown[n:]) if not step.back and closes(step, before, steps) else (),
            proofs=tuple((proofs or {}).get(step.id, ())),
        )
        for n, step in enumerate(shown)
    )
    missing = (*unaccounted, *_without_a_place(steps), *(str(problem) for problem in problems))
    return WayBack(steps=back, unaccounted=missing)


def shown_order(steps: Sequence[Step], waiting: Iterable[UUID] = (), taken: Sequence[UUID] = ()) -> tuple[Step, ...]:
    """Return the order to show: the one last taken, held; without one, `order_back`."""
    fresh = order_back(steps, waiting)
    return held_order(taken, fresh, steps) if taken else fresh


def _on_tray(left: Sequence[Step]) -> tuple[tuple[str, int], ...]:
    """Return the fasteners that lie on the tray while these steps are still to do."""
    return tuple(count_of(group for s in left if s.action == "off" and not s.back for group in s.fasteners).items())


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
