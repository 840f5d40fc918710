"""Lengths on a page as whoever sits before it prefers them: in mm, with thou beside it or not, or in thou."""

import re
from contextvars import ContextVar

from asfound.quantity import convert

LENGTHS = ("mm", "thou")
# Set while a page is made, so that what is written in the templates' macros follows it too.
PREFERRED: ContextVar[str] = ContextVar("preferred", default="mm")

_NUMBER = r"[-+−]?\d+(?:\.\d+)?"
_BOTH = re.compile(rf"(?P<mm>{_NUMBER})(?: ± (?P<u>{_NUMBER}))? mm \((?P<thou>{_NUMBER}) thou\)")
# Not a screw's length, which names it, nor a focal length, nor a unit that only begins so.
_BARE = re.compile(
    rf"(?<![×/] )(?<![\w./×])(?P<numbers>{_NUMBER}(?:(?: to | and | or | ± |, |–){_NUMBER})*) mm"
    r"(?![\w/²³·*^]| (?:lens|focal|f/|per |of focal))"
)
_MM_COLUMN = re.compile(r"(?<=\s)mm$")


def preferred(text: str) -> str:
    """Return a text with its lengths in the unit that is preferred; in mm it stays as it is."""
    if PREFERRED.get() != "thou" or " mm" not in text:
        return text
    return _BARE.sub(_bare, _BOTH.sub(_both, text))


def preferred_cell(cell: str, head: str) -> str:
    """Return a cell of a table in the unit that is preferred, where the column's head ends in mm."""
    if PREFERRED.get() == "thou" and _MM_COLUMN.search(head):
        return re.sub(_NUMBER, lambda found: _thou(found[0]), cell)
    return preferred(cell)


def preferred_head(head: str) -> str:
    """Return the head of a column in the unit that is preferred."""
    return _MM_COLUMN.sub("thou", head) if PREFERRED.get() == "thou" else head


def _both(found: re.Match[str]) -> str:
    uncertain = f" ± {_thou(found['u'])}" if found["u"] else ""
    # A no-break space keeps what is in mm already from being taken for a bare length.
    return f"{_thou(found['mm'])}{uncertain} thou ({found['mm']}\N{NO-BREAK SPACE}mm)"


def _bare(found: re.Match[str]) -> str:
    return f"{re.sub(_NUMBER, lambda one: _thou(one[0]), found['numbers'])} thou"


def _thou(millimetres: str) -> str:
    """Return a number of mm in thou to about as fine a step: 0.01 mm is 0.4 thou."""
    _, _, places = millimetres.partition(".")
    signed = "+" if millimetres.startswith("+") else ""
    value = convert(float(millimetres.replace("−", "-")), "mm", "thou")
    return f"{signed}{value:.{max(len(places) - 1, 0)}f}"
