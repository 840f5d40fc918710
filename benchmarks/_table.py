"""What a benchmark found, in rows that all stand in one table."""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure beside the bound it is held to; `met` is None where there is no bound."""

    what: str
    measured: str
    bound: str = ""
    met: bool | None = None


def table(figures: Iterable[Figure]) -> str:
    """Return figures as one table, in Markdown."""
    rows = [("what", "measured", "bound", "kept"), ("---", "---", "---", "---")]
    said = {True: "yes", False: "**no**", None: ""}
    rows += [(one.what, one.measured, one.bound, said[one.met]) for one in figures]
    return "\n".join("| " + " | ".join(row) + " |" for row in rows)
