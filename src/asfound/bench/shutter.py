"""The dial made of a recording's firings, and the moves of adjusters between two dials."""

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from uuid import UUID

from asfound.bench.recordings import RESTS_ON
from asfound.book import Book
from asfound.job import Entry, Job
from asfound.job.bodies import AdjusterMoved, Fault, Note, PartCondition, Proof, ShutterTable, SpeedRow, Stage
from asfound.job.instruments import SOUND_INPUT
from asfound.job.job import key
from asfound.problems import BadInputError, Problem, bad_input
from asfound.quantity import read_number, show_number
from asfound.quantity.tolerance import Verdict
from asfound.shutter import Dial, DialRow, Firing, Flag, MarkedSpeed, judge, read_dial, read_marked
from asfound.shutter.speeds.dial import DEFAULT_SOURCE, DEFAULT_TOLERANCE_STOPS, read_dial_by_nearest
from asfound.shutter.speeds.drift import drift
from asfound.shutter.speeds.rested import compare_rested, set_rested_apart, struck_without_rested
from asfound.shutter.speeds.walk import read_dial_as_walked
from asfound.shutter.trimming.trimlog import read_adjusters

UNSURE = (Flag.CLIPPED, Flag.NEVER_CLOSES)
# Evenness is remarked on from a step so far off, and surely so.
UNEVEN_STEP_STOPS = 1 / 3
# Parts whose cleaning changes every time of the dial.
_CLEANED = ("shutter", "retard train", "blades", "gear train")


@dataclass(frozen=True, slots=True, kw_only=True)
class DialAsked:
    """How firings are to be set against the dial.

    Attributes
    ----------
    marked : str
        Marked speeds, in the order shot where `nearest` is false.
    nearest : bool
        Give each firing to the speed nearest to it, whatever the order.
    shots : int
        At each speed.
    rested : bool
        One firing more at each speed, its first, after hours of rest: set apart.
    exact_modern : bool
        Compare marks of the modern series with powers of two.
    tolerance_stops, top_tolerance_stops : float, float or None
        The second is for the top speed; half a stop where not given (common practice, no source).
    own_stops : mapping of str to float
        Tolerance of single speeds, by their marks.
    tolerance_source : str
    left_out : frozenset of int
        Numbers of firings, from 1, that are no shots of this dial.
    struck : frozenset of int
        Numbers of bad shots: each keeps its place and counts for nothing.
    walked : tuple of str or None
        The mark that each firing was shot at, where that was told while firing; empty where it was not.
    """

    marked: str
    nearest: bool = False
    shots: int = 3
    rested: bool = False
    exact_modern: bool = True
    tolerance_stops: float = DEFAULT_TOLERANCE_STOPS
    top_tolerance_stops: float | None = None
    own_stops: Mapping[str, float] = field(default_factory=dict)
    tolerance_source: str = DEFAULT_SOURCE
    left_out: frozenset[int] = frozenset()
    struck: frozenset[int] = frozenset()
    walked: tuple[str | None, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeDial:
    """A dial, and what is to be said of it beside its rows."""

    dial: Dial
    remarks: tuple[str, ...]
    doubts: tuple[Problem, ...] = ()


def make_dial(firings: tuple[Firing, ...], asked: DialAsked) -> MadeDial:
    """Set firings against the dial.

    Raises
    ------
    BadInputError
        If a mark cannot be read, a firing is named that is not there, or the firings do not come out even.
    """
    speeds, problems = read_marked(asked.marked, exact_modern=asked.exact_modern, where="marked")
    if problems:
        raise BadInputError(*problems)
    if not speeds:
        raise bad_input("marked", "no speed is given", "write the marked speeds, as in 1, 1/2, 1/5")
    _check_numbers(asked, len(firings))
    kept = [(number, one) for number, one in enumerate(firings, start=1) if number not in asked.left_out]
    struck = {place for place, (number, _) in enumerate(kept, start=1) if number in asked.struck}
    shots = tuple(one for _, one in kept)
    if asked.walked:
        speeds_of = [mark for number, mark in enumerate(asked.walked, start=1) if number not in asked.left_out]
        return _as_walked(shots, speeds, struck, speeds_of, asked)
    if asked.nearest:
        return _by_nearest(shots, speeds, struck, asked)
    return _in_order(shots, speeds, struck, asked)


def _check_numbers(asked: DialAsked, count: int) -> None:
    for where, numbers in (("leave_out", asked.left_out), ("struck", asked.struck)):
        wrong = [number for number in numbers if not 1 <= number <= count]
        if wrong:
            what = f"{wrong[0]} is no firing of this recording"
            raise bad_input(where, what, f"name firings by number, from 1 to {count}")


def _in_order(
    shots: tuple[Firing, ...], speeds: tuple[MarkedSpeed, ...], struck: Collection[int], asked: DialAsked
) -> MadeDial:
    each = asked.shots + (1 if asked.rested else 0)
    if len(shots) != each * len(speeds):
        what = f"{len(shots)} firings are there, {len(speeds)} speeds of {each} shots need {each * len(speeds)}"
        raise bad_input("shots", what, "correct speeds or shots, or leave misfires out by their number")
    first: tuple[Firing, ...] = ()
    if asked.rested:
        struck = struck_without_rested(struck, shots=asked.shots)
        first, shots = set_rested_apart(shots, shots=asked.shots)
    dial, _ = read_dial(
        shots,
        speeds,
        shots=asked.shots,
        tolerance_stops=asked.tolerance_stops,
        tolerance_source=asked.tolerance_source,
        top_tolerance_stops=asked.top_tolerance_stops,
        struck=struck,
    )
    dial = _own_tolerances(dial, asked)
    rested = _rested(first, shots, speeds, asked.shots)
    return MadeDial(dial=dial, remarks=(*remarks_on(dial), *rested))


def _by_nearest(
    shots: tuple[Firing, ...], speeds: tuple[MarkedSpeed, ...], struck: Collection[int], asked: DialAsked
) -> MadeDial:
    if asked.rested:
        remedy = "group by the order shot, or leave the rested shots out"
        raise bad_input("rested", "a rested shot is told by its place in the order", remedy)
    dial, doubts = read_dial_by_nearest(
        shots,
        speeds,
        tolerance_stops=asked.tolerance_stops,
        tolerance_source=asked.tolerance_source,
        top_tolerance_stops=asked.top_tolerance_stops,
        struck=struck,
    )
    dial = _own_tolerances(dial, asked)
    return MadeDial(dial=dial, remarks=remarks_on(dial), doubts=doubts)


def _as_walked(
    shots: tuple[Firing, ...],
    speeds: tuple[MarkedSpeed, ...],
    struck: Collection[int],
    walked: Sequence[str | None],
    asked: DialAsked,
) -> MadeDial:
    if asked.rested:
        raise bad_input("rested", "a rested shot is told by its place in the order", "group by the order shot")
    dial, doubts = read_dial_as_walked(
        shots,
        speeds,
        walked=walked,
        tolerance_stops=asked.tolerance_stops,
        tolerance_source=asked.tolerance_source,
        top_tolerance_stops=asked.top_tolerance_stops,
        struck=struck,
    )
    if not any(row.n for row in dial.rows):
        raise bad_input("marked", "no good shot was fired at any of them", "give the speeds that were fired")
    dial = _own_tolerances(dial, asked)
    return MadeDial(dial=dial, remarks=remarks_on(dial), doubts=doubts)


def _own_tolerances(dial: Dial, asked: DialAsked) -> Dial:
    """Judge single speeds anew by tolerances of their own."""
    by_time = _own_by_time(asked)
    unknown = [mark for mark, time_s in by_time if all(abs(math.log2(time_s / r.nominal_s)) > 1e-6 for r in dial.rows)]
    if unknown:
        raise bad_input("own", f"{unknown[0]} is none of the speeds of this dial", "give one of them, as in 1/250: 1/2")
    limits = {
        row.marked: asked.own_stops[mark]
        for row in dial.rows
        for mark, time_s in by_time
        if abs(math.log2(time_s / row.nominal_s)) <= 1e-6
    }
    return replace(dial, rows=tuple(_judged_by(row, limits.get(row.marked)) for row in dial.rows))


def _own_by_time(asked: DialAsked) -> list[tuple[str, float]]:
    found = []
    for mark in asked.own_stops:
        speeds, problems = read_marked(mark, exact_modern=asked.exact_modern, where="own")
        if problems or len(speeds) != 1:
            raise bad_input("own", f"{mark[:40]!r} is no marked speed", "write it as in 1/250: 1/2")
        found.append((mark, speeds[0].nominal_s))
    return found


def _judged_by(row: DialRow, limit: float | None) -> DialRow:
    if limit is None:
        return row
    if row.error_stops is None or row.interval_stops is None or any(flag in row.flags for flag in UNSURE):
        return replace(row, tolerance_stops=limit)
    return replace(row, tolerance_stops=limit, verdict=judge(row.error_stops, row.interval_stops, limit))


def remarks_on(dial: Dial) -> tuple[str, ...]:
    """Return what a dial shows beside its errors: struck shots, drift from shot to shot, uneven steps."""
    said = []
    struck = [f"{len(row.struck_s)} at {row.marked}" for row in dial.rows if row.struck_s]
    if struck:
        said.append(f"Struck through as bad shots: {', '.join(struck)}.")
    change = drift([row.shots_s for row in dial.rows])
    if change is not None:
        by = f"by {abs(change.stops_a_shot):.3f} ± {change.interval_stops:.3f} stop a shot (95 %)"
        if change.verdict == "yes":
            said.append(f"From shot to shot the times {'grow' if change.stops_a_shot > 0 else 'shrink'} {by}.")
        else:
            said.append("No sign of drift from shot to shot.")
    return (*said, *_uneven(dial))


def _uneven(dial: Dial) -> tuple[str, ...]:
    surely = [
        step for step in dial.steps if abs(step.error_stops) > max(UNEVEN_STEP_STOPS, 2 * (step.u_error_stops or 0.0))
    ]
    return tuple(
        f"Uneven: from {step.slower} to {step.faster} it is {step.measured_stops:.2f} stop, where the marks say "
        f"{step.marked_stops:.2f}."
        for step in surely
    )


def _rested(
    first: tuple[Firing, ...], shots: tuple[Firing, ...], speeds: tuple[MarkedSpeed, ...], each: int
) -> tuple[str, ...]:
    said = []
    for at, (speed, shot) in enumerate(zip(speeds, first, strict=False)):
        found = compare_rested(shot, shots[at * each : (at + 1) * each])
        if found.slower_stops is not None:
            tail = "" if found.differs else ", no more than scatter"
            said.append(f"Rested first shot at {speed.mark}: {found.slower_stops:+.2f} stop against the others{tail}.")
    return tuple(said)


def latest_table(job: Job) -> ShutterTable | None:
    """Return the dial as last measured."""
    return job.tables[-1].body if job.tables else None


def times_text(rows: tuple[SpeedRow, ...]) -> str:
    """Return a table's times as they are written down: "1/25: 45.1 ms, 46.0 ms"."""
    return "\n".join(
        f"{row.marked}: " + ", ".join(f"{show_number(time * 1e3, significant=4)} ms" for time in row.times_s)
        for row in rows
        if row.times_s
    )


def condition_of(job: Job) -> str:
    """Return whether the shutter was dirty or clean when its dial was last measured; else "not said".

    What was seen to be dirty after the dial was measured was dirty before.
    """
    before: list[str] = []
    after: list[str] = []
    for entry in job.live:
        if isinstance(entry.body, ShutterTable):
            before, after = before + after, []
        elif isinstance(entry.body, PartCondition) and key(entry.body.part) in _CLEANED:
            after.append("dirty" if entry.body.condition in ("dirty", "soaking") else "clean")
    if not job.tables:
        return after[-1] if after else "not said"
    if after and after[0] == "dirty":
        return "dirty"
    return before[-1] if before else "not said"


@dataclass(frozen=True, slots=True, kw_only=True)
class MovesSoFar:
    """The dials and the moves between them, as a log to be read; and what stands against using it."""

    log: str
    adjusters: tuple[str, ...]
    since: tuple[str, ...] = ()


def moves_so_far(job: Job) -> MovesSoFar:
    """Return the moves of the shutter's adjusters with the dial before and after each, the last dial at the end.

    A dial measured again without a move takes the place of the one before. What lies before two moves that no
    dial stands between, or before cleaning, cannot be told apart and is left out.
    """
    parts: list[str] = []
    names: list[str] = []
    moved: list[AdjusterMoved] = []
    cleaned = False
    for entry in job.live:
        body = entry.body
        if isinstance(body, ShutterTable):
            block = times_text(body.rows)
            if cleaned or len(moved) > 1:
                parts = [block]
            elif moved and parts:
                parts = [*parts, _move_line(moved[0]), block]
            else:
                parts = [*parts[:-1], block]
            moved, cleaned = [], False
        elif isinstance(body, AdjusterMoved) and _is_of_shutter(body.adjuster):
            if read_adjusters(_name(body))[1]:
                cleaned = True  # a move that cannot be learned from parts the dials as cleaning does
                continue
            moved.append(body)
            names.append(_name(body))
        elif isinstance(body, PartCondition) and key(body.part) in _CLEANED:
            cleaned = True
    since = tuple(_move_line(one) for one in moved)
    return MovesSoFar(log="\n".join(parts), adjusters=tuple(dict.fromkeys(names)), since=since)


def _is_of_shutter(name: str) -> bool:
    return key(name) in RESTS_ON or key(name).startswith("bend ")


def _name(body: AdjusterMoved) -> str:
    """Return the adjuster by the name it has in a log."""
    return "engagement" if key(body.adjuster) == "retard train" else key(body.adjuster)


def _move_line(body: AdjusterMoved) -> str:
    words = " ".join(word for word in ("move", _name(body), body.direction) if word)
    number = body.amount.split(" ")[0]
    try:
        read_number(number)
    except ValueError:
        return words
    return f"{words} by {number}"


def write_move(
    book: Book, job_id: UUID, *, adjuster: str, direction: str, amount: str, before: str, after: str
) -> tuple[Entry, ...]:
    """Write a move of an adjuster into the job: every dial measured before it becomes stale."""
    body = AdjusterMoved(adjuster=adjuster, direction=direction, amount=amount, before=before, after=after)
    return book.write(job_id, [body])


def write_cause(book: Book, job_id: UUID, *, fault: str, text: str) -> tuple[Entry, ...]:
    """Write down what a fault of the job is suspected to come from."""
    return book.write(job_id, [Fault(fault=fault, stage="suspected", text=text)])


def write_sync(book: Book, job_id: UUID, *, verdict: Verdict, stage: Stage, text: str) -> tuple[Entry, ...]:
    """Write down whether the flash contact closes while the blades are open, as the proof of that name.

    Light and contact were timed by the sound input.
    """
    proof = Proof(
        what="flash sync",
        verdict=verdict,
        stage=stage,
        depends_on=("shutter", "flash contact"),
        instrument=SOUND_INPUT,
        text=text,
    )
    return book.write(job_id, [proof])


def write_finding(book: Book, job_id: UUID, text: str) -> tuple[Entry, ...]:
    """Write down as a note what was found about the shutter."""
    return book.write(job_id, [Note(text=text)])
