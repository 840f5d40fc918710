"""Feeler tries as typed: ".35d .40n", "35+", "35-40", ".05+.30 loose"."""

import re

from lark import Token

from asfound.job.line.context import Context
from asfound.quantity import FeelerAnswer, convert, find_unit
from asfound.quantity.feeler import Answer

# The leaves of a usual metric set (common practice, no source); memory may hold the set at hand.
USUAL_LEAVES_MM = tuple(round(0.05 * number, 2) for number in range(1, 21))
# No leaf is as thick as this; a whole number of so many or more, without a unit, is in hundredths of a mm.
_THICKEST_LEAF_MM = 3
_THICKEST_STACK_MM = 10
_LEAF = r"\d+(?:[.,]\d+)?|[.,]\d+"


def show_try(said: FeelerAnswer) -> str:
    """Return a try as it could be typed: "0.35 mm drag", "0.05+0.3 mm loose"."""
    return f"{'+'.join(f'{leaf:g}' for leaf in said.leaf_mm)} mm {said.answer}"


def leaf_try(token: Token, context: Context, unit: str) -> FeelerAnswer:
    """Return one try; numbers without a unit are in `unit`, mm where nobody said one."""
    said = str(token)
    typed = re.search(r'\d\s*(mm|thou|in\b|")', said, re.IGNORECASE)
    symbol = find_unit(typed[1].lower()) if typed else None
    leaves = tuple(
        leaf_mm(token, context, leaf, symbol.symbol if symbol else "", unit) for leaf in re.findall(_LEAF, said)
    )
    return FeelerAnswer(leaves, _answer(said))


def _answer(said: str) -> Answer:
    words = said.strip().lower()
    if re.search(r"loose|l$", words):
        return "loose"
    return "drag" if re.search(r"drag|d$", words) else "no"


def leaf_mm(token: Token, context: Context, number: str, typed: str, remembered: str) -> float:
    """Return the thickness of one leaf."""
    value = context.number(token, number)
    unit = typed or remembered or "mm"
    if unit not in ("mm", "thou", "in"):
        raise context.fault(token, f"a feeler is not read in {unit}", "add mm or thou to the leaf")
    hundredths = not typed and unit == "mm" and number.isdigit() and value >= _THICKEST_LEAF_MM
    thick_mm = value / 100 if hundredths else convert(value, unit, "mm")
    if thick_mm > _THICKEST_STACK_MM:
        what = f"a feeler of {thick_mm:g} mm is too thick"
        raise context.fault(token, what, "type the leaf as in .35, or name another instrument: with depth gauge")
    return thick_mm


def packed_leaves(number: str) -> list[str]:
    """Return the leaves in a run of digits: "35363537" is four leaves of two digits; others stay whole."""
    packed = number.isdigit() and len(number) >= 6 and len(number) % 2 == 0
    return [number[i : i + 2] for i in range(0, len(number), 2)] if packed else [number]


def next_leaf(token: Token, context: Context, unit: str) -> tuple[FeelerAnswer, FeelerAnswer]:
    """Return the two tries of "35+": this leaf is loose, the next of the set will not enter."""
    loose = leaf_mm(token, context, re.findall(_LEAF, token)[0], "", unit)
    leaves = sorted(context.memory.leaves_mm or USUAL_LEAVES_MM)
    thicker = next((leaf for leaf in leaves if leaf > loose + 1e-9), None)
    if thicker is None:
        raise context.fault(token, f"no leaf of the set is thicker than {loose:g} mm", "type both leaves")
    return FeelerAnswer((loose,), "loose"), FeelerAnswer((thicker,), "no")


def tries_of_range(token: Token, context: Context, unit: str) -> tuple[FeelerAnswer, FeelerAnswer]:
    """Return the two tries of "35-40": the first is loose, the second will not enter."""
    low, high = (leaf_mm(token, context, leaf, "", unit) for leaf in re.findall(_LEAF, token)[:2])
    return FeelerAnswer((low,), "loose"), FeelerAnswer((high,), "no")
