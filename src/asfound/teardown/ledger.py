"""The ledger: every part and fastener is on the tray, in the camera, waiting or missing, at every moment."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal
from uuid import UUID

from asfound.teardown.fastener import FastenerGroup
from asfound.teardown.fastening import count_of
from asfound.teardown.step import Step

Where = Literal["tray", "camera", "waiting", "missing"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LedgerRow:
    """So many alike things of one step, and where they are.

    Attributes
    ----------
    what : str
        The part's name, or the sort of fastener.
    fastener : bool
        Whether it is a fastener.
    lies : str
        The place, where it is not in the camera.
    """

    what: str
    count: int
    where: Where
    fastener: bool
    part: str
    step: UUID
    number: str
    lies: str = ""


@dataclass(frozen=True, slots=True)
class Ledger:
    """All rows at one moment."""

    rows: tuple[LedgerRow, ...]

    def counts(self, *, fasteners: bool) -> dict[Where, int]:
        """Return how many parts, or fasteners, are where."""
        counts: dict[Where, int] = {"tray": 0, "camera": 0, "waiting": 0, "missing": 0}
        for row in self.rows:
            counts[row.where] += row.count if row.fastener == fasteners else 0
        return counts

    def by_sort(self) -> dict[str, dict[Where, int]]:
        """Return, for each sort of fastener, how many are where."""
        sorts: dict[str, dict[Where, int]] = {}
        for row in self.rows:
            if row.fastener:
                counts = sorts.setdefault(row.what, {"tray": 0, "camera": 0, "waiting": 0, "missing": 0})
                counts[row.where] += row.count
        return dict(sorted(sorts.items()))


def ledger(
    steps: Sequence[Step], *, waiting: Mapping[UUID, str] | None = None, lost: frozenset[UUID] = frozenset()
) -> Ledger:
    """Return where every part and fastener of the steps is.

    Parameters
    ----------
    steps : sequence of Step
        A part that was slackened is in the camera.
    waiting : mapping of UUID to str
        Steps whose part is away or soaking, and where. Its fasteners stay on the tray.
    lost : frozenset of UUID
        Steps whose part was lost.
    """
    rows: list[LedgerRow] = []
    for step in steps:
        place = _place_of(step, waiting or {}, lost)
        lies = "" if place == "camera" else (waiting or {}).get(step.id, step.lies)
        rows.append(_row(step, step.part, 1, place, lies, fastener=False))
        rows += _fasteners(step)
    return Ledger(tuple(rows))


def _place_of(step: Step, waiting: Mapping[UUID, str], lost: frozenset[UUID]) -> Where:
    if step.back or step.action == "slackened":
        return "camera"
    if step.id in lost:
        return "missing"
    return "waiting" if step.id in waiting else "tray"


def _row(step: Step, what: str, count: int, where: Where, lies: str, *, fastener: bool) -> LedgerRow:
    return LedgerRow(
        what=what,
        count=count,
        where=where,
        fastener=fastener,
        part=step.part,
        step=step.id,
        number=step.number,
        lies=lies,
    )


def _fasteners(step: Step) -> list[LedgerRow]:
    """Return the rows of a step's fasteners: those that did not go back with their part are missing."""
    off = count_of(step.fasteners)
    if not step.back:
        where: Where = "camera" if step.action == "slackened" else "tray"
        lies = "" if where == "camera" else step.lies
        return [_row(step, sort, count, where, lies, fastener=True) for sort, count in off.items()]
    back = off if step.fasteners_back is None else _went_back(step.fasteners, step.fasteners_back)
    rows = []
    for sort in sorted({*off, *back}):
        home, short = back.get(sort, 0), max(off.get(sort, 0) - back.get(sort, 0), 0)
        rows += [_row(step, sort, home, "camera", "", fastener=True)] if home else []
        rows += [_row(step, sort, short, "missing", "", fastener=True)] if short else []
    return rows


def _went_back(off: Sequence[FastenerGroup], back: Sequence[FastenerGroup]) -> dict[str, int]:
    """Return what went back by sort; "3 screws" alone are of the sort that came off where there was only one."""
    sorts = {group.sort for group in off}
    counts: dict[str, int] = {}
    for group in back:
        bare = group.thread is None and group.length_mm is None
        sort = next(iter(sorts)) if bare and len(sorts) == 1 else group.sort
        counts[sort] = counts.get(sort, 0) + group.count
    return counts


def put_back_otherwise(steps: Sequence[Step]) -> tuple[str, ...]:
    """Return, a line each, where what went back is not what came off: counts per thread and length."""
    lines = []
    for step in steps:
        if step.fasteners_back is None:
            continue
        off, back = count_of(step.fasteners), _went_back(step.fasteners, step.fasteners_back)
        for sort in sorted({*off, *back}):
            if off.get(sort, 0) != back.get(sort, 0):
                lines.append(f"{step.part}: {back.get(sort, 0)} × {sort} back, {off.get(sort, 0)} came off")
    return tuple(lines)


@dataclass(frozen=True, slots=True)
class TrayCell:
    """One compartment of the tray, by row and column; what lies in it."""

    label: str
    row: str
    column: int
    rows: tuple[LedgerRow, ...]


@dataclass(frozen=True, slots=True)
class TrayMap:
    """The tray as it lies on the bench: compartments, other places, and what nobody said the place of."""

    cells: tuple[TrayCell, ...]
    elsewhere: tuple[tuple[str, tuple[LedgerRow, ...]], ...]
    nowhere: tuple[LedgerRow, ...]

    @property
    def size(self) -> tuple[int, int]:
        """How many rows and columns a drawing of it needs."""
        rows = {cell.row for cell in self.cells}
        return len(rows), max((cell.column for cell in self.cells), default=0)


def tray_map(account: Ledger) -> TrayMap:
    """Return what lies where; a place named like "B10" is row B, column 10."""
    places: dict[str, list[LedgerRow]] = {}
    for row in account.rows:
        if row.where in ("tray", "waiting"):
            places.setdefault(" ".join(row.lies.split()), []).append(row)
    cells, elsewhere = [], []
    for place, rows in places.items():
        found = re.fullmatch(r"(?:tray |cell )?([A-Za-z]{0,2}) ?(\d{1,3})", place)
        if found:
            cells.append(TrayCell(place, found[1].upper(), int(found[2]), tuple(rows)))
        elif place:
            elsewhere.append((place, tuple(rows)))
    cells.sort(key=lambda cell: (len(cell.row), cell.row, cell.column))
    return TrayMap(tuple(cells), tuple(sorted(elsewhere)), tuple(places.get("", ())))
