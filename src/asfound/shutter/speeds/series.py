"""Shots speed by speed, as judging needs them: times in order, from which side the dial was set, what was seen."""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from asfound.problems import BadInputError, Problem
from asfound.quantity import parse_quantity, show_time
from asfound.shutter.speeds.dial import DialRow
from asfound.shutter.speeds.groups import USUAL_TRAIN, Group, Train
from asfound.shutter.speeds.marked import read_marked
from asfound.shutter.timing.firing import Flag

# A time so far from its mark was written in another unit.
FARTHEST_STOPS = 6
_SHOT = re.compile(r"^(?P<struck>x\s*)?(?P<time>.*?)(?P<rebound>\s*\b(?:rebounds?|rebounded)\b)?$", re.IGNORECASE)
_SIDES = {"above": 1, "below": -1}


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot:
    """One shot that counts.

    Attributes
    ----------
    time_s : float or None
        None where the shutter never closed.
    side : {1, -1, 0}
        1 where the dial was set from above (from a longer time), -1 from below, 0 where nobody said.
    rebound : bool
        Whether the blades were seen to spring open again.
    """

    time_s: float | None
    side: int = 0
    rebound: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Speed:
    """One marked speed with its shots in the order fired."""

    marked: str
    nominal_s: float
    group: Group
    shots: tuple[Shot, ...]

    @property
    def times_s(self) -> tuple[float, ...]:
        """The times of those shots that have one."""
        return tuple(shot.time_s for shot in self.shots if shot.time_s is not None)

    def times_from(self, side: int) -> tuple[float, ...]:
        """Return the times of the shots that were set from one side."""
        return tuple(shot.time_s for shot in self.shots if shot.time_s is not None and shot.side == side)


def speed_of(
    marked: str,
    *,
    nominal_s: float,
    times_s: Sequence[float],
    train: Train = USUAL_TRAIN,
    rebounds: bool = False,
    never_closes: bool = False,
) -> Speed:
    """Return one speed out of a table that says of a row only whether a shot rebounded or never closed.

    One such shot is counted, as how many there were is not said.

    Parameters
    ----------
    marked : str
    nominal_s : float
        What the mark stands for.
    times_s : sequence of float
        In the order fired.
    train : Train
    rebounds, never_closes : bool
    """
    timed = [Shot(time_s=t, rebound=rebounds and n == 0) for n, t in enumerate(times_s)]
    stalled = [Shot(time_s=None)] if never_closes else []
    return Speed(marked=marked, nominal_s=nominal_s, group=train.group(nominal_s), shots=(*timed, *stalled))


def series_of_rows(rows: Sequence[DialRow], *, train: Train = USUAL_TRAIN) -> tuple[Speed, ...]:
    """Return the series that a measured dial holds."""
    return tuple(
        speed_of(
            row.marked,
            nominal_s=row.nominal_s,
            times_s=row.shots_s,
            train=train,
            rebounds=Flag.REBOUND in row.flags,
            never_closes=Flag.NEVER_CLOSES in row.flags,
        )
        for row in rows
    )


def read_series(
    text: str, *, train: Train = USUAL_TRAIN, exact_modern: bool = True, where: str = "times"
) -> tuple[tuple[Speed, ...], tuple[Problem, ...]]:
    """Read times written down, one speed to a line: "1/25: 45 ms, 46 ms, 44 ms".

    Parameters
    ----------
    text : str
        After the mark may stand "from above" or "from below"; lines of one mark are put together. A shot may
        be followed by "rebound", be "open" where the shutter never closed, or begin with "x" if it is struck
        through. Empty lines and what follows "#" are passed over. A number without a unit takes that of the
        next one in its line; without any it is in seconds.
    train : Train
        Which speeds the retard train and the pallet make.
    exact_modern : bool
        Take 1/15 to 1/1000 of the modern series for powers of two.
    where : str
        What to call this text in a problem.
    """
    found: dict[str, Speed] = {}
    problems: list[Problem] = []
    for number, line in enumerate(text.splitlines(), start=1):
        bare = line.partition("#")[0].strip()
        if not bare:
            continue
        speed, faults = _read_line(bare, train=train, exact_modern=exact_modern, where=f"{where}, line {number}")
        problems += faults
        if speed is not None:
            before = found.get(speed.marked)
            found[speed.marked] = replace(before, shots=before.shots + speed.shots) if before else speed
    if not found and not problems:
        problems.append(Problem(where, "no speed is given", 'write one to a line, as in "1/25: 45 ms, 46 ms"'))
    return tuple(found.values()), tuple(problems)


def _read_line(line: str, *, train: Train, exact_modern: bool, where: str) -> tuple[Speed | None, list[Problem]]:
    head, colon, tail = line.partition(":")
    match = re.fullmatch(r"(.*?)(?:\s+from\s+(above|below))?", head.strip(), re.IGNORECASE)
    marks, problems = read_marked(match[1] if match else head, exact_modern=exact_modern, where=where)
    if not colon or problems or len(marks) != 1 or match is None:
        what = f"{line[:60]!r} is not a speed with its times"
        return None, [Problem(where, what, 'write it as in "1/25: 45 ms, 46 ms, 44 ms"')]
    side = _SIDES.get((match[2] or "").lower(), 0)
    read = [_read_shot(word, side, where) for word in _with_unit(tail)]
    faults = [shot for shot in read if isinstance(shot, Problem)]
    shots = tuple(shot for shot in read if isinstance(shot, Shot))
    (mark,) = marks
    wild = [t for shot in shots if (t := shot.time_s) and abs(math.log2(t / mark.nominal_s)) > FARTHEST_STOPS]
    if wild:
        what = f"{show_time(wild[0])} is over {FARTHEST_STOPS} stops from {mark.mark}"
        faults.append(Problem(where, what, "give the unit, as in 46 ms, or strike it with an x before it"))
    group = train.group(mark.nominal_s)
    return Speed(marked=mark.mark, nominal_s=mark.nominal_s, group=group, shots=shots), faults


def _with_unit(text: str) -> list[str]:
    """Return the shots of a line; those without a unit take that of the next: "45, 46, 44 ms"."""
    words = [word.strip() for word in text.split(",") if word.strip()]
    unit = ""
    for n in range(len(words) - 1, -1, -1):
        own = re.search(r"[a-zµμ]+$", re.sub(r"\s*rebound(s|ed)?$", "", words[n], flags=re.IGNORECASE))
        if own and own[0] != "open":
            unit = own[0]
        elif re.fullmatch(r"(x\s*)?[\d./,]+", words[n]):
            words[n] = f"{words[n]} {unit}".strip()
    return words


def _read_shot(word: str, side: int, where: str) -> Shot | Problem | None:
    match = _SHOT.fullmatch(word)
    assert match is not None
    if match["struck"]:
        return None
    if word.lower() in ("open", "never closes"):
        return Shot(time_s=None, side=side)
    try:
        time_s = parse_quantity(match["time"].strip(), unit="s", where=where)
    except BadInputError:
        return Problem(where, f"{word[:40]!r} is no time", "write it as 45 ms, 1/25 s or open")
    if not 0 < time_s < 3600:
        return Problem(where, f"{word[:40]!r} is no time of a shutter", "give more than 0 and less than an hour")
    return Shot(time_s=time_s, side=side, rebound=bool(match["rebound"]))
