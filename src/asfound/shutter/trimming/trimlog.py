"""A dial and the moves made to it, written down line by line.

A block of times; a line "move pallet deeper by 0.25"; perhaps "tightened 1/5: 190 ms to 204 ms"; the next
block of times; and so on. The last block is the dial as it is now.
"""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from asfound.problems import BadInputError, Problem
from asfound.quantity import parse_quantity, read_number
from asfound.shutter.speeds.dial import DEFAULT_TOLERANCE_STOPS, tolerances
from asfound.shutter.speeds.groups import USUAL_TRAIN, Train
from asfound.shutter.speeds.marked import MarkedSpeed
from asfound.shutter.speeds.pooling import pool
from asfound.shutter.speeds.series import Speed, read_series
from asfound.shutter.trimming.effects import ORDER, Adjuster, Floats, Move
from asfound.shutter.trimming.trim import mean_times_s

# Scatter of one shot where nothing was fired twice (common practice, no source).
USUAL_SCATTER = 0.03
_MOVE = re.compile(r"moved?\s+(?P<name>.+?)(?:\s+by\s+(?P<amount>\S+))?", re.IGNORECASE)
_TIGHTENED = re.compile(r"tightened\s+[^:]+:\s*(?P<loose>.+?)\s+to\s+(?P<tight>.+)", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class TrimLog:
    """The dial as it is, and how it came to be so.

    Attributes
    ----------
    speeds : tuple of Speed
        The last block.
    u_stops : tuple of float
        Standard uncertainty of each mean, from the scatter that comparable speeds share.
    moves : tuple of Move
    """

    speeds: tuple[Speed, ...]
    u_stops: tuple[float, ...]
    moves: tuple[Move, ...]


@dataclass(frozen=True, slots=True)
class _Said:
    name: str
    direction: str
    amount: float | None
    loose_s: float | None = None
    tight_s: float | None = None


def read_adjusters(text: str, *, where: str = "adjusters") -> tuple[tuple[Adjuster, ...], tuple[Problem, ...]]:
    """Read adjusters, divided by commas: "engagement, pallet, main spring, bend 1/5".

    Parameters
    ----------
    text : str
    where : str
        What to call this text in a problem.
    """
    found, problems = [], []
    for word in (" ".join(part.split()) for part in text.split(",") if part.strip()):
        adjuster = _adjuster(word)
        if adjuster is None:
            remedy = "give engagement, pallet, main spring, or bend with a speed as in bend 1/5"
            problems.append(Problem(where, f"{word[:40]!r} is no adjuster", remedy))
        else:
            found.append(adjuster)
    if not found and not problems:
        problems.append(Problem(where, "no adjuster is given", "give one or more, as in engagement, pallet"))
    return tuple(dict.fromkeys(found)), tuple(problems)


def _adjuster(word: str) -> Adjuster | None:
    bend = re.fullmatch(r"bend\s+(\S+)", word, re.IGNORECASE)
    if bend:
        return Adjuster("bend", bend[1])
    return next((Adjuster(kind) for kind in ORDER if kind == word.lower() and kind != "bend"), None)


def read_log(
    text: str,
    *,
    adjusters: Sequence[Adjuster],
    train: Train = USUAL_TRAIN,
    exact_modern: bool = True,
    where: str = "times",
) -> tuple[TrimLog | None, tuple[Problem, ...]]:
    """Read blocks of times with the moves between them.

    Parameters
    ----------
    text : str
        Times as `read_series` takes them; between two blocks one line "move ADJUSTER [WAY] [by NUMBER]".
    adjusters : sequence of Adjuster
        Those that a move may name.
    train : Train
    exact_modern : bool
    where : str
        What to call this text in a problem.

    Returns
    -------
    log : TrimLog or None
    problems : tuple of Problem
    """
    blocks, said, problems = _divide(text, adjusters, where)
    series = []
    for block in blocks:
        speeds, faults = read_series(block, train=train, exact_modern=exact_modern, where=where)
        series.append(speeds)
        problems += faults
    if problems:
        return None, tuple(problems)
    problems = _missing(series, where)
    if problems:
        return None, tuple(problems)
    last = series[-1]
    marks = [s.marked for s in last]
    u = u_of_means(last)
    times = [_times_of(block, marks) for block in series]
    moves = tuple(
        Move(adjuster=s.name, direction=s.direction, amount=s.amount, loose_s=s.loose_s, tight_s=s.tight_s,
             before_s=before, after_s=after, u_stops=np.array(u))
        for s, before, after in zip(said, times, times[1:], strict=False)
    )  # fmt: skip
    return TrimLog(speeds=last, u_stops=u, moves=moves), ()


def _divide(text: str, adjusters: Sequence[Adjuster], where: str) -> tuple[list[str], list[_Said], list[Problem]]:
    """Return the blocks (with empty lines before them, so that lines keep their numbers), moves and problems."""
    blocks, said, problems = [""], [], []
    for number, line in enumerate(text.splitlines(), start=1):
        bare, place = line.partition("#")[0].strip(), f"{where}, line {number}"
        first = bare.split(" ")[0].lower()
        if first in ("move", "moved"):
            move = _move(bare, adjusters)
            if isinstance(move, str):
                problems.append(Problem(place, move, "write it as in: move pallet deeper by 0.25"))
            said.append(move if isinstance(move, _Said) else _Said("", "", None))
            blocks.append("\n" * number)
        elif first == "tightened":
            shift = _shift(bare, place) if said else None
            if shift is None:
                remedy = "after a move, as in: tightened 1/5: 190 ms to 204 ms"
                problems.append(Problem(place, f"{bare[:60]!r} is not understood", remedy))
            else:
                one = said[-1]
                said[-1] = _Said(one.name, one.direction, one.amount, *shift)
            blocks[-1] += "\n"
        else:
            blocks[-1] += line + "\n"
    return blocks, said, problems


def _move(line: str, adjusters: Sequence[Adjuster]) -> _Said | str:
    match = _MOVE.fullmatch(line)
    if match is None:
        return f"{line[:60]!r} is no move"
    words = " ".join(match["name"].split())
    for adjuster in sorted(adjusters, key=lambda a: -len(a.name)):
        if words.lower() == adjuster.name or words.lower().startswith(adjuster.name + " "):
            amount = None
            if match["amount"]:
                try:
                    amount = read_number(match["amount"])
                except ValueError:
                    return f"{match['amount'][:20]!r} is no number"
            return _Said(adjuster.name, words[len(adjuster.name) :].strip(), amount)
    return f"{words[:40]!r} is none of the adjusters given ({', '.join(a.name for a in adjusters)})"


def _shift(line: str, where: str) -> tuple[float, float] | None:
    match = _TIGHTENED.fullmatch(line)
    if match is None:
        return None
    try:
        loose, tight = (parse_quantity(match[name], unit="s", where=where) for name in ("loose", "tight"))
    except BadInputError:
        return None
    return (loose, tight) if loose > 0 and tight > 0 else None


def _missing(series: Sequence[tuple[Speed, ...]], where: str) -> list[Problem]:
    """Say which speeds the last block lacks: after a move the whole dial is fired."""
    now = {s.marked for s in series[-1] if any(shot.time_s is not None for shot in s.shots)}
    lost = [s.marked for block in series for s in block if s.marked not in now]
    if not lost:
        return []
    names = ", ".join(dict.fromkeys(lost))
    return [Problem(where, f"the last dial has no time at {names}", "fire every speed after the last move")]


def _times_of(block: Sequence[Speed], marks: Sequence[str]) -> Floats:
    known = dict(zip((s.marked for s in block), mean_times_s(block), strict=True))
    return np.array([known.get(mark, math.nan) for mark in marks])


def u_of_means(speeds: Sequence[Speed]) -> tuple[float, ...]:
    """Return the standard uncertainty of each speed's mean in stops.

    From the scatter that comparable speeds share; where nothing was fired twice, 3 % of the time for one
    shot (common practice, no source).
    """
    shots = [[shot.time_s for shot in s.shots if shot.time_s is not None] for s in speeds]
    pooled = pool(shots)
    known = [p.relative for p in pooled if p is not None]
    usual = max(known) if known else USUAL_SCATTER
    return tuple(
        (usual if p is None else p.relative) / math.log(2) / math.sqrt(max(len(times), 1))
        for p, times in zip(pooled, shots, strict=True)
    )


def tolerances_of(
    speeds: Sequence[Speed],
    *,
    tolerance_stops: float = DEFAULT_TOLERANCE_STOPS,
    top_tolerance_stops: float | None = None,
) -> tuple[float, ...]:
    """Return the tolerance of each speed, wider on the top speed."""
    marked = [MarkedSpeed(s.marked, s.nominal_s) for s in speeds]
    return tolerances(marked, tolerance_stops=tolerance_stops, top_tolerance_stops=top_tolerance_stops)
