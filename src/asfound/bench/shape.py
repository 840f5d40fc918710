"""Gaps, rings, front standards and fits: read as typed at the bench, and written into the job."""

import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import BinaryIO
from uuid import UUID

from asfound.book import Book
from asfound.capture.ring_photograph import BAR_MM, SIDE_MM
from asfound.capture.target import target_pdf
from asfound.job import Entry
from asfound.job.bodies import Fault, ReadingTaken, Stage
from asfound.job.line import LineMemory, parse_line
from asfound.problems import AsfoundError, BadInputError, Problem, bad_input
from asfound.quantity import FeelerAnswer, Reading, Seat, Station, find_unit, parse_quantity
from asfound.quantity.feeler import Answer
from asfound.quantity.tolerance import Tolerance
from asfound.shape import Erection, Fit, FrameFocus, PlaneFit, Ring, Rub, StrutGive, deg_to_clock

FEELERS = "feeler set"
# Longer tables are kept as files: an address holds no more.
_MOST_TYPED = 8000
_MOST_LINE = 340
_FILE = "file: "
ANSWERS: tuple[Answer, ...] = ("loose", "drag", "no")
_TRY = "write each try as in .35 loose .40 no"


@dataclass(frozen=True, slots=True, kw_only=True)
class Context:
    """What every reading written from one page has in common.

    Attributes
    ----------
    typed : mapping
        What was typed into the page: kept with the first reading.
    depends_on : tuple of str
        Parts and adjusters that make it stale when they are touched.
    """

    book: Book
    job: UUID
    stage: Stage
    typed: Mapping[str, str]
    depends_on: tuple[str, ...] = ()


def read_tries(text: str, *, where: str) -> tuple[FeelerAnswer, ...]:
    """Return feeler tries typed as on the quick line: ".35 loose .40 no", "35l 40n", "14 thou drag", "35+".

    Raises
    ------
    BadInputError
        If it holds anything else.
    """
    if not text.strip():
        raise bad_input(where, "nothing was tried yet", _TRY)
    understood = parse_line(f"gap {' '.join(text.split())} with {FEELERS}", LineMemory())
    if understood.problems:
        raise BadInputError(*(Problem(where, one.what, one.remedy) for one in understood.problems))
    taken = [body for body in understood.bodies if isinstance(body, ReadingTaken) and body.raw]
    if len(taken) != 1 or len(understood.bodies) != 1:
        raise bad_input(where, f"{text.strip()[:60]!r} holds no feeler tries", _TRY)
    return tuple(_said(raw, where) for raw in taken[0].raw)


def _said(raw: str, where: str) -> FeelerAnswer:
    """Read a try as the line keeps it: "0.05+0.3 mm loose"."""
    leaves, _, said = raw.partition(" mm ")
    answer = next((one for one in ANSWERS if one == said), None)
    if answer is None:
        raise bad_input(where, f"{raw!r} is no feeler try", _TRY)
    return FeelerAnswer(tuple(float(leaf) for leaf in leaves.split("+")), answer)


def read_depths(text: str, *, where: str, hundredths: bool) -> tuple[float, ...]:
    """Return depths in mm: all of them, or the first and by how many hundredths of a mm the others differ from it.

    Raises
    ------
    BadInputError
        If one is no length.
    """
    words = _joined(text)
    if not words:
        raise bad_input(where, "nothing was typed here", "give the depth at each corner")
    first = parse_quantity(words[0], unit="mm", where=where)
    if not hundredths:
        return (first, *(parse_quantity(word, unit="mm", where=where) for word in words[1:]))
    steps = [_hundredths(word, where, first) for word in words[1:]]
    return (first, *(first + step / 100 for step in steps))


def _joined(text: str) -> list[str]:
    """Return words, a unit joined to its number: "63.42 mm -2" is two; commas stand between, never in, numbers."""
    words: list[str] = []
    for word in text.replace(";", " ").replace(", ", " ").split():
        if words and find_unit(word) is not None and not word[0].isdigit():
            words[-1] += " " + word
        else:
            words.append(word)
    return words


def _hundredths(word: str, where: str, first_mm: float) -> float:
    try:
        value = float(word.replace(",", ".").replace("−", "-"))
    except ValueError:
        raise bad_input(where, f"{word!r} is no number of hundredths", "write them as in 63.42 -2 -4 19") from None
    if not abs(value) <= 1000 or (first_mm > 20 and value > first_mm / 2):
        what = f"{word} hundredths would be {value / 100:g} mm from the first"
        raise bad_input(where, what, "choose “depths in mm” below if whole depths are meant")
    return value


def target_page() -> bytes:
    """Return the printed square for photographs of rings, as a PDF."""
    return target_pdf(side_mm=SIDE_MM, bar_mm=BAR_MM)


def take_table(book: Book, stream: BinaryIO, name: str) -> str:
    """Return a table as it can be typed: short ones whole, long ones as the mark of a kept file.

    Raises
    ------
    BadInputError
        If it is no text.
    """
    try:
        text = stream.read().decode("utf-8-sig")
    except UnicodeDecodeError:
        raise bad_input("points", f"{name[:80]} is not a text file", "save the table as CSV") from None
    if not text.strip():
        raise bad_input("points", f"{name[:80]} is empty", "give one line for each place")
    text = "\n".join(text.splitlines())
    if len(text) <= _MOST_TYPED:
        return text
    kept = book.attach(io.BytesIO(text.encode()), name=name, media_type="text/csv")
    return f"{_FILE}{kept.sha256} {name[:80]}"


def text_of(book: Book, typed: str, *, where: str) -> str:
    """Return a table as typed, or that of the kept file which is named in its stead.

    Raises
    ------
    BadInputError
        If no such file is kept.
    """
    if not typed.startswith(_FILE):
        return typed
    try:
        return book.attachment_path(typed.removeprefix(_FILE).split()[0]).read_text(encoding="utf-8")
    except (IndexError, AsfoundError, OSError):
        raise bad_input(where, "no such file is kept", "send the file again") from None


def kept_text(typed: Mapping[str, str]) -> tuple[str, ...]:
    """Return what was typed as lines to be kept with a reading; a long text takes several, none is cut off."""
    kept: list[str] = []
    for name, text in typed.items():
        part = ""
        for line in text.strip().splitlines():
            if part and len(part) + len(line) > _MOST_LINE:
                kept.append(f"{name}: {part}")
                part = ""
            part = f"{part}; {line.strip()}" if part else line.strip()[:_MOST_LINE]
        kept += [f"{name}: {part}"] if part else []
    return tuple(kept)


def write_gap(
    context: Context, *, quantity: str, place: str, answers: Sequence[FeelerAnswer], gap: Reading
) -> tuple[Entry, ...]:
    """Write one gap, with every try as it could be typed again."""
    body = _reading(context, quantity, place, gap, raw=_raw(answers), instrument=FEELERS)
    return context.book.write(context.job, [body])


def write_seat(
    context: Context, *, quantity: str, stations: Sequence[tuple[Station, Sequence[FeelerAnswer]]], seat: Seat
) -> tuple[Entry, ...]:
    """Write the height at each of three stations, then how the ring rises, and rocks where that was tried."""
    bodies = [
        _reading(
            context,
            quantity,
            f"{deg_to_clock(one.angle_deg)} o'clock",
            one.pressed,
            raw=_raw(tries),
            instrument=FEELERS,
        )
        for one, tries in stations
    ]
    toward = "" if seat.highest_deg is None else f"towards {deg_to_clock(seat.highest_deg)} o'clock"
    rise = Reading(
        value=seat.rise_mm, unit="mm", standard_uncertainty=seat.rise_uncertainty_mm, how="plane through three stations"
    )
    bodies += [
        _reading(context, f"{quantity}, mean", "", seat.mean),
        _reading(context, f"{quantity}, rise over the ring", toward, rise),
    ]
    if seat.rock is not None and seat.rock_deg is not None:
        bodies.append(_reading(context, f"{quantity}, rock", f"{deg_to_clock(seat.rock_deg)} o'clock", seat.rock))
    return context.book.write(context.job, bodies)


def write_ring(
    context: Context,
    *,
    which: str,
    ring: Ring,
    u_radius_mm: float | None,
    u_out_of_round_mm: float | None,
    rub: Rub | None = None,
) -> tuple[Entry, ...]:
    """Write a ring's out of round (minimum zone), its mean diameter, and its least clearance to a pointer."""
    out = Reading(
        value=ring.minimum_zone.out_of_round_mm, unit="mm", standard_uncertainty=u_out_of_round_mm, how="minimum zone"
    )
    u_diameter = None if u_radius_mm is None else 2 * u_radius_mm
    mean = Reading(
        value=2 * ring.least_squares.radius_mm, unit="mm", standard_uncertainty=u_diameter, how="least squares"
    )
    bodies = [
        _reading(context, "out of round", which, out, raw=kept_text(context.typed)),
        _reading(context, "diameter", which, mean),
    ]
    if rub is not None:
        room = Reading(value=rub.clearance_mm, unit="mm", standard_uncertainty=u_radius_mm, how="least over a turn")
        bodies.append(_reading(context, "clearance to the pointer", which, room))
    return context.book.write(context.job, bodies)


def write_standard(
    context: Context, *, depths_mm: Mapping[str, float], u_depth_mm: float | None, fit: PlaneFit, focus: FrameFocus
) -> tuple[Entry, ...]:
    """Write the depth at each corner, the tilt, and the worst defocus of the frame held to the budget wide open."""
    bodies = [
        _reading(
            context, "corner depth", name, Reading(value=depth, unit="mm", standard_uncertainty=u_depth_mm),
            raw=kept_text(context.typed) if n == 0 else (), instrument="depth gauge",
        )
        for n, (name, depth) in enumerate(depths_mm.items())
    ]  # fmt: skip
    for quantity, value, u in (
        ("tilt up and down", fit.least_squares.tilt_x_deg, fit.u_slope_y),
        ("tilt left and right", fit.least_squares.tilt_y_deg, fit.u_slope_x),
    ):
        tilt = Reading(value=value, unit="deg", standard_uncertainty=_slope_deg(u), how="least squares")
        bodies.append(_reading(context, f"front standard {quantity}", "", tilt))
    if focus.apertures:
        widest = min(focus.apertures, key=lambda one: one.f_number)
        source = f"focus budget ±{widest.budget_mm:.3f} mm at f/{widest.f_number:g}"
        held = Tolerance(unit="mm", source=source, lower=-widest.budget_mm, upper=widest.budget_mm)
        bodies.append(_reading(context, "defocus at the worst corner", "", widest.worst, tolerance=held))
    return context.book.write(context.job, bodies)


def _slope_deg(u: float | None) -> float | None:
    """Return the standard uncertainty of a small slope as an angle."""
    return None if u is None else u * 57.29577951308232


def write_erection(
    context: Context, *, found: Erection, gives: Sequence[StrutGive | tuple[str, Reading]]
) -> tuple[Entry, ...]:
    """Write height and scatter at repeated openings, and what each strut gives to a force."""
    scatter = Reading(
        value=found.scatter.standard_uncertainty,
        unit="mm",
        standard_uncertainty=_of_scatter(found),
        how=found.scatter.how,
    )
    bodies = [
        _reading(context, "height of the front standard, opened again", "", found.height, raw=kept_text(context.typed)),
        _reading(context, "scatter of erection", "", scatter),
    ]
    for one in gives:
        name, give = (one.name, one.give) if isinstance(one, StrutGive) else one
        bodies.append(_reading(context, "give to a push and a pull", name, give))
    return context.book.write(context.job, bodies)


def _of_scatter(found: Erection) -> float | None:
    """Return how sure a standard deviation is: it over the root of twice its degrees of freedom (JCGM 100, E.4.3)."""
    s, freedom = found.scatter.standard_uncertainty, found.scatter.degrees_of_freedom
    return None if not s or not freedom else s / (2 * freedom) ** 0.5


def write_fit(context: Context, *, which: str, fit: Fit) -> tuple[Entry, ...]:
    """Write the play of a pair, and the angle that it rattles through."""
    bodies = [_reading(context, "play", which, fit.play, raw=kept_text(context.typed))]
    if fit.rattle is not None:
        bodies.append(_reading(context, "rattle", which, fit.rattle))
    return context.book.write(context.job, bodies)


def write_work(context: Context, *, fault: str, text: str) -> tuple[Entry, ...]:
    """Write what is to be done, as work on a fault."""
    return context.book.write(context.job, [Fault(fault=fault, stage="work", text=text)])


def _reading(
    context: Context,
    quantity: str,
    place: str,
    reading: Reading,
    *,
    raw: tuple[str, ...] = (),
    instrument: str = "",
    tolerance: Tolerance | None = None,
) -> ReadingTaken:
    return ReadingTaken(
        quantity=quantity,
        place=place,
        reading=reading,
        raw=raw,
        instrument=instrument,
        stage=context.stage,
        depends_on=context.depends_on,
        tolerance=tolerance,
    )


def _raw(answers: Sequence[FeelerAnswer]) -> tuple[str, ...]:
    """Return each try as it could be typed again."""
    return tuple(f"{'+'.join(f'{leaf:g}' for leaf in one.leaf_mm)} mm {one.answer}" for one in answers)
