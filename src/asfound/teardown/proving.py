"""Where on the way back each check is cheapest: as soon as what it needs is on, while what it needs off is off."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from asfound.teardown.freeing import needed_before
from asfound.teardown.step import Step


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """Something to measure or prove on the way back.

    Attributes
    ----------
    what : str
        What is checked.
    needs_on, needs_off : frozenset of UUID
        Steps that must be undone already, and steps that must not be undone yet.
    off_assumed : bool
        Whether `needs_off` is only how the camera stood when it was measured before.
    mended_at : frozenset of UUID
        Steps whose part must come off again to put it right; `needs_on` where nobody said.
    entry : UUID or None
        The entry that asks for it.
    missing : str
        "missing" or "stale" while it has no fresh reading; empty when it has one.
    put_off : bool
        Whether it was left for later.
    """

    what: str
    needs_on: frozenset[UUID]
    needs_off: frozenset[UUID] = frozenset()
    off_assumed: bool = True
    mended_at: frozenset[UUID] = frozenset()
    entry: UUID | None = None
    missing: str = "missing"
    put_off: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedProof:
    """A check at its cheapest place, and what failing there, or at the very end, would cost.

    Attributes
    ----------
    after : UUID
        The step after which it is to be made.
    until : str
        The part that shuts it in: before that goes back. Empty: nothing does.
    steps_here, steps_at_end : int
        Steps to take apart again if it fails here, or if it is left to the end.
    minutes_here, minutes_at_end : float or None
        The same in minutes as these steps took; None where none of them was timed.
    overdue : bool
        Whether its place is past and no fresh reading there is.
    put_off : bool
        Whether it was left for later; the handover asks for it.
    """

    what: str
    after: UUID
    until: str
    off_assumed: bool
    steps_here: int
    steps_at_end: int
    minutes_here: float | None
    minutes_at_end: float | None
    entry: UUID | None = None
    missing: str = ""
    overdue: bool = False
    doubt: str = ""
    put_off: bool = False

    def __str__(self) -> str:
        past = ", and its place is past" if self.overdue else ""
        state = f"{self.missing}{', put off' if self.put_off else past}"
        until = f", before {self.until} goes back" if self.until else ""
        cost = f"failing costs {_steps(self.steps_here)} here, {self.steps_at_end} at the end"
        if self.minutes_here is not None and self.minutes_at_end is not None and self.minutes_at_end >= 1:
            cost += f" ({self.minutes_here:.0f} and {self.minutes_at_end:.0f} min)"
        return "; ".join(part for part in (f"{self.what}: {state}{until}", cost, self.doubt) if part)


def _steps(number: int) -> str:
    return f"{number} step{'' if number == 1 else 's'}"


def place_proofs(
    order: Sequence[Step], steps: Sequence[Step], checks: Sequence[Check], minutes: Mapping[UUID, float] | None = None
) -> tuple[PlacedProof, ...]:
    """Return each check at the earliest point of the order where it can be made.

    Parameters
    ----------
    order : sequence of Step
        The way back.
    steps : sequence of Step
        The steps in the order they were taken.
    checks : sequence of Check
        Those that need no step of the order on are made after its first step.
    minutes : mapping of UUID to float
        How long each step took.
    """
    return tuple(_place(order, steps, check, minutes or {}) for check in checks) if order else ()


def _place(order: Sequence[Step], steps: Sequence[Step], check: Check, minutes: Mapping[UUID, float]) -> PlacedProof:
    at = max((n for n, step in enumerate(order) if step.id in check.needs_on), default=0)
    shut = next((n for n, step in enumerate(order) if step.id in check.needs_off), None)
    reach = needed_before(steps, check.mended_at or check.needs_on)
    here = [step for step in order[: at + 1] if step.id in reach]
    late = [step for step in order if step.id in reach]
    too_late = shut is not None and shut <= at
    return PlacedProof(
        what=check.what,
        after=order[at].id,
        until="" if shut is None or too_late else order[shut].part,
        off_assumed=check.off_assumed and shut is not None,
        steps_here=len(here),
        steps_at_end=len(late),
        minutes_here=_minutes(here, minutes),
        minutes_at_end=_minutes(late, minutes),
        entry=check.entry,
        missing=check.missing,
        overdue=bool(check.missing) and order[at].back,
        put_off=bool(check.missing) and check.put_off,
        doubt=_doubt(order[shut], check) if too_late and shut is not None else "",
    )


def _doubt(step: Step, check: Check) -> str:
    if check.off_assumed:
        return f"measured before with {step.part} off; in this order it is on by then"
    return f"{step.part} must be off for it, and is on by then: take it off again or change the order"


def _minutes(steps: Sequence[Step], minutes: Mapping[UUID, float]) -> float | None:
    """Return what taking these steps apart again takes; None where none of them was timed."""
    known = [minutes[step.id] for step in steps if step.id in minutes]
    return sum(known) if known else None
