"""The quick line on the page: what was typed, what was understood, what is remembered."""

from dataclasses import dataclass
from itertools import pairwise
from uuid import UUID

from asfound.job import Job
from asfound.job.line import Understood
from asfound.job.remembering import memory_of
from asfound.problems import Problem

EXAMPLES = (
    ("off front ring, 3 screws M1.4 x 2.5, tray B2", "a part off, its fasteners, where it lies"),
    ("slack set screws by 1 turn", "loosened, still on the camera"),
    ("back front ring", "a part on again"),
    ('read height at "12 o\'clock" 0.35 drag with feeler set', "a reading, with what the feeler said"),
    ("corner depth 63.4 63.4 63.3 63.6", "four corners in one line"),
    ("gap 0.40, restore to ±0.05", "a reading to come back to"),
    ("mark front ring: scribed line at the red dot", "what lines up with what"),
    ("fault slow speeds drag: stopped half way", "a fault, and what was seen"),
    ("spacer paper shim 0.10 mm, late, tray A4", "a spacer found late"),
    ("dial B, released, f/4.5", "the state the camera is in now"),
    ("soaking retard train in benzine", "the condition of a part"),
    ("ordered bellows from the maker", "something to wait for"),
)


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of a typed line; marked where something is wrong with it."""

    text: str
    marked: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LineForm:
    """The quick line: as typed, with its problems at their place."""

    text: str
    problems: tuple[Problem, ...]
    pieces: tuple[Piece, ...]
    remembered: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Echo:
    """What was just written or struck, in words."""

    entries: tuple[UUID, ...]
    said: str
    is_strike: bool
    warnings: tuple[str, ...] = ()


def line_form(
    job: Job, text: str = "", understood: Understood | None = None, problems: tuple[Problem, ...] = ()
) -> LineForm:
    """Return the form of the quick line; empty, or as typed with what is wrong with it."""
    wrong = problems or (understood.problems if understood else ())
    return LineForm(
        text=text,
        problems=wrong,
        pieces=pieces(text, wrong) if wrong else (),
        remembered=remembered(job),
    )


def pieces(text: str, problems: tuple[Problem, ...]) -> tuple[Piece, ...]:
    """Return a typed line in pieces, those marked that a problem names."""
    wrong = [False] * len(text)
    for problem in problems:
        if problem.span is not None:
            start, stop = problem.span
            wrong[start : max(stop, start + 1)] = [True] * len(wrong[start : max(stop, start + 1)])
    cuts = [n for n in range(len(text)) if n == 0 or wrong[n] != wrong[n - 1]]
    return tuple(Piece(text[a:b], wrong[a]) for a, b in pairwise([*cuts, len(text)]))


def remembered(job: Job) -> tuple[str, ...]:
    """Return what a line need not say again: the step, the quantity and its place, instrument, unit, stage."""
    memory = memory_of(job)
    step = next((s for s in job.steps if s.id == memory.step), None)
    words = (
        f"step {step.number}, {step.part}" if step else "",
        f"{memory.quantity} {memory.place}".strip(),
        memory.instrument,
        memory.unit if memory.unit != "1" else "",
        memory.stage,
    )
    return tuple(word for word in words if word)
