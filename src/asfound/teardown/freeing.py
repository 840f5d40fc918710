"""What freed what: the steps that had to be done before each, said or assumed."""

from collections.abc import Iterable, Mapping, Sequence
from uuid import UUID

from asfound.problems import Problem
from asfound.teardown.step import Step


def freed_by(steps: Sequence[Step]) -> tuple[dict[UUID, frozenset[UUID]], tuple[Problem, ...]]:
    """Return, for each step, the steps that had to come before it; unsaid, all previous ones not said to be free of it.

    A step said to be freed by a later one, or by one that is not there, is a problem; that freeing is left out.
    Steps said to wait for each other are named one by one.
    """
    place = {step.id: n for n, step in enumerate(steps)}
    before: dict[UUID, frozenset[UUID]] = {}
    wrong: list[Step] = []
    for n, step in enumerate(steps):
        assumed = frozenset(s.id for s in steps[:n]) - step.not_by
        named = assumed if step.freed_by is None else step.freed_by
        before[step.id] = frozenset(id_ for id_ in named if place.get(id_, n) < n)
        if before[step.id] != named:
            wrong.append(step)
    return before, tuple(_problem(step, steps) for step in wrong)


def _problem(step: Step, steps: Sequence[Step]) -> Problem:
    circle = _circle(step, {s.id: s for s in steps})
    if circle:
        what = f"{step.part} waits for itself: " + " freed by ".join(s.number for s in circle)
    else:
        what = f"{step.part} is said to be freed by a step that did not come before it"
    return Problem(f"step {step.number}", what, "say anew what freed it")


def _circle(start: Step, by_id: Mapping[UUID, Step]) -> tuple[Step, ...]:
    """Return a circle of said freeings through a step, or nothing."""
    trails: list[tuple[Step, ...]] = [(start,)]
    seen = {start.id}
    while trails:
        trail = trails.pop()
        for id_ in sorted(trail[-1].freed_by or ()):
            if id_ == start.id:
                return (*trail, start)
            if id_ in by_id and id_ not in seen:
                seen.add(id_)
                trails.append((*trail, by_id[id_]))
    return ()


def just_before(steps: Sequence[Step]) -> dict[UUID, tuple[UUID, ...]]:
    """Return, for each step, the steps before it that do not follow from the others, in the order taken.

    This is the transitive reduction of what freed what.
    """
    before, _ = freed_by(steps)
    whole: dict[UUID, frozenset[UUID]] = {}
    just: dict[UUID, tuple[UUID, ...]] = {}
    for step in steps:
        implied = frozenset[UUID]().union(*(whole[id_] for id_ in before[step.id]))
        just[step.id] = tuple(s.id for s in steps if s.id in before[step.id] - implied)
        whole[step.id] = before[step.id] | implied
    return just


def needed_before(steps: Sequence[Step], wanted: Iterable[UUID]) -> frozenset[UUID]:
    """Return the wanted steps and every step that had to come before any of them."""
    before, _ = freed_by(steps)
    found: set[UUID] = set()
    left = list(wanted)
    while left:
        id_ = left.pop()
        if id_ not in found and id_ in before:
            found.add(id_)
            left.extend(before[id_])
    return frozenset(found)
