"""Which screw is this: candidates for what was measured, ranked, and what the measurements cannot tell apart."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from asfound.problems import BadInputError, Problem
from asfound.teardown.fastener import FastenerGroup
from asfound.teardown.threads import Thread, find_thread, threads

# Slot width and head diameter of slotted cheese heads, ISO 1207 (read): thread -> slot from, to, largest head.
SLOTS = {"M1.6": (0.46, 0.60, 3.0), "M2": (0.56, 0.70, 3.8), "M2.5": (0.66, 0.80, 4.5), "M3": (0.86, 1.00, 5.5)}
_LIMIT = 2.0  # in standard uncertainties: a coverage of about 95 %


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A thread that the screw may have.

    Attributes
    ----------
    misfit : float
        How far the measurements lie from it, in standard uncertainties (root of the sum of squares).
    fits : bool
        Whether no measurement contradicts it.
    like : tuple of str
        Other candidates that these measurements cannot tell from it.
    """

    thread: Thread
    misfit: float
    fits: bool
    like: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Identified:
    """Candidates, best first, and how to tell apart those that fit."""

    candidates: tuple[Candidate, ...]
    to_tell_apart: tuple[str, ...]


def identify_screw(
    *,
    diameter_mm: float,
    u_diameter_mm: float = 0.02,
    pitch_mm: float | None = None,
    u_pitch_mm: float = 0.01,
    flank_deg: float | None = None,
    slot_width_mm: float | None = None,
    most: int = 8,
) -> Identified:
    """Return which threads a screw may have.

    A screw measures less than its nominal size: anything between the least and the largest diameter of its size
    fits alike, and outside that band the distance counts.

    Parameters
    ----------
    diameter_mm, u_diameter_mm : float
        Over the crests, with a standard uncertainty; a worn or plated thread deserves a larger one.
    pitch_mm, u_pitch_mm : float
        Best as the length of ten crests divided by ten.
    flank_deg : float
        Angle between the flanks, if it was seen: 60 or 47.5, to within a few degrees.
    slot_width_mm : float
        Only remarked on: slots were cut to taste.
    most : int
        How many candidates to return; all that fit are returned.

    Raises
    ------
    BadInputError
        If a measure is not one of a small screw.
    """
    _check("diameter", diameter_mm, 0.2, 8.0)
    _check("diameter's uncertainty", u_diameter_mm, 1e-4, 1.0)
    _check("pitch", pitch_mm, 0.05, 2.0)
    _check("pitch's uncertainty", u_pitch_mm, 1e-4, 0.5)
    _check("flank angle", flank_deg, 30.0, 90.0)
    ranked = []
    for thread in threads():
        misfits = (
            _band(diameter_mm, thread.smallest_mm(), thread.largest_mm(), u_diameter_mm),
            0.0 if pitch_mm is None else (pitch_mm - thread.pitch_mm) / u_pitch_mm,
            0.0 if flank_deg is None else (flank_deg - thread.flank_deg) / 3.0,
        )
        fits = all(abs(misfit) <= _LIMIT for misfit in misfits)
        remarks = _slot_remark(thread, slot_width_mm)
        ranked.append(Candidate(thread=thread, misfit=math.hypot(*misfits), fits=fits, remarks=remarks))
    ranked.sort(key=lambda c: (not c.fits, round(c.misfit, 3), abs(c.thread.major_mm - diameter_mm)))
    fitting = [candidate.thread for candidate in ranked if candidate.fits]
    shown = tuple(_with_likes(c, fitting) for n, c in enumerate(ranked) if c.fits or n < most)
    return Identified(candidates=shown, to_tell_apart=_tell_apart(fitting, pitch_mm, flank_deg))


def _band(value: float, low: float, high: float, u: float) -> float:
    """Return how far a value lies outside a band, in standard uncertainties; nothing inside."""
    return max(low - value, value - high, 0.0) / u


def _with_likes(candidate: Candidate, fitting: Sequence[Thread]) -> Candidate:
    likes = tuple(other.name for other in fitting if candidate.fits and other is not candidate.thread)
    return Candidate(
        thread=candidate.thread, misfit=candidate.misfit, fits=candidate.fits, like=likes, remarks=candidate.remarks
    )


def _slot_remark(thread: Thread, slot_width_mm: float | None) -> tuple[str, ...]:
    if slot_width_mm is None or thread.name not in SLOTS:
        return ()
    low, high, _ = SLOTS[thread.name]
    if low <= slot_width_mm <= high:
        return ()
    return (f"its slot would be {low:.2f} to {high:.2f} mm wide (ISO 1207)",)


def _tell_apart(fitting: Sequence[Thread], pitch_mm: float | None, flank_deg: float | None) -> tuple[str, ...]:
    """Return what to measure next, or that nothing at hand can tell."""
    if len(fitting) < 2:
        return ()
    lines = []
    pitches = sorted({round(thread.pitch_mm, 2) for thread in fitting})
    if len(pitches) > 1 and pitches[-1] - pitches[0] > 0.015:
        how = "measure the pitch" if pitch_mm is None else "measure the pitch better"
        lines.append(f"{how} over ten crests: {pitches[0]:g} to {pitches[-1]:g} mm")
    if len({thread.flank_deg for thread in fitting}) > 1 and flank_deg is None:
        lines.append("look at the flanks under magnification: 60 or 47.5 degrees; size alone cannot tell")
    same = _same_all_over(fitting)
    lines += [f"{names} are one and the same for all that can be measured here" for names in same]
    return tuple(lines) or ("only a gauge or a known nut tells these apart: their sizes overlap",)


def _same_all_over(fitting: Sequence[Thread]) -> list[str]:
    groups: dict[tuple[float, float, float], list[str]] = {}
    for thread in fitting:
        groups.setdefault((thread.major_mm, thread.pitch_mm, thread.flank_deg), []).append(thread.name)
    return [" and ".join(names) for names in groups.values() if len(names) > 1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Home:
    """A group of fasteners that a screw may belong to, with what speaks against it."""

    part: str
    group: FastenerGroup
    misfit: float
    against: tuple[str, ...]


def _check(name: str, value: float | None, low: float, high: float) -> None:
    if value is not None and not low <= value <= high:
        raise BadInputError(Problem(name, f"{value:g} is not that of a small screw", f"give {low:g} to {high:g}"))


def where_it_belongs(
    groups: Sequence[tuple[str, FastenerGroup]],
    *,
    diameter_mm: float,
    u_diameter_mm: float = 0.02,
    pitch_mm: float | None = None,
    length_mm: float | None = None,
    head: str | None = None,
) -> tuple[Home, ...]:
    """Return the recorded fasteners that a loose screw may be one of, best first.

    Parameters
    ----------
    groups : sequence of (str, FastenerGroup)
        Parts with what held them.
    length_mm : float
        Under the head; 0.1 mm is taken as its standard uncertainty.
    head : str
        "cheese", "countersunk", "pan".

    Raises
    ------
    BadInputError
        If the length is not that of a small screw.
    """
    _check("length", length_mm, 0.1, 100.0)
    homes = []
    for part, group in groups:
        misfits: list[float] = []
        against: list[str] = []
        thread = find_thread(group.thread or "")
        if thread is not None:
            misfits.append(_band(diameter_mm, thread.smallest_mm(), thread.largest_mm(), u_diameter_mm))
            if pitch_mm is not None:
                misfits.append((pitch_mm - thread.pitch_mm) / 0.01)
            against += [f"it was {thread.name}"] if max(map(abs, misfits)) > _LIMIT else []
        if length_mm is not None and group.length_mm is not None:
            misfits.append((length_mm - group.length_mm) / 0.1)
            against += [f"it was {group.length_mm:g} mm long"] if abs(misfits[-1]) > _LIMIT else []
        if head and group.head and head.casefold() != group.head.casefold():
            misfits.append(3.0)
            against.append(f"its head was {group.head}")
        if misfits:
            homes.append(Home(part=part, group=group, misfit=math.hypot(*misfits), against=tuple(against)))
    return tuple(sorted(homes, key=lambda home: (len(home.against), home.misfit)))
