"""Which start of a helical thread was entered, and at what clock position threads part or meet."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from typing import Literal

from asfound.focus.budget import check_height, coverage_factor, not_negative, positive
from asfound.problems import bad_input
from asfound.quantity import Reading

StartAnswer = Literal["right", "out", "cannot tell", "no start"]
ALLOWANCE = 0.25  # of a pitch: how far a helical on its right start may be off for other reasons
NEST_REACH = 2  # starts out in all that are looked for in a nest: with more, nearly every height has an entry


@dataclass(frozen=True, slots=True, kw_only=True)
class StartCandidate:
    """One way the thread may have been entered.

    Attributes
    ----------
    starts_out : tuple of int
        For each helical: how many starts too late it was entered (positive: the lens stands too far out).
    height_mm : float
        The height error that this entry makes.
    left_mm : float
        What of the measured error it does not explain; NaN for a one-sided reading.
    """

    starts_out: tuple[int, ...]
    height_mm: float
    left_mm: float

    def flat(self) -> dict[str, object]:
        """Return the candidate under its JSON names."""
        return {
            "starts_out": list(self.starts_out),
            "height_mm": self.height_mm,
            "left_mm": None if math.isnan(self.left_mm) else self.left_mm,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class StartFinding:
    """The answer about the start.

    Attributes
    ----------
    answer : {"right", "out", "cannot tell", "no start"}
        Entered rightly; entered on another start; several entries fit; none fits.
    advice : str
        What to do, in one sentence.
    candidates : tuple of StartCandidate
        Every entry that fits, the least shift first.
    pitch_mm : tuple of float
        Height step between neighbouring starts of each helical.
    uncertainties_between : float or None
        A height step in standard uncertainties of the reading: large means that the answer is plain.
    """

    answer: StartAnswer
    advice: str
    candidates: tuple[StartCandidate, ...]
    pitch_mm: tuple[float, ...]
    uncertainties_between: float | None

    def flat(self) -> dict[str, object]:
        """Return the finding under its JSON names."""
        return {
            "answer": self.answer,
            "advice": self.advice,
            "pitch_mm": list(self.pitch_mm),
            "uncertainties_between": self.uncertainties_between,
            "candidates": [candidate.flat() for candidate in self.candidates],
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Helical:
    """A thread of several starts.

    Attributes
    ----------
    lead_mm : float
        Travel per turn; greater than zero.
    starts : int
        How many threads run side by side.
    adds : bool
        In a nest of two: whether its travel adds to the other's or is taken from it.
    """

    lead_mm: float
    starts: int
    adds: bool = True

    @property
    def pitch_mm(self) -> float:
        """Distance from one thread to its neighbour: lead over starts."""
        return self.lead_mm / self.starts

    @property
    def sign(self) -> int:
        """Plus one when its travel adds, else minus one."""
        return 1 if self.adds else -1


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One clock position at which a thread may meet, and the height it leads to."""

    start: int
    clock_deg: float
    height_mm: float

    def flat(self) -> dict[str, float]:
        """Return the entry under its JSON names."""
        return {"start": self.start, "clock_deg": self.clock_deg, "height_mm": self.height_mm}


@dataclass(frozen=True, slots=True, kw_only=True)
class Parting:
    """Where one helical of a nest parts: which (0 is the outer), after what turn, at what clock position."""

    helical: int
    turn_deg: float
    clock_deg: float

    def flat(self) -> dict[str, float]:
        """Return the parting under its JSON names."""
        return {"helical": self.helical, "turn_deg": self.turn_deg, "clock_deg": self.clock_deg}


def which_start(*, height_error: Reading, helicals: tuple[Helical, ...]) -> StartFinding:
    """Say on which start a helical was entered, from how far the lens stands from its datum.

    Neighbouring starts differ by one pitch in height at the same clock position (lead = starts x pitch). On the
    right start the height may still be off by a quarter of the smallest pitch for other reasons (spacers, wear):
    an allowance of this project. An entry fits when the reading's 95 % interval, or its bracket, meets that band.
    In a nest entries up to two starts out in all are looked for.

    Parameters
    ----------
    height_error : Reading
        Measured less wanted height in mm, positive when the lens stands too far from the film. A one-sided or
        bracketed reading may be given by its bounds.
    helicals : tuple of Helical
        One, or two nested.

    Raises
    ------
    BadInputError
        For a lead of zero, no starts, or a reading with neither value nor bounds.
    """
    for helical in helicals:
        check_helical(helical)
    low, high = _interval(height_error)
    allowance = ALLOWANCE * min(helical.pitch_mm for helical in helicals)
    found = sorted(
        _fitting(helicals, low - allowance, high + allowance, height_error.value),
        key=lambda c: (sum(map(abs, c.starts_out)), abs(c.left_mm)),
    )
    u = height_error.standard_uncertainty
    smallest = min(helical.pitch_mm for helical in helicals)
    return StartFinding(
        answer=_answer(found),
        advice=_advice(found, helicals),
        candidates=tuple(found),
        pitch_mm=tuple(helical.pitch_mm for helical in helicals),
        uncertainties_between=smallest / u if u else None,
    )


def check_helical(helical: Helical) -> None:
    """Refuse a lead that is not greater than zero or a count of starts below one."""
    positive("lead", helical.lead_mm, "mm")
    if helical.starts < 1:
        raise bad_input("starts", f"{helical.starts} is not a count of threads", "count them at the thread's end")


def entries(*, helical: Helical, first_clock_deg: float = 0.0) -> tuple[Entry, ...]:
    """Return the clock positions at which each start meets, and the height each leads to at the same stop.

    The threads meet every 360 / starts degrees. The clock angle grows as the lens comes out. Each start met
    later on the way in leaves the lens one pitch further out at the same final clock position.

    Parameters
    ----------
    helical : Helical
        The thread.
    first_clock_deg : float
        Clock position, from a mark on the body, at which the right start meets.
    """
    check_helical(helical)
    step = 360 / helical.starts
    return tuple(
        Entry(start=k, clock_deg=(first_clock_deg - k * step) % 360, height_mm=k * helical.pitch_mm)
        for k in range(helical.starts)
    )


def parting_clock(*, helical: Helical, clock_deg: float, engaged_mm: float) -> float:
    """Return the clock position in degrees at which the threads part when screwed out.

    Source: axial travel = lead x angle / 360 (a thread's definition).

    Parameters
    ----------
    helical : Helical
        The thread.
    clock_deg : float
        Where the mark stands now; grows as the lens is screwed out.
    engaged_mm : float
        Travel left until the threads part.
    """
    check_helical(helical)
    return (clock_deg + 360 * engaged_mm / helical.lead_mm) % 360


def parting_order(
    *, helicals: tuple[Helical, ...], engaged_mm: tuple[float, ...], clock_deg: float
) -> tuple[Parting, ...]:
    """Return where each thread of a nest parts when its ring is screwed out, the first to part first.

    One ring turns all of them at once, so each parts after 360 x its engaged travel / its lead.

    Parameters
    ----------
    helicals : tuple of Helical
        The nest, outer first.
    engaged_mm : tuple of float
        For each: travel along its own thread until it parts.
    clock_deg : float
        Where the ring's mark stands now; grows as the lens comes out.

    Raises
    ------
    BadInputError
        If there is not one travel for each helical, or one is below zero.
    """
    if len(engaged_mm) != len(helicals):
        what = f"{len(engaged_mm)} travels for {len(helicals)} helicals"
        raise bad_input("engaged", what, "give for each helical how far it is engaged")
    found = []
    for index, (helical, engaged) in enumerate(zip(helicals, engaged_mm, strict=True)):
        not_negative("engaged", engaged, "mm")
        clock = parting_clock(helical=helical, clock_deg=clock_deg, engaged_mm=engaged)
        found.append(Parting(helical=index, turn_deg=360 * engaged / helical.lead_mm, clock_deg=clock))
    return tuple(sorted(found, key=lambda parting: parting.turn_deg))


def combined_lead(helicals: tuple[Helical, ...]) -> float:
    """Return the travel per turn in mm of nested helicals turned together: leads add or subtract.

    Raises
    ------
    BadInputError
        If they cancel, so that the lens would not move.
    """
    for helical in helicals:
        check_helical(helical)
    lead = sum(helical.sign * helical.lead_mm for helical in helicals)
    if math.isclose(lead, 0, abs_tol=1e-9):
        raise bad_input("leads", "they cancel and the lens would not move", "check which of them subtracts")
    return lead


def _interval(reading: Reading) -> tuple[float, float]:
    check_height(reading)
    if reading.value is not None:
        spread = coverage_factor(reading.degrees_of_freedom) * (reading.standard_uncertainty or 0.0)
        return reading.value - spread, reading.value + spread
    if reading.lower is None and reading.upper is None:
        raise bad_input("height", "it has neither a value nor a bound", "measure the height first")
    low = -math.inf if reading.lower is None else reading.lower
    return low, math.inf if reading.upper is None else reading.upper


def _fitting(helicals: tuple[Helical, ...], low: float, high: float, value: float | None) -> Iterator[StartCandidate]:
    # A whole turn is a mistake that the stop allows on some cameras, so the range ends there.
    reach = [range(-helical.starts, helical.starts + 1) for helical in helicals]
    for shifts in product(*reach):
        if len(helicals) > 1 and sum(map(abs, shifts)) > NEST_REACH:
            continue
        height = sum(h.sign * k * h.pitch_mm for h, k in zip(helicals, shifts, strict=True))
        if low <= height <= high:
            left = math.nan if value is None else value - height
            yield StartCandidate(starts_out=shifts, height_mm=height, left_mm=left)


def _answer(found: list[StartCandidate]) -> StartAnswer:
    if not found:
        return "no start"
    if len(found) > 1:
        return "cannot tell"
    return "out" if any(found[0].starts_out) else "right"


def _advice(found: list[StartCandidate], helicals: tuple[Helical, ...]) -> str:
    if not found:
        return "no start explains this height: look for a missing or doubled spacer, then measure again"
    if len(found) > 1:
        return _advice_between(found, helicals)
    shifts = found[0].starts_out
    if not any(shifts):
        return "the right start: bring what is left to the datum by turn or shim"
    names = ("",) if len(shifts) == 1 else ("outer helical ", "inner helical ")
    parts = (_shift_words(k, h, n) for k, h, n in zip(shifts, helicals, names, strict=True) if k)
    return "; ".join(parts)


def _shift_words(shift: int, helical: Helical, name: str) -> str:
    count = abs(shift)
    way = "earlier" if shift > 0 else "later"
    plural = "start" if count == 1 else "starts"
    whole = ", which is a whole turn" if count == helical.starts else ""
    return f"{name}{_number(count)} {plural} out{whole}: re-enter {_number(count)} {plural} {way}"


def _number(count: int) -> str:
    words = ("no", "one", "two", "three", "four", "five", "six")
    return words[count] if count < len(words) else str(count)


def _advice_between(found: list[StartCandidate], helicals: tuple[Helical, ...]) -> str:
    if len(helicals) > 1:
        return "the height cannot tell these entries apart: note the clock position at which each helical parts"
    step = helicals[0].pitch_mm
    return f"this reading cannot tell the starts apart: bracket the height to well under {step / 4:.2f} mm"
