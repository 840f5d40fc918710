"""Every other line: state, condition, fault, mark, expectation, adjuster, parts away, ticks, strikes, notes."""

import datetime
import re
from uuid import UUID

from lark import Token, Tree

from asfound.job.bodies import (
    AdjusterMoved,
    AnyBody,
    Expectation,
    ExpectationOutcome,
    Fault,
    HandedOver,
    Instrument,
    Mark,
    Note,
    PartArrived,
    PartCondition,
    PartOrdered,
    ProofLater,
    Restored,
    StateChanged,
    Struck,
    Tick,
)
from asfound.job.line.context import Context, is_quoted, tail_of, text_of, tokens_of, trees_of
from asfound.job.line.quoting import unquote
from asfound.job.line.reading_clauses import number_of, unit_of
from asfound.job.line.state_clauses import read_simple, read_state
from asfound.job.line.words import CONDITION_SHORT, DIRECTION_SHORT, FAULT_STAGE_SHORT, long_form, long_place, squeeze


def read_state_line(tree: Tree[Token], context: Context) -> tuple[AnyBody, ...]:
    """Return the change of state, and what is said after it as a note."""
    changed = StateChanged(state=read_state(tree.children, context))
    tail = tail_of(tree)
    return (changed, Note(text=tail)) if tail else (changed,)


def read_condition(tree: Tree[Token], context: Context) -> PartCondition:
    """Return the condition of a part."""
    using = [context.name(trees_of(clause, "name")[0]) for clause in trees_of(tree, "using")]
    said = squeeze(tokens_of(tree, "CONDITION", "SURFACE")[0])
    return PartCondition(
        part=context.part(trees_of(tree, "name")[0]),
        condition=CONDITION_SHORT.get(said, said),
        using=using[-1] if using else "",
        minutes=_minutes(tree, context),
        note=tail_of(tree),
    )


def _minutes(tree: Tree[Token], context: Context) -> int | None:
    """Return for how many minutes: whole ones, at least one and at most a year."""
    for token in reversed(tokens_of(tree, "DURATION")):
        number, unit = re.findall(r"[\d.,]+|[a-z]", squeeze(token).removeprefix("for "))[:2]
        minutes = round(float(number.replace(",", ".")) * {"m": 1, "h": 60, "d": 1440}[unit])
        if not 1 <= minutes <= 525_600:
            raise context.fault(token, "that is no time for a bath or a cure", "give a minute to a year: 20 min, 2 h")
        return minutes
    return None


def read_fault(tree: Tree[Token], context: Context) -> Fault:
    """Return what is said of a fault."""
    stages = [long_form(token, FAULT_STAGE_SHORT) for token in tokens_of(tree, "FAULT_STAGE", "SUSPECT")]
    return Fault(
        fault=context.name(trees_of(tree, "name")[0]),
        stage=stages[-1] if stages else "observed",
        text=tail_of(tree),
    )


def read_mark(tree: Tree[Token], context: Context) -> Mark:
    """Return the mark; without a colon the part must be one that the job knows."""
    name = trees_of(tree, "name")[0]
    if trees_of(tree, "tail"):
        return Mark(part=context.part(name), text=tail_of(tree))
    said = context.name(name)
    fits = [part for part in context.memory.parts if said.casefold().startswith(part.casefold() + " ")]
    if not fits:
        remedy = "put a colon after the part: mark front ring: dot against the screw"
        raise context.fault(name, "which part, and what lines up with what?", remedy)
    part = max(fits, key=len)
    return Mark(part=part, text=said[len(part) :])


def read_expectation(tree: Tree[Token], context: Context) -> Expectation:
    """Return the expectation."""
    return Expectation(text=_want_text(tree, context, "what is expected?"))


def read_outcome(tree: Tree[Token], context: Context) -> ExpectationOutcome:
    """Return how an expectation turned out: the one numbered, else the newest that is open."""
    references = _references(tree, context, "entry")
    waiting = references or context.memory.expectations[-1:]
    if not waiting:
        raise context.fault(tree, "no expectation is open", "give the number of its entry: held 12")
    return ExpectationOutcome(expectation=waiting[-1], held=bool(tokens_of(tree, "HELD")), text=tail_of(tree))


def read_note(tree: Tree[Token], context: Context) -> Note:
    """Return the note."""
    return Note(text=_want_text(tree, context, "the note is empty"))


def _want_text(tree: Tree[Token], context: Context, what: str) -> str:
    if not tokens_of(tree, "QUOTED", "TEXT"):
        raise context.fault(None, what, "say it after the word")
    return text_of(tree)


def read_later(tree: Tree[Token], context: Context) -> ProofLater:
    """Return what is put off: the check named, else the first that is due now."""
    due = {check.casefold(): check for check in context.memory.due}
    names = trees_of(tree, "name")
    if not names and not due:
        raise context.fault(None, "nothing is due to be proved here", "name it: put off film gap")
    said = context.name(names[0]) if names else next(iter(due.values()))
    if names and not is_quoted(names[0]):
        said = long_place(said)
        said = due.get(said.casefold(), said)
    return ProofLater(what=said, text=tail_of(tree))


def read_handed(tree: Tree[Token], context: Context) -> HandedOver:
    """Return the handing over."""
    if tokens_of(tree, "BECAUSE"):
        return HandedOver(text=tail_of(tree), why_open=text_of(tree))
    bare = any(tokens_of(tail, "TEXT") for tail in trees_of(tree, "tail"))
    split = re.split(r"[;,.]?\s*\b(?:still\s+)?open\s+because\b:?\s*", tail_of(tree), maxsplit=1, flags=re.I)
    text, why = split if bare and len(split) == 2 else (tail_of(tree), "")
    return HandedOver(text=text, why_open=why)


def read_adjuster(tree: Tree[Token], context: Context) -> AdjusterMoved:
    """Return the move of an adjuster."""
    directions = [long_form(token, DIRECTION_SHORT) for token in tokens_of(tree, "DIRECTION")]
    directions += [unquote(tokens_of(clause, "STRING")[0]) for clause in trees_of(tree, "direction_of")]
    amounts = [_travel(clause, context) for clause in trees_of(tree, "travel")]
    amounts += [unquote(tokens_of(clause, "STRING")[0]) for clause in trees_of(tree, "amount_of")]
    before = [read_simple(clause, context) for clause in trees_of(tree, "before")]
    after = [read_simple(clause, context) for clause in trees_of(tree, "after_value")]
    return AdjusterMoved(
        adjuster=context.part(trees_of(tree, "name")[0]),
        direction=directions[-1] if directions else "",
        amount=amounts[-1] if amounts else "",
        before=before[-1] if before else "",
        after=after[-1] if after else "",
    )


def _travel(clause: Tree[Token], context: Context) -> str:
    number = tokens_of(clause, "NUMBER")[0]
    context.number(number)
    return f"{squeeze(number)} {context.unit(tokens_of(clause, 'UNIT')[0])}"


def read_ordered(tree: Tree[Token], context: Context) -> PartOrdered:
    """Return the part sent for or sent away."""
    where = [context.name(trees_of(clause, "name")[0]) for clause in trees_of(tree, "supplier")]
    return PartOrdered(
        part=context.part(trees_of(tree, "name")[0]),
        where=where[-1] if where else "",
        expected=_date(tree, "DUE", context),
    )


def read_arrived(tree: Tree[Token], context: Context) -> PartArrived:
    """Return the part that came."""
    return PartArrived(part=context.part(trees_of(tree, "name")[0]))


def read_instrument(tree: Tree[Token], context: Context) -> Instrument:
    """Return the instrument and how well it reads."""
    sort = [context.name(trees_of(clause, "name")[0]) for clause in trees_of(tree, "sort")]
    uncertain = [number_of(clause, context) for clause in trees_of(tree, "plus_minus")]
    units = [number.unit for number in uncertain if number.unit]
    units += [unit_of(clause, context) for clause in trees_of(tree, "unit")]
    return Instrument(
        name=context.name(trees_of(tree, "name")[0]),
        sort=sort[-1] if sort else "",
        standard_uncertainty=uncertain[-1].value if uncertain else None,
        unit=units[-1] if units else "",
        checked_on=_date(tree, "CHECKED", context),
    )


def _date(tree: Tree[Token], kind: str, context: Context) -> datetime.date | None:
    for token in reversed(tokens_of(tree, kind)):
        written = re.search(r"\d{4}-\d\d-\d\d", token)
        assert written is not None
        try:
            return datetime.date.fromisoformat(written[0])
        except ValueError:
            raise context.fault(token, f"{written[0]} is no date", "write it as in 2026-03-14") from None
    return None


def _references(tree: Tree[Token], context: Context, kind: str) -> list[UUID]:
    return [context.reference(token, kind) for token in tokens_of(tree, "REF", "UUID")]


def read_tick(tree: Tree[Token], context: Context) -> tuple[AnyBody, ...]:
    """Return one tick to a step."""
    done = not tokens_of(tree, "UNTICK")
    return tuple(Tick(step=step, done=done) for step in _references(tree, context, "step"))


def read_strike(tree: Tree[Token], context: Context) -> tuple[AnyBody, ...]:
    """Return one strike to an entry."""
    reason = tail_of(tree)
    return tuple(Struck(entry=entry, reason=reason) for entry in _references(tree, context, "entry"))


def read_restore(tree: Tree[Token], context: Context) -> tuple[AnyBody, ...]:
    """Return one restoring to an entry."""
    return tuple(Restored(entry=entry) for entry in _references(tree, context, "entry"))


def read_undo(tree: Tree[Token], context: Context) -> Struck:
    """Return the strike of the last entry."""
    if context.memory.last_entry is None:
        raise context.fault(tree, "there is nothing to undo", "give an entry's number: strike 12")
    return Struck(entry=context.memory.last_entry)
