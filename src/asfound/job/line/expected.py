"""What the grammar stumbled over, and what could have stood there, in the user's terms."""

import re

import lark
from lark import Token

from asfound.job.line.context import shortened
from asfound.problems import Problem

# Terminal -> an example of it, the likeliest first.
_EXAMPLES = {
    "WORD": "a name",
    "NUMBER": "a number",
    "UNIT": "a unit",
    "TRY": ".35 drag",
    "FASTENERS": "3 screws",
    "THREAD": "M1.4",
    "LENGTH": "x 2.5 mm",
    "TURNS": "1 1/2 turns",
    "TRAY": "tray A3",
    "REF": "a number of a step or an entry",
    "FREED_BY": "freed by 3",
    "DIRECTION": "clockwise",
    "FAULT_STAGE": "suspected",
    "CONDITION": "soaking",
    "VERDICT": "within",
    "BETWEEN": "between X and Y",
    "AFTER": "after step 4",
    "PM": "+- 0.01",
    "AT": "at a place",
    "WITH": "with a tool",
    "USING": "using white spirit",
    "STAGE": "as left",
    "HELD_TO": "held to 0.3 to 0.4 mm",
    "COCKED": "cocked",
    "DUE": "due 2026-03-14",
    "CHECKED": "checked 2026-03-14",
    "FROM": "from 3",
    "TAIL": "a colon and free text",
    "TEXT": "free text",
}
_MOST = 5


def not_understood(error: lark.exceptions.UnexpectedInput, text: str) -> Problem:
    """Return the problem with the place where the line stopped making sense."""
    span = _span(error, text)
    found = text[slice(*span)]
    what = f"{shortened(found)!r} is not understood here" if found else "the line ends too early"
    wanted = ", ".join(_examples(error))
    remedy = f"write {wanted}" if wanted else "leave it out"
    return Problem(f"column {span[0] + 1}", what, f"{remedy}, or keep the line as a note", span)


def _examples(error: lark.exceptions.UnexpectedInput) -> list[str]:
    allowed = set(getattr(error, "accepts", None) or getattr(error, "allowed", None) or ())
    return [example for name, example in _EXAMPLES.items() if name in allowed][:_MOST]


def _span(error: lark.exceptions.UnexpectedInput, text: str) -> tuple[int, int]:
    end = len(text.rstrip())
    token = getattr(error, "token", None)
    if isinstance(token, Token) and token.type == "$END":
        return end, end
    start = min(error.pos_in_stream or 0, end)
    word = re.compile(r"[^\s,:;]+|.", re.DOTALL).match(text, start)
    return start, word.end() if word else end
