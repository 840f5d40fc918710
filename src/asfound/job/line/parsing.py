"""A line to what it would write: the grammar, then a reader to each kind; never an exception."""

import functools
import re
from collections.abc import Callable
from dataclasses import replace

import lark
from lark import Tree
from pydantic import ValidationError

from asfound.job.bodies import AnyBody, Note
from asfound.job.line.context import Context, LineFault
from asfound.job.line.echo import describe
from asfound.job.line.expected import not_understood
from asfound.job.line.hints import hints_for, hints_for_note
from asfound.job.line.memory import LineMemory
from asfound.job.line.other_lines import (
    read_adjuster,
    read_arrived,
    read_condition,
    read_expectation,
    read_fault,
    read_handed,
    read_instrument,
    read_later,
    read_mark,
    read_note,
    read_ordered,
    read_outcome,
    read_restore,
    read_state_line,
    read_strike,
    read_tick,
    read_undo,
)
from asfound.job.line.reading_lines import read_bare, read_known, read_proof, read_reading
from asfound.job.line.step_lines import read_freed, read_order, read_spacer, read_step
from asfound.job.line.understood import Understood
from asfound.problems import Problem

LINE_LIMIT = 4000
_NOTE_LIMIT = 20_000

Reader = Callable[[Tree[lark.Token], Context], AnyBody | tuple[AnyBody, ...]]
_READERS: dict[str, Reader] = {
    "step": read_step,
    "spacer": read_spacer,
    "freed_later": read_freed,
    "order_back": read_order,
    "reading": read_reading,
    "known": read_known,
    "bare": read_bare,
    "state": read_state_line,
    "condition": read_condition,
    "fault": read_fault,
    "mark": read_mark,
    "expectation": read_expectation,
    "outcome": read_outcome,
    "later": read_later,
    "adjuster": read_adjuster,
    "ordered": read_ordered,
    "arrived": read_arrived,
    "instrument": read_instrument,
    "tick": read_tick,
    "proof": read_proof,
    "strike": read_strike,
    "restore": read_restore,
    "undo": read_undo,
    "handed": read_handed,
    "note": read_note,
}


@functools.cache
def grammar() -> lark.Lark:
    """Return the parser of the line; made once, when first asked for."""
    return lark.Lark.open_from_package(
        "asfound.job.line", "line.lark", parser="lalr", propagate_positions=True, maybe_placeholders=False
    )


def parse_line(text: str, memory: LineMemory | None = None) -> Understood:
    """Return what a line would write, for any text whatever.

    Parameters
    ----------
    text : str
        As typed.
    memory : LineMemory, optional
        What the line may leave out.

    Returns
    -------
    Understood
        With problems, its bodies are the line as a note: written only if the user wants to keep it so.
    """
    text = re.sub("[\ud800-\udfff]", "�", text)
    if not text.strip():
        problem = Problem("line", "nothing was typed", "type a line, such as: off front ring 3 screws", (0, 0))
        return Understood((), "", (problem,))
    if len(text) > LINE_LIMIT:
        return _too_long(text)
    context = Context(text, memory or LineMemory())
    try:
        return _understood(_read(context), context)
    except lark.exceptions.UnexpectedInput as error:
        return _not_understood(error, context)
    except LineFault as fault:
        return _as_note(text, fault.problem)


def _read(context: Context) -> tuple[AnyBody, ...]:
    tree = grammar().parse(context.text).children[0]
    assert isinstance(tree, Tree)
    try:
        bodies = _READERS[tree.data](tree, context)
    except ValidationError as error:
        raise context.fault(tree, _explain(error), "correct it") from None
    return bodies if isinstance(bodies, tuple) else (bodies,)


def _explain(error: ValidationError) -> str:
    first = error.errors()[0]
    field = " ".join(str(part) for part in first["loc"] if isinstance(part, str)).replace("_", " ")
    if "too_long" in first["type"]:
        return f"{field}: longer than {first.get('ctx', {}).get('max_length', 200)} characters"
    return f"{field}: {first['msg'][:1].lower()}{first['msg'][1:]}"


def _understood(bodies: tuple[AnyBody, ...], context: Context) -> Understood:
    echo = "; ".join(describe(body, context.memory) for body in bodies)
    return Understood(bodies, echo, hints=hints_for(bodies, context.memory))


def _not_understood(error: lark.exceptions.UnexpectedInput, context: Context) -> Understood:
    text, memory = context.text, context.memory
    start = len(text) - len(text.lstrip(" \t\r\n\f\v,"))
    problem = not_understood(error, text)
    assert problem.span is not None
    if problem.span[0] <= start or re.match(r"[\d.+-]", text.strip()):
        return _free_note(text, memory)
    return _as_note(text, problem)


def _free_note(text: str, memory: LineMemory) -> Understood:
    return replace(_as_note(text), hints=hints_for_note(text.strip(), memory))


def _as_note(text: str, *problems: Problem) -> Understood:
    note = Note(text=text)
    return Understood((note,), describe(note), problems, as_note=True)


def _too_long(text: str) -> Understood:
    what = f"the line has {len(text)} characters, at most {LINE_LIMIT} are read"
    problem = Problem("line", what, "split it, or keep it as a note", (LINE_LIMIT, len(text)))
    if len(text.strip()) > _NOTE_LIMIT:
        return Understood((), "", (Problem("line", what, "split it into several notes", problem.span),))
    return _as_note(text, problem)
