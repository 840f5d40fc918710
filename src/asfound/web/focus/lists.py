"""Several readings typed into one field, one to a line: distances, angles and settings side by side."""

import math
import re
from collections.abc import Callable

from asfound.problems import BadInputError, Problem, bad_input
from asfound.quantity import parse_quantity
from asfound.quantity.units import NUMBER

MOST_LINES = 200
INFINITE = ("inf", "infinity", "infinite", "∞")
# A number with its unit, or infinity; a unit has no space in it.
_ONE = rf"(?:∞|inf\w*|{NUMBER}\s*(?:(?!to\b)[a-zA-Zµμ°\"·/²%]+)?)"
_PAIR = re.compile(rf"({_ONE})(?:\s*(?:=|:|;|\t|\.\.+|\bto\b|,\s)\s*|\s+)({_ONE})\s*$", re.IGNORECASE)
Read = Callable[[str, str], float]


def lines_of(text: str, *, where: str) -> list[tuple[str, str]]:
    """Return the lines that hold something, each with its place as a problem names it.

    Raises
    ------
    BadInputError
        If there are too many.
    """
    lines = [(one.strip(), f"{where}, line {n}") for n, one in enumerate(text.splitlines(), start=1) if one.strip()]
    if len(lines) > MOST_LINES:
        raise bad_input(where, f"{len(lines)} lines are too many", f"give at most {MOST_LINES}")
    return lines


def read_pairs(text: str, left: Read, right: Read, *, where: str, example: str) -> list[tuple[float, float]]:
    """Return two numbers from each line, such as "2 m = 45 deg", "2 m 45" or "0.10 to 0.20".

    Raises
    ------
    BadInputError
        With the problems of all lines at once.
    """
    return _each(text, lambda line, place: _pair(line, left, right, place, example), where)


def _each(text: str, read: Callable[[str, str], tuple[float, float]], where: str) -> list[tuple[float, float]]:
    found: list[tuple[float, float]] = []
    problems: list[Problem] = []
    for line, place in lines_of(text, where=where):
        try:
            found.append(read(line, place))
        except BadInputError as error:
            problems.extend(error.problems)
    if problems:
        raise BadInputError(*problems)
    return found


def _pair(line: str, left: Read, right: Read, place: str, example: str) -> tuple[float, float]:
    found = _PAIR.match(line)
    if found is None:
        raise bad_input(place, f"{line[:60]!r} is not a pair", f"write it as in {example}")
    return left(found[1], place), right(found[2], place)


def numbers_of(text: str, read: Read, *, where: str) -> list[float]:
    """Return the numbers of a list with spaces, semicolons or lines between them, each with or without its unit.

    Raises
    ------
    BadInputError
        With all that is wrong, or if there are too many.
    """
    parts = [part for part in re.split(r"[;\n]|,\s+|\s+(?=[-+]?[\d.,])", text.strip()) if part.strip()]
    if len(parts) > MOST_LINES:
        raise bad_input(where, f"{len(parts)} numbers are too many", f"give at most {MOST_LINES}")
    found: list[float] = []
    problems: list[Problem] = []
    for part in parts:
        try:
            found.append(read(part, where))
        except BadInputError as error:
            problems.extend(error.problems)
    if problems:
        raise BadInputError(*problems)
    return found


def in_unit(unit: str) -> Read:
    """Return a reader of numbers in a unit, which need not be typed."""
    return lambda text, place: parse_quantity(text, unit=unit, where=place)


def distance(text: str, place: str) -> float:
    """Return a distance in mm; a bare number is in m, as on a scale; "inf" is infinite.

    Raises
    ------
    BadInputError
        If it is none, or not in front of the camera.
    """
    plain = text.strip().casefold()
    if plain in INFINITE:
        return math.inf
    value = 1000 * parse_quantity(plain, unit="m", where=place)
    if not value > 0:
        raise bad_input(place, f"{text!r} is no distance", "give metres, or inf")
    return value


def setting(lead_mm: float | None) -> Read:
    """Return a reader of focus settings: mm of travel, or degrees of the ring where the lead is known."""

    def read(text: str, place: str) -> float:
        if not re.search(r"(?:deg\w*|°|turns?|rev|rad\w*)\s*$", text, re.IGNORECASE):
            return parse_quantity(text, unit="mm", where=place)
        if lead_mm is None:
            raise bad_input("lead", "settings in degrees need it", "give the lead, or settings in mm")
        return parse_quantity(text, unit="deg", where=place) * lead_mm / 360

    return read


def say_distance(distance_mm: float) -> str:
    """Return a distance as a scale has it: "2 m", "∞"."""
    return "∞" if math.isinf(distance_mm) else f"{distance_mm / 1000:.3g} m"
