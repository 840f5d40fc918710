"""Marked speeds: what is engraved on the dial, and the time it stands for."""

import re
from dataclasses import dataclass

from asfound.problems import Problem
from asfound.quantity import read_number

# Marks of the modern series stand for powers of two (JIS B 7091 and ISO 516, as cited on a page, read).
MODERN = {15: 16, 30: 32, 60: 64, 125: 128, 250: 256, 500: 512, 1000: 1024}

# Marks of older dials only; beside one of them, 1/250 and 1/500 are older marks, too, and meant as engraved.
OLDER = frozenset({5, 10, 20, 25, 50, 75, 100, 150, 200, 300, 400})
# What dials are engraved with (common practice, no source); any other list is a series of the user's own.
SERIES = {
    "modern": "1, 1/2, 1/4, 1/8, 1/15, 1/30, 1/60, 1/125, 1/250, 1/500",
    "older": "1, 1/2, 1/5, 1/10, 1/25, 1/50, 1/100, 1/250",
}


@dataclass(frozen=True, slots=True)
class MarkedSpeed:
    """A mark on the dial and the time it is compared with.

    Attributes
    ----------
    mark : str
        As engraved: "1/125".
    nominal_s : float
        The time it stands for.
    exact : bool
        True when that is the modern series' power of two and not the mark's face value.
    """

    mark: str
    nominal_s: float
    exact: bool = False


def read_marked(
    text: str, *, exact_modern: bool = True, where: str = "--marked"
) -> tuple[tuple[MarkedSpeed, ...], tuple[Problem, ...]]:
    """Read a list of marked speeds, such as "1, 1/2, 1/5, 1/125".

    Parameters
    ----------
    text : str
        Marks divided by commas, or the name of a series: "modern", "older".
    exact_modern : bool
        Take 1/15 to 1/1000 of the modern series for 1/16 to 1/1024; older marks always at face value, and
        with them the 1/250 and 1/500 of a dial that has one.
    where : str
        What to call this place in a problem.
    """
    speeds, problems = [], []
    for match in re.finditer(r"[^,;]+", SERIES.get(text.strip().lower(), text)):
        mark = match.group().strip()
        if not mark:
            continue
        speed = _one(mark, exact_modern=exact_modern)
        if speed is None:
            what = f"{mark!r} is not a marked speed"
            problems.append(Problem(where, what, "write it as 1/125, or 2 for two seconds", match.span()))
        else:
            speeds.append(speed)
    if not speeds and not problems:
        problems.append(Problem(where, "no speed is given", "write them as in 1,1/2,1/5"))
    older = exact_modern and any(_denominator(speed.mark) in OLDER for speed in speeds)
    return tuple(_at_face_value(speed) if older else speed for speed in speeds), tuple(problems)


def _denominator(mark: str) -> int | None:
    part = re.fullmatch(r"1\s*/\s*(\d+)", mark)
    return int(part[1]) if part else None


def _at_face_value(speed: MarkedSpeed) -> MarkedSpeed:
    part = _denominator(speed.mark)
    return MarkedSpeed(speed.mark, 1 / part) if part in (250, 500) else speed


def _one(mark: str, *, exact_modern: bool) -> MarkedSpeed | None:
    bare = re.sub(r"\s*(s|sec)\.?$", "", mark)
    try:
        face = read_number(bare)
    except ValueError:
        return None
    if not 0 < face < 3600:
        return None
    part = _denominator(bare)
    modern = MODERN.get(part) if part and exact_modern else None
    return MarkedSpeed(bare, 1 / modern if modern else face, modern is not None)
