"""Columns of numbers with a unit in each name, from the text of a CSV file."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from asfound.problems import Problem
from asfound.quantity import UNITS, convert, find_unit, read_number
from asfound.shape.charts import Floats

_BASE = {"length": "mm", "angle": "deg"}


@dataclass(frozen=True, slots=True)
class Table:
    """Columns by name without unit, lengths in mm and angles in degrees."""

    columns: dict[str, Floats]

    def has(self, *names: str) -> bool:
        """Say whether every named column is there."""
        return all(name in self.columns for name in names)


def read_table(text: str, *, where: str, layouts: Sequence[Sequence[str]]) -> tuple[Table | None, tuple[Problem, ...]]:
    """Read columns such as ``x_mm,y_mm``.

    Parameters
    ----------
    text : str
        The whole file: a line of names, then one line for each place. Fields are parted by comma, semicolon
        or tab; empty lines and lines beginning with # do not count.
    where : str
        The file's name, for problems.
    layouts : sequence of sequence of str
        The sets of columns that serve, by name without unit; the first that the file has is used, with any
        other column of numbers that it knows.

    Returns
    -------
    tuple
        The table (None if it cannot be used) and the problems, at most ten.
    """
    lines = [(number, line) for number, line in enumerate(text.lstrip("\ufeff").splitlines(), start=1)]
    lines = [(n, line) for n, line in lines if line.strip() and not line.lstrip().startswith("#")]
    if not lines:
        return None, (Problem(where, "is empty", "give a line of names and one line for each place"),)
    head_line = lines[0][1]
    mark = next((mark for mark in ("\t", ";", ",") if mark in head_line), ",")
    head = [name.strip().strip('"') for name in head_line.split(mark)]
    wanted, problems = _wanted(head, where, layouts)
    if problems:
        return None, problems
    rows, problems = _rows(lines[1:], mark, len(head), wanted, where)
    if problems:
        return None, problems
    columns = np.array(rows, dtype=np.float64).reshape(len(rows), len(wanted))
    names = [name for name, _, _ in wanted]
    return Table({name: columns[:, i].copy() for i, name in enumerate(names)}), ()


_Column = tuple[str, int, str]


def _wanted(head: list[str], where: str, layouts: Sequence[Sequence[str]]) -> tuple[list[_Column], tuple[Problem, ...]]:
    """Return name, place and unit of each column that is used."""
    found = {}
    for place, title in enumerate(head):
        name, _, unit = title.rpartition("_")
        if name and (known := find_unit(unit)) is not None and known.dimension in _BASE:
            found[name.lower()] = (name.lower(), place, known.symbol)
        elif title.lower() == "clock":
            found["clock"] = ("clock", place, "clock")
    layout = next((names for names in layouts if all(name in found for name in names)), None)
    if layout is None:
        choices = " or ".join(",".join(_titled(name) for name in names) for names in layouts)
        what = f"its first line has the names {', '.join(head)[:120]!r}"
        return [], (Problem(f"{where}, line 1", what, f"name the columns {choices}"),)
    used = [found[name] for name in layout]
    lengths = {unit for _, _, unit in used if unit in UNITS and UNITS[unit].dimension == "length"}
    if len(lengths) > 1:
        what = f"mixed units: {' and '.join(sorted(lengths))}"
        return [], (Problem(f"{where}, line 1", what, "give every length in one unit"),)
    return used, ()


def _titled(name: str) -> str:
    return name if name == "clock" else f"{name}_deg" if name == "angle" else f"{name}_mm"


def _rows(
    lines: list[tuple[int, str]], mark: str, width: int, wanted: list[_Column], where: str
) -> tuple[list[list[float]], tuple[Problem, ...]]:
    rows: list[list[float]] = []
    problems: list[Problem] = []
    for number, line in lines:
        cells = line.split(mark)
        place = f"{where}, line {number}"
        if len(cells) != width:
            what = f"has {len(cells)} fields where the first line has {width}"
            problems.append(Problem(place, what, "give every line the same fields"))
            continue
        row = [_cell(cells[at].strip().strip('"'), unit) for _, at, unit in wanted]
        for value, (_, at, unit) in zip(row, wanted, strict=True):
            if isinstance(value, str):
                problems.append(Problem(f"{place}, column {at + 1}", value, f"give a number in {unit}"))
        rows.append([value for value in row if isinstance(value, float)])
        if len(problems) >= 10:
            break
    return rows, tuple(problems)


def _cell(text: str, unit: str) -> float | str:
    """Return a cell in the base unit, or what is wrong with it."""
    if unit == "clock":
        return _clock(text)
    try:
        value = float(text)
    except ValueError:
        try:
            value = read_number(text)
        except ValueError:
            return _not_a_number(text, unit)
    if not math.isfinite(value):
        return f"{text!r} is not a finite number"
    return value if unit in ("mm", "deg") else convert(value, unit, _BASE[UNITS[unit].dimension])


def _not_a_number(text: str, unit: str) -> str:
    trailing = text.lstrip("+-0123456789.,eE ").strip()
    if trailing and find_unit(trailing) is not None:
        return f"{text!r} in a column of {unit}: mixed units"
    return f"{text!r} is not a number" if text else "is empty"


def _clock(text: str) -> float | str:
    """Return the angle of a clock position ("12", "3:30", "4.5"), in degrees against the clock from 3."""
    hours, _, minutes = text.partition(":")
    try:
        value = float(hours) + (float(minutes) / 60 if minutes else 0.0)
    except ValueError:
        return f"{text!r} is no clock position"
    return clock_to_deg(value) if 0 <= value <= 12 else f"{text!r} is no clock position"


def clock_to_deg(hours: float) -> float:
    """Return the angle of a clock position: 3 is 0 deg, 12 is 90 deg."""
    return (90 - 30 * hours) % 360


def deg_to_clock(angle_deg: float) -> str:
    """Return the clock position of an angle to the nearest five minutes: "10:30"."""
    twelfths = round(((90 - angle_deg) % 360) / 2.5) % 144
    hours, part = divmod(twelfths, 12)
    return f"{hours or 12}:{5 * part:02d}" if part else f"{hours or 12}"
