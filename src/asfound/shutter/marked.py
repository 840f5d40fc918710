"""Marked speeds: what is engraved on the dial, and the time it stands for."""

import re
from dataclasses import dataclass

from asfound.problems import Problem
from asfound.quantity import read_number

# Marks of the modern series stand for powers of two (JIS B 7091 and ISO 516, as cited on a page, read).
MODERN = {15: 16, 30: 32, 60: 64, 125: 128, 250: 256, 500: 512, 1000: 1024}


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
        Marks divided by commas.
    exact_modern : bool
        Take 1/15 to 1/1000 of the modern series for 1/16 to 1/1024; older marks always at face value.
    where : str
        What to call this place in a problem.
    """
    speeds, problems = [], []
    for match in re.finditer(r"[^,;]+", text):
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
    return tuple(speeds), tuple(problems)


def _one(mark: str, *, exact_modern: bool) -> MarkedSpeed | None:
    bare = re.sub(r"\s*(s|sec)\.?$", "", mark)
    try:
        face = read_number(bare)
    except ValueError:
        return None
    if not 0 < face < 3600:
        return None
    part = re.fullmatch(r"1\s*/\s*(\d+)", bare)
    modern = MODERN.get(int(part[1])) if part and exact_modern else None
    return MarkedSpeed(bare, 1 / modern if modern else face, modern is not None)
