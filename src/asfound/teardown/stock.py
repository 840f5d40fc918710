"""What else the drawer holds: screws, felt and donors; and which screws of it would do for one that is lost."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from asfound.problems import BadInputError, Problem, bad_input
from asfound.quantity import parse_quantity
from asfound.teardown.fastener import FastenerGroup
from asfound.teardown.threads import find_thread

SCREW_COLUMNS = ("thread", "length", "head", "drive", "count", "lies", "from")
FELT_COLUMNS = ("thickness", "colour", "size", "lies", "from")
DONOR_COLUMNS = ("camera", "has", "gone", "lies")
# A screw this much longer or shorter may do where nothing lies behind the hole; common practice, no source.
NEAR_MM = 0.5
_SAME_MM = 0.1
_MOST = 100_000


@dataclass(frozen=True, slots=True, kw_only=True)
class StockScrew:
    """So many alike screws in the drawer: thread as written, length under the head."""

    thread: str
    length_mm: float | None
    head: str
    drive: str
    count: int
    lies: str
    donor: str

    def __str__(self) -> str:
        size = " × ".join(part for part in (self.thread, _mm(self.length_mm)) if part)
        return " ".join(part for part in (self.head, self.drive, "screw", size) if part)


@dataclass(frozen=True, slots=True, kw_only=True)
class StockFelt:
    """A piece of felt, plush or foam: its thickness unloaded."""

    thickness_mm: float
    colour: str
    size: str
    lies: str
    donor: str

    def __str__(self) -> str:
        return ", ".join(part for part in (f"felt {_mm(self.thickness_mm)}", self.colour, self.size) if part)


@dataclass(frozen=True, slots=True, kw_only=True)
class Donor:
    """A camera kept for its parts: what it still has, and what is gone."""

    camera: str
    has: str
    gone: str
    lies: str

    def __str__(self) -> str:
        return ", ".join(
            part for part in (self.camera, self.has and f"has {self.has}", self.gone and f"gone: {self.gone}") if part
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrewFit:
    """Screws of the drawer that may do; `but` says in what they differ, nothing where they are alike."""

    screw: StockScrew
    but: tuple[str, ...]


def read_screw(cells: Mapping[str, str]) -> StockScrew:
    """Return the screw that the cells of a line say.

    Raises
    ------
    BadInputError
        Whose `where` is the column.
    """
    length = cells.get("length", "").strip()
    return StockScrew(
        thread=_words(cells, "thread", needed="as read on it: M1.4, 10 BA, 1.7 x 0.35"),
        length_mm=_length(length, "length") if length else None,
        head=_words(cells, "head"),
        drive=_words(cells, "drive"),
        count=_count(cells.get("count", "")),
        lies=_words(cells, "lies"),
        donor=_words(cells, "from"),
    )


def read_felt(cells: Mapping[str, str]) -> StockFelt:
    """Return the felt that the cells of a line say; errors as of `read_screw`."""
    return StockFelt(
        thickness_mm=_length(cells.get("thickness", ""), "thickness"),
        colour=_words(cells, "colour"),
        size=_words(cells, "size"),
        lies=_words(cells, "lies"),
        donor=_words(cells, "from"),
    )


def read_donor(cells: Mapping[str, str]) -> Donor:
    """Return the donor that the cells of a line say; errors as of `read_screw`."""
    return Donor(
        camera=_words(cells, "camera", needed="what it is, or what it looks like"),
        has=_words(cells, "has"),
        gone=_words(cells, "gone"),
        lies=_words(cells, "lies"),
    )


def fitting_screws(stock: Sequence[StockScrew], wanted: FastenerGroup) -> tuple[ScrewFit, ...]:
    """Return the screws of the drawer that have the thread wanted and about its length, the most alike first.

    Nothing where the thread wanted was never said: a wrong thread cuts brass at once, so none is guessed.
    """
    if not wanted.thread:
        return ()
    same = [screw for screw in stock if screw.count and _thread(screw.thread) == _thread(wanted.thread)]
    fits = [ScrewFit(screw=screw, but=_differences(screw, wanted)) for screw in same if _near(screw, wanted)]
    return tuple(sorted(fits, key=lambda fit: (len(fit.but), _apart(fit.screw, wanted))))


def fewer(screw: StockScrew, count: int) -> StockScrew | None:
    """Return a line of screws with so many taken out; None where none is left.

    Raises
    ------
    BadInputError
        If there are not so many.
    """
    if not 0 < count <= screw.count:
        raise bad_input("count", f"there are {screw.count}", "take out that many at most")
    return replace(screw, count=screw.count - count) if screw.count > count else None


def screw_cells(screw: StockScrew) -> dict[str, str]:
    """Return a line of screws as its cells, to be read back."""
    return {
        "thread": screw.thread,
        "length": "" if screw.length_mm is None else f"{screw.length_mm:g}",
        "head": screw.head,
        "drive": screw.drive,
        "count": str(screw.count),
        "lies": screw.lies,
        "from": screw.donor,
    }


def _thread(text: str) -> object:
    return find_thread(text) or "".join(text.casefold().split())


def _apart(screw: StockScrew, wanted: FastenerGroup) -> float:
    return 0.0 if screw.length_mm is None or wanted.length_mm is None else abs(screw.length_mm - wanted.length_mm)


def _near(screw: StockScrew, wanted: FastenerGroup) -> bool:
    return _apart(screw, wanted) <= NEAR_MM + 1e-9


def _differences(screw: StockScrew, wanted: FastenerGroup) -> tuple[str, ...]:
    said = []
    if _apart(screw, wanted) > _SAME_MM:
        assert screw.length_mm is not None
        assert wanted.length_mm is not None
        longer = screw.length_mm > wanted.length_mm
        said.append(f"{_mm(_apart(screw, wanted))} {'longer: see what lies behind the hole' if longer else 'shorter'}")
    elif screw.length_mm is None or wanted.length_mm is None:
        said.append("the length of one was not said")
    for name, have, want in (("head", screw.head, wanted.head), ("drive", screw.drive, wanted.drive)):
        if have and want and have.casefold() != want.casefold():
            said.append(f"{name} {have}, not {want}")
    return tuple(said)


def _mm(length_mm: float | None) -> str:
    return "" if length_mm is None else f"{round(length_mm, 3):g} mm"


def _words(cells: Mapping[str, str], name: str, *, needed: str = "") -> str:
    words = " ".join(cells.get(name, "").split())[:400]
    if needed and not words:
        raise BadInputError(Problem(name, "nothing was said", f"write {needed}"))
    return words


def _length(text: str, name: str) -> float:
    value = parse_quantity(text, unit="mm", where=name)
    if not 0 < value < 500:
        raise bad_input(name, f"{value:g} mm is not that of anything in a drawer", "check the number and its unit")
    return value


def _count(text: str) -> int:
    plain = text.strip() or "1"
    if not plain.isdecimal() or not 0 < int(plain) <= _MOST:
        raise bad_input("count", f"{plain!r} is no count", "write how many there are, such as 6")
    return int(plain)
