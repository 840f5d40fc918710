"""Feeler gauges: every leaf tried at one place, intersected into one reading."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from asfound.problems import Problem
from asfound.quantity.reading import Reading

Answer = Literal["loose", "drag", "no"]
DRAG_UNCERTAINTY_MM = 0.01  # common practice, no source


@dataclass(frozen=True, slots=True)
class FeelerAnswer:
    """One try: the leaves put in together, and how they went.

    Attributes
    ----------
    leaf_mm : tuple of float
        Thickness of each leaf in the stack.
    answer : {"loose", "drag", "no"}
        It goes in loose (the gap is at least this), with drag (the gap is this), or will not enter.
    """

    leaf_mm: tuple[float, ...]
    answer: Answer

    @property
    def size_mm(self) -> float:
        """Thickness of the whole stack."""
        return math.fsum(self.leaf_mm)

    def __str__(self) -> str:
        stack = " + ".join(f"{leaf:g}" for leaf in self.leaf_mm)
        words = {"loose": "loose", "drag": "with drag", "no": "will not enter"}
        return f"{stack} mm {words[self.answer]}"


@dataclass(frozen=True, slots=True)
class _Limit:
    """One side of the interval that a try leaves open, with what its leaves may be wrong by."""

    at_mm: float
    slack_mm: float
    variance_mm2: float
    said: FeelerAnswer


def bracket(
    answers: Sequence[FeelerAnswer],
    *,
    drag_uncertainty_mm: float = DRAG_UNCERTAINTY_MM,
    leaf_tolerance_mm: float = 0.0,
) -> tuple[Reading | None, tuple[Problem, ...]]:
    """Intersect every try at one place into one reading.

    A gap between the largest loose leaf and the smallest that will not enter is taken as equally likely
    anywhere between them: the middle, with half the width over the square root of three (JCGM 100:2008,
    4.3.7). A leaf that drags is its own size, equally likely within `drag_uncertainty_mm` times the square
    root of three, so that alone it has just that standard uncertainty. Leaves are independent, each equally
    likely wrong by up to `leaf_tolerance_mm` (4.3.7 again).

    Parameters
    ----------
    answers : sequence of FeelerAnswer
        The tries, in any order.
    drag_uncertainty_mm : float
        Standard uncertainty of a leaf that drags; 0.01 mm by default (common practice, no source).
    leaf_tolerance_mm : float
        Half-width of what one leaf may differ from its marking.

    Returns
    -------
    tuple
        The reading in mm and the problems. The reading has no value, only `lower` or `upper`, where one
        side alone is known; it is None where there is a problem. `lower` and `upper` already allow for
        the tolerance of the leaves.
    """
    problems = tuple(_faults(answers, drag_uncertainty_mm, leaf_tolerance_mm))
    if problems:
        return None, problems
    drag_mm = drag_uncertainty_mm * math.sqrt(3)
    low = _tightest(answers, "loose", drag_mm, leaf_tolerance_mm)
    high = _tightest(answers, "no", drag_mm, leaf_tolerance_mm)
    if low and high and _disagree(low, high):
        remedy = "try both again, and strike the one that was wrong"
        return None, (Problem("feeler tries", f"{low.said} contradicts {high.said}", remedy),)
    return _reading(answers, low, high, leaf_tolerance_mm), ()


def _faults(answers: Sequence[FeelerAnswer], drag_mm: float, tolerance_mm: float) -> Iterator[Problem]:
    if not answers:
        yield Problem("feeler tries", "there are none", "give at least one, such as 0.35 loose")
    for answer in answers:
        if not answer.leaf_mm or not all(math.isfinite(leaf) and leaf > 0 for leaf in answer.leaf_mm):
            yield Problem("feeler tries", f"{answer}: no leaf is that thick", "give a thickness above zero")
        if answer.answer not in ("loose", "drag", "no"):
            yield Problem("feeler tries", f"{answer.answer!r} is no answer", "say loose, drag or no")
    for name, value in (("drag uncertainty", drag_mm), ("leaf tolerance", tolerance_mm)):
        if not (math.isfinite(value) and value >= 0):
            yield Problem(name, f"{value:g} mm is not possible", "give zero or more")


def _tightest(
    answers: Sequence[FeelerAnswer], side: Literal["loose", "no"], drag_mm: float, tolerance_mm: float
) -> _Limit | None:
    sign = 1 if side == "loose" else -1
    limits = [_limit(answer, -sign * drag_mm, tolerance_mm) for answer in answers if answer.answer in (side, "drag")]
    return max(limits, key=lambda limit: (sign * limit.at_mm, -limit.slack_mm), default=None)


def _limit(answer: FeelerAnswer, drag_mm: float, tolerance_mm: float) -> _Limit:
    leaves = len(answer.leaf_mm)
    if answer.answer == "drag":
        half_mm = math.copysign(math.hypot(drag_mm, tolerance_mm * math.sqrt(leaves)), drag_mm)
        return _Limit(answer.size_mm + half_mm, 0.0, 0.0, answer)
    return _Limit(answer.size_mm, leaves * tolerance_mm, leaves * tolerance_mm**2 / 3, answer)


def _disagree(low: _Limit, high: _Limit) -> bool:
    if {low.said.answer, high.said.answer} == {"loose", "no"}:
        same_leaves = sorted(low.said.leaf_mm) == sorted(high.said.leaf_mm)
        return same_leaves or low.at_mm - low.slack_mm >= high.at_mm + high.slack_mm
    return low.at_mm - low.slack_mm > high.at_mm + high.slack_mm


def _reading(answers: Sequence[FeelerAnswer], low: _Limit | None, high: _Limit | None, tolerance_mm: float) -> Reading:
    value = uncertainty = None
    if low and high:
        value = (low.at_mm + high.at_mm) / 2
        width = max(0.0, high.at_mm - low.at_mm)
        uncertainty = math.sqrt(width**2 / 12 + (low.variance_mm2 + high.variance_mm2) / 4)
    return Reading(
        value=value,
        unit="mm",
        standard_uncertainty=uncertainty,
        lower=_outermost(answers, "loose", tolerance_mm),
        upper=_outermost(answers, "no", tolerance_mm),
        how=f"feeler, {len(answers)} {'try' if len(answers) == 1 else 'tries'}",
    )


def _outermost(answers: Sequence[FeelerAnswer], side: Literal["loose", "no"], tolerance_mm: float) -> float | None:
    """Return the bound that holds whatever the leaves are within their tolerance."""
    sign = 1 if side == "loose" else -1
    bounds = [a.size_mm - sign * len(a.leaf_mm) * tolerance_mm for a in answers if a.answer == side]
    return max(bounds, key=lambda bound: sign * bound, default=None)
