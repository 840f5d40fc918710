"""Back to the datum: what a height error means, and how to take it out by turn, leaf or shim."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from asfound.focus.budget import FocusBudget, check_height, positive
from asfound.problems import bad_input
from asfound.quantity import Reading
from asfound.quantity.tolerance import Verdict

STEP_MM = 0.001  # leaves and shims are reckoned in whole micrometres
MOST_LEAVES = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Stack:
    """Leaves or shims laid together.

    Attributes
    ----------
    leaves_mm : tuple of float
        Thickness of each, the thickest first.
    total_mm, left_mm : float
        Their sum, and the height still missing after them (wanted less sum).
    share : float or None
        What is left as a share of the focus budget.
    """

    leaves_mm: tuple[float, ...]
    total_mm: float
    left_mm: float
    share: float | None

    def flat(self) -> dict[str, object]:
        """Return the stack under its JSON names."""
        return {
            "leaves_mm": list(self.leaves_mm),
            "total_mm": self.total_mm,
            "left_mm": self.left_mm,
            "share": self.share,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class DatumCorrection:
    """A height error and what to do about it.

    Attributes
    ----------
    error : Reading
        Measured less wanted height in mm; positive when the lens stands too far from the film.
    image_shift_mm : float
        How far behind the film the image of infinity lies short of it: for unit focusing, one to one.
    turn : Reading or None
        Degrees to turn the helical; positive screws the lens in. None without a lead.
    turns : float or None
        The same in turns.
    shim : Reading
        Thickness to add under the lens in mm; negative means to take out.
    share : float or None
        Error as a signed share of the half-width of the budget.
    verdict : Verdict or None
        Against the budget.
    stacks : tuple of Stack
        From the drawer, the best of each count of leaves; empty when there is nothing to add.
    """

    error: Reading
    image_shift_mm: float
    turn: Reading | None
    turns: float | None
    shim: Reading
    share: float | None
    verdict: Verdict | None
    stacks: tuple[Stack, ...]

    def flat(self) -> dict[str, object]:
        """Return the correction under its JSON names."""
        turn = {} if self.turn is None else self.turn.flat("turn")
        return {
            **self.error.flat("height_error"),
            "image_shift_mm": self.image_shift_mm,
            **turn,
            "turn_turns": self.turns,
            **self.shim.flat("shim"),
            "share": self.share,
            "verdict": self.verdict,
            "stacks": [stack.flat() for stack in self.stacks],
        }


def datum_correction(
    *,
    height_error: Reading,
    lead_mm: float | None = None,
    budget: FocusBudget | None = None,
    drawer_mm: Sequence[float] = (),
) -> DatumCorrection:
    """Say what a height error does, and how to take it out.

    With unit focusing the whole lens moves, so the image of infinity moves one to one with the height. A turn
    of 360 error / lead screws it away; a shim under the lens adds to the height.

    Parameters
    ----------
    height_error : Reading
        Measured less wanted height in mm, positive when the lens stands too far from the film.
    lead_mm : float, optional
        Travel per turn of the helical.
    budget : FocusBudget, optional
        For the share and the verdict.
    drawer_mm : sequence of float
        Leaves and shims at hand, each listed as often as it is there.

    Raises
    ------
    BadInputError
        If the height has no value (a one-sided reading), the lead is zero, or a leaf is not above zero.
    """
    if height_error.value is None:
        raise bad_input("height", "only one side of it is known", "try the next leaf, so that the height is bracketed")
    check_height(height_error)
    error = height_error.value
    turn = None if lead_mm is None else _turn(height_error, lead_mm)
    return DatumCorrection(
        error=height_error,
        image_shift_mm=error,
        turn=turn,
        turns=None if lead_mm is None else error / lead_mm,
        shim=_scaled(height_error, -1.0, "mm"),
        share=budget.share(error) if budget else None,
        verdict=budget.judge(height_error) if budget else None,
        stacks=choose_leaves(wanted_mm=-error, drawer_mm=drawer_mm, budget=budget) if error < 0 else (),
    )


def choose_leaves(
    *,
    wanted_mm: float,
    drawer_mm: Sequence[float],
    most: int = MOST_LEAVES,
    budget: FocusBudget | None = None,
) -> tuple[Stack, ...]:
    """Return, for one leaf, two and so on, the stack nearest to a thickness; only those that come nearer.

    Exact: every sum that up to `most` leaves can make is followed, in whole micrometres.

    Raises
    ------
    BadInputError
        If the thickness or a leaf is not greater than zero.
    """
    positive("thickness wanted", wanted_mm, "mm")
    for leaf in drawer_mm:
        positive("leaf", leaf, "mm")
    ceiling = wanted_mm + max(drawer_mm, default=0.0)
    sums = _reachable([round(leaf / STEP_MM) for leaf in drawer_mm], most, math.ceil(ceiling / STEP_MM))
    found: list[Stack] = []
    for count in range(1, most + 1):
        stacks = [_stack(leaves, wanted_mm, budget) for leaves in sums[count].values()]
        best = min(stacks, key=lambda stack: abs(stack.left_mm), default=None)
        if best and (not found or abs(best.left_mm) < abs(found[-1].left_mm) - STEP_MM / 2):
            found.append(best)
    return tuple(found)


def _reachable(leaves: list[int], most: int, ceiling: int) -> list[dict[int, tuple[int, ...]]]:
    """Return, by count of leaves, each sum that can be made and one way to make it."""
    sums: list[dict[int, tuple[int, ...]]] = [{0: ()}, *({} for _ in range(most))]
    for leaf in sorted(leaves, reverse=True):
        for count in range(most, 0, -1):
            for total, used in sums[count - 1].items():
                if total + leaf <= ceiling:
                    sums[count].setdefault(total + leaf, (*used, leaf))
    return sums


def _stack(leaves: tuple[int, ...], wanted_mm: float, budget: FocusBudget | None) -> Stack:
    thicknesses = tuple(round(leaf * STEP_MM, 3) for leaf in leaves)
    total = round(math.fsum(thicknesses), 3)
    left = wanted_mm - total
    return Stack(leaves_mm=thicknesses, total_mm=total, left_mm=left, share=budget.share(left) if budget else None)


def _turn(error: Reading, lead_mm: float) -> Reading:
    positive("lead", abs(lead_mm), "mm")
    return _scaled(error, 360 / lead_mm, "deg")


def _scaled(reading: Reading, factor: float, unit: str) -> Reading:
    assert reading.value is not None
    u = reading.standard_uncertainty
    return Reading(
        value=factor * reading.value,
        unit=unit,
        standard_uncertainty=None if u is None else abs(factor) * u,
        degrees_of_freedom=reading.degrees_of_freedom,
        how=reading.how,
        state=reading.state,
    )
