"""Whether the springs hold: what they give together against what is needed."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from asfound.quantity import Reading
from asfound.springs.strength import Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class Holding:
    """Springs against a need at one position.

    Attributes
    ----------
    margin : float or None
        Given over needed; None where nothing is needed.
    share_of_each : tuple of float
        Each spring's share of what they give: two struts need not be alike.
    """

    position: str
    needed_n_mm: float
    given_n_mm: float
    u_given_n_mm: float | None
    margin: float | None
    wanted_margin: float
    share_of_each: tuple[float, ...]
    verdict: Verdict
    words: str


def judge_hold(*, position: str, needed_n_mm: float, springs: Sequence[Reading], wanted_margin: float = 1.3) -> Holding:
    """Say whether springs hold with a margin, at two standard uncertainties.

    The sum of the springs counts, taken as independently measured. Between "surely enough" and "surely too
    little" it cannot be told. A spring without uncertainty is taken as exact. A wanted margin of 1.3 is common
    practice, no source.
    """
    values = [reading.value or 0.0 for reading in springs]
    given = sum(values)
    known = [reading.standard_uncertainty for reading in springs]
    u = math.hypot(*(x for x in known if x is not None)) if any(x is not None for x in known) else None
    wanted = needed_n_mm * wanted_margin
    verdict = _verdict(given, u or 0.0, wanted)
    margin = given / needed_n_mm if needed_n_mm > 0 else None
    shares = tuple(value / given for value in values) if given else tuple(0.0 for _ in values)
    return Holding(
        position=position,
        needed_n_mm=needed_n_mm,
        given_n_mm=given,
        u_given_n_mm=u,
        margin=margin,
        wanted_margin=wanted_margin,
        share_of_each=shares,
        verdict=verdict,
        words=_words(verdict, margin, wanted_margin),
    )


def _verdict(given: float, u: float, wanted: float) -> Verdict:
    if given - 2 * u >= wanted:
        return "within"
    return "outside" if given + 2 * u < wanted else "cannot tell"


def _words(verdict: Verdict, margin: float | None, wanted: float) -> str:
    if margin is None:
        return "nothing is needed here: weight and lock hold by themselves"
    says = f"gives {margin:.2f} times what is needed; {wanted:.2f} times is wanted"
    if verdict == "cannot tell":
        return says + "; closer than the measurement can tell: measure again, or measure where it gives way"
    return says
