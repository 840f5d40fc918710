"""A better order of the steps still to do, offered beside the one that is shown."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from asfound.teardown.freeing import freed_by
from asfound.teardown.handling import Effort, Handling, changes, fewest_changes
from asfound.teardown.step import Step


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderEffort:
    """What an order costs: how many steps can be done before one waits, and the changes on the way."""

    before_waiting: int
    tool_changes: int
    turnings: int
    cost: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """The cheapest order found, beside the one shown.

    Attributes
    ----------
    order : tuple of Step
        The steps to do; equal to the order shown where nothing better was found.
    shown, offered : OrderEffort
        What each order costs.
    lower_bound : float
        No allowed order has less cost of changes.
    proved : bool
        Whether nothing better is possible.
    """

    order: tuple[Step, ...]
    shown: OrderEffort
    offered: OrderEffort
    lower_bound: float
    proved: bool

    @property
    def better(self) -> bool:
        """Whether the order offered beats the one shown."""
        more = self.offered.before_waiting - self.shown.before_waiting
        return more > 0 or (more == 0 and self.offered.cost < self.shown.cost - 1e-9)

    @property
    def gap(self) -> float:
        """How much dearer than the bound the offer may be, as a share of the bound; 0 if proved."""
        if self.proved:
            return 0.0
        return self.offered.cost / self.lower_bound - 1 if self.lower_bound > 0 else float("inf")

    def __str__(self) -> str:
        said = []
        if self.offered.before_waiting > self.shown.before_waiting:
            said.append(f"{self.offered.before_waiting} steps instead of {self.shown.before_waiting} before one waits")
        for name in ("tool_changes", "turnings"):
            old, new = getattr(self.shown, name), getattr(self.offered, name)
            if old != new:
                said.append(f"{new} instead of {old} {_WORDS[name]}")
        how = "nothing better is possible" if self.proved else f"at most {self.gap:.0%} from the best"
        return f"{', '.join(said)}; {how}" if said else how


_WORDS = {"tool_changes": "changes of tool", "turnings": "turnings over"}


def better_order(
    shown: Sequence[Step],
    steps: Sequence[Step],
    *,
    waiting: Mapping[UUID, int] | None = None,
    effort: Effort | None = None,
    most_states: int = 20_000,
) -> Offer:
    """Return the order of the steps still to do with least waiting, then least changing of tools and turning over.

    Steps that wait, and those that can only follow them, come after all others, the shortest wait first. Exact by a
    best-first search over the sets of steps done; else the best found, with a bound.

    Parameters
    ----------
    shown : sequence of Step
        The whole way back in the order shown, steps done included: the last one done says what is in the hand.
    steps : sequence of Step
        The steps in the order they were taken.
    waiting : mapping of UUID to int
        Steps that cannot be done yet, with how long the wait is: 1 for today, 2 for days, 3 for weeks.
    effort : Effort
        What a change costs.
    most_states : int
        How many states are looked at before the search settles for a bound.
    """
    weights = effort or Effort()
    to_do = [step for step in shown if not step.back]
    place = {step.id: n for n, step in enumerate(to_do)}
    before, _ = freed_by(steps)
    pairs = [(place[s.id], place[e]) for s in to_do for e in before[s.id] if e in place]
    wait = _waits(to_do, pairs, waiting or {})
    later = [(i, j) for i in range(len(to_do)) for j in range(len(to_do)) if wait[i] < wait[j]]
    hand = _in_hand(shown)
    asked = [handling(step) for step in to_do]
    found = fewest_changes(asked, [*pairs, *later], in_hand=hand, effort=weights, most_states=most_states)
    order = [to_do[n] for n in found.sequence]
    as_shown = _effort(to_do, place, wait, hand, weights)
    offered = _effort(order, place, wait, hand, weights)
    if (offered.before_waiting, -offered.cost) <= (as_shown.before_waiting, -as_shown.cost):
        order, offered = to_do, as_shown
    lower = min(found.lower_bound, offered.cost)
    return Offer(order=tuple(order), shown=as_shown, offered=offered, lower_bound=lower, proved=found.proved)


def handling(step: Step) -> Handling:
    """Return what a step asks for."""
    return Handling(tool=" ".join(step.tool.casefold().split()), pose=" ".join(step.pose.casefold().split()))


def _in_hand(shown: Sequence[Step]) -> Handling:
    hand = Handling()
    for step in shown:
        hand = hand.then(handling(step)) if step.back else hand
    return hand


def _waits(to_do: Sequence[Step], pairs: Sequence[tuple[int, int]], waiting: Mapping[UUID, int]) -> list[int]:
    """Return how long each step waits: its own wait, or the longest of a step that must come before it."""
    wait = [waiting.get(step.id, 0) for step in to_do]
    changed = True
    while changed:
        changed = False
        for i, j in pairs:
            if wait[i] > wait[j]:
                wait[j], changed = wait[i], True
    return wait


def _effort(
    order: Sequence[Step], place: Mapping[UUID, int], wait: Sequence[int], hand: Handling, weights: Effort
) -> OrderEffort:
    waits = [wait[place[step.id]] for step in order]
    free = next((n for n, w in enumerate(waits) if w), len(waits))
    tools, turns = changes(map(handling, order), hand)
    cost = weights.of(tool_changes=tools, turnings=turns)
    return OrderEffort(before_waiting=free, tool_changes=tools, turnings=turns, cost=cost)
