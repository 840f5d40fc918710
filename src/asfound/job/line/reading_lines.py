"""Lines of readings: named, known by their first word, or a bare number that repeats the last one."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from lark import Token, Tree

from asfound.job.bodies import AnyBody, Note, Proof, ReadingTaken
from asfound.job.line.context import Context, Node, is_quoted, tail_of, tokens_of, trees_of
from asfound.job.line.memory import LineMemory
from asfound.job.line.quoting import unquote
from asfound.job.line.reading_clauses import Gathered, gather, number_of, range_of, unit_of
from asfound.job.line.words import (
    CORNERS,
    PLACES,
    QUANTITIES,
    QUANTITY_SHORT,
    VERDICT_SHORT,
    WAYS,
    long_form,
    squeeze,
)
from asfound.quantity import UNITS, Reading
from asfound.quantity.tolerance import Tolerance, verdict

DEFAULT_SOURCE = "said at the bench"


@dataclass(frozen=True, slots=True)
class _Subject:
    """What is read: its dimension and default unit where known, and whether it repeats the last reading."""

    quantity: str
    dimension: str = ""
    unit: str = ""
    repeats: bool = False
    exact: bool = False


def read_reading(tree: Tree[Token], context: Context) -> tuple[AnyBody, ...]:
    """Return the readings of "reading strut torque at tl 20 N mm": any quantity, the unit said."""
    quantity = context.name(trees_of(tree, "name")[0])
    return _readings(tree, context, _Subject(quantity, exact=True))


def read_known(tree: Tree[Token], context: Context) -> tuple[AnyBody, ...]:
    """Return the readings of a line that begins with a quantity: "height tl .35"."""
    quantity = long_form(re.sub(r"run-\s", "run-", tokens_of(tree, "QUANTITY")[0]), QUANTITY_SHORT)
    dimension, unit = QUANTITIES[quantity]
    return _readings(tree, context, _Subject(quantity, dimension, unit))


def read_bare(tree: Tree[Token], context: Context) -> tuple[AnyBody, ...]:
    """Return the readings of a line that begins with a number, or asks for the next station."""
    memory = context.memory
    if not memory.quantity:
        remedy = "name it once: height tl 0.35 mm"
        raise context.fault(tree, "there is no reading before this one to repeat", remedy)
    dimension, unit = QUANTITIES.get(memory.quantity, ("", ""))
    if not dimension and memory.unit in UNITS:
        dimension = UNITS[memory.unit].dimension
    again = tokens_of(tree, "NEXT", "SAME")
    subject = _Subject(memory.quantity, dimension, unit, repeats=True)
    if again and not _has_amount(tree):
        return _same_again(tree, context)
    return _readings(tree, context, subject)


def _has_amount(tree: Tree[Token]) -> bool:
    return bool(tokens_of(tree, "TRY", "NEXT_LEAF") or trees_of(tree, "value", "span", "more", "less"))


def _same_again(tree: Tree[Token], context: Context) -> tuple[AnyBody, ...]:
    last = context.memory.last
    if last is None:
        raise context.fault(tree, "there is no value to repeat", "type the number")
    place = _next_place(tree, context, last.quantity) if tokens_of(tree, "NEXT") else last.place
    stage = _stage(tree, context)
    return (last.model_copy(update={"place": place, "stage": stage}),)


def _readings(tree: Tree[Token], context: Context, subject: _Subject) -> tuple[AnyBody, ...]:
    memory = context.memory
    same = subject.repeats or subject.quantity == memory.quantity
    instrument = _instrument(tree, context)
    feeler = not subject.exact and "feeler" in (memory.instrument if instrument is None and same else instrument or "")
    remembered = memory.unit if same else _unit_before(subject, memory)
    found = gather(tree, context, subject.dimension, remembered=remembered, feeler=feeler)
    _want_value(found, context, subject)
    readings = found.readings(_default_unit(subject, remembered))
    if instrument is None:
        fallback = "feeler" if found.tries or found.drags else ""
        instrument = (memory.instrument if same else "") or fallback
    places = _places(tree, context, subject, found, len(readings))
    bodies = [
        _body(tree, context, subject, reading, place, found.raw(i) or _raw(tree), instrument, same=same)
        for i, (reading, place) in enumerate(zip(readings, places, strict=True))
    ]
    tail = tail_of(tree)
    return (*bodies, Note(text=tail)) if tail else tuple(bodies)


def _body(
    tree: Tree[Token],
    context: Context,
    subject: _Subject,
    reading: Reading,
    place: str,
    raw: tuple[str, ...],
    instrument: str,
    *,
    same: bool,
) -> ReadingTaken:
    depends = _depends(tree, context)
    if depends is None:
        depends = context.memory.depends_on if same else ()
    return ReadingTaken(
        quantity=subject.quantity,
        place=place,
        reading=reading,
        raw=raw,
        instrument=instrument,
        stage=_stage(tree, context),
        depends_on=depends,
        needs_off=_needs_off(tree, context),
        restore=bool(tokens_of(tree, "RESTORE")) or _restores(tree),
        tolerance=_tolerance(tree, context, reading),
    )


def _want_value(found: Gathered, context: Context, subject: _Subject) -> None:
    if not (found.values or found.tries or found.drags or found.lower or found.upper or found.unit is not None):
        raise context.fault(None, f"{subject.quantity}: no value", "add a number: 0.35, or .35 loose .40 no")


def _unit_before(subject: _Subject, memory: LineMemory) -> str:
    """Return the unit that a quantity was last read in, where it has none of its own."""
    return "" if subject.unit else memory.units.get(subject.quantity.casefold(), "")


def _default_unit(subject: _Subject, remembered: str) -> str:
    fits = remembered and (
        not subject.dimension or (remembered in UNITS and UNITS[remembered].dimension == subject.dimension)
    )
    return remembered if fits else subject.unit


def _raw(tree: Tree[Token]) -> tuple[str, ...]:
    return tuple(unquote(token) for clause in trees_of(tree, "raw") for token in tokens_of(clause, "STRING"))


def _instrument(tree: Tree[Token], context: Context) -> str | None:
    for clause in reversed(trees_of(tree, "instrument_used")):
        names = trees_of(clause, "name")
        return context.name(names[0]) if names else ""
    return None


def _stage(tree: Tree[Token], context: Context, default: str = "") -> str:
    return next((squeeze(token) for token in tokens_of(tree, "STAGE")), default or context.memory.stage)


def _depends(tree: Tree[Token], context: Context) -> tuple[str, ...] | None:
    return _said_names(tree, context, "depends")


def _needs_off(tree: Tree[Token], context: Context) -> tuple[str, ...] | None:
    """Return the parts that must be off; None where nobody said, which is not nothing."""
    return _said_names(tree, context, "needs_off")


def _said_names(tree: Tree[Token], context: Context, name: str) -> tuple[str, ...] | None:
    for clause in reversed(trees_of(tree, name)):
        return next((context.names(names) for names in trees_of(clause, "names")), ())
    return None


# --- stations -----------------------------------------------------------------------------------------


def place_name(typed: str) -> str:
    """Return a place as written down: "tl" is "top left"; "of the" before it is left out."""
    said = re.sub(r"^(?:(?:of|in|on)\s+)?(?:the\s+)?(?=\S)", "", typed, flags=re.IGNORECASE)
    return PLACES.get(said.lower(), said)


def on_the_clock(typed: str) -> str:
    """Return a place named by the hour: "8 o'clock"."""
    return f"{typed.partition('o')[0].partition('O')[0].strip()} o'clock"


def _typed_place(tree: Tree[Token], context: Context) -> str | None:
    named = trees_of(tree, "name") if tree.data == "known" else []
    if hours := [token for clause in (tree, *trees_of(tree, "place")) for token in tokens_of(clause, "CLOCK")]:
        return on_the_clock(hours[-1])
    for clause in trees_of(tree, "place"):
        if numbers := tokens_of(clause, "STATION"):
            return squeeze(numbers[0])
        named = trees_of(clause, "name")
    if not named:
        return None
    name = named[0]
    said = context.name(name)
    return said if is_quoted(name) else place_name(said)


def stations(quantity: str, context: Context) -> tuple[str, ...]:
    """Return the places where this quantity is read, in the order they are walked.

    Corners go round the way they were begun; other places in the order they were first read. Where both are known
    the last place says which are walked.
    """
    memory = context.memory
    known = memory.places if quantity == memory.quantity else ()
    corners = tuple(place for place in known if place in CORNERS)
    if corners and (corners == known or memory.place in CORNERS):
        return _round_from(corners)
    if quantity == "spring force" and (set(known) <= set(WAYS) or memory.place in WAYS):
        return WAYS
    if known:
        return known if len(known) > 1 else ()
    return CORNERS if "corner" in quantity else ()


def _round_from(known: Sequence[str]) -> tuple[str, ...]:
    backwards = len(known) > 1 and CORNERS[CORNERS.index(known[0]) - 1] == known[1]
    ring = CORNERS[::-1] if backwards else CORNERS
    first = ring.index(known[0])
    return ring[first:] + ring[:first]


def _next_place(tree: Tree[Token], context: Context, quantity: str) -> str:
    places = stations(quantity, context)
    if not places:
        remedy = "name it: .35 at top right"
        raise context.fault(tokens_of(tree, "NEXT")[0], "the next station is not known", remedy)
    place = context.memory.place
    return places[(places.index(place) + 1) % len(places)] if place in places else places[0]


def _places(tree: Tree[Token], context: Context, subject: _Subject, found: Gathered, count: int) -> Sequence[str]:
    typed = _typed_place(tree, context)
    if count == 1:
        if typed is None and tokens_of(tree, "NEXT"):
            typed = _next_place(tree, context, subject.quantity)
        return (typed if typed is not None else context.memory.place if subject.repeats else "",)
    both_ways = subject.quantity == "spring force" and count == len(WAYS) and typed is None
    places = WAYS if both_ways else stations(subject.quantity, context)
    first = places.index(typed) if typed in places else 0
    walked = places[first : first + count]
    if len(walked) < count or (typed and typed not in places):
        nodes: list[Node] = [*found.tried, *(number.node for number in found.values)]
        node = nodes[max(1, len(walked))]
        what = f"{count} values, but {len(walked) or 'no'} stations known for {subject.quantity}"
        raise context.fault(node, what, "type one value to a line, each with its place")
    return walked


# --- what a reading is held to ------------------------------------------------------------------------


def _restores(tree: Tree[Token]) -> bool:
    return any(tokens_of(clause, "RESTORE_TO") for clause in trees_of(tree, "held_to"))


def _tolerance(tree: Tree[Token], context: Context, reading: Reading | None) -> Tolerance | None:
    clauses = trees_of(tree, "held_to")
    if not clauses:
        return None
    source = [context.name(trees_of(clause, "name")[0]) for clause in trees_of(tree, "source")]
    clause = clauses[-1]
    unit = unit_of(clause, context)
    if not unit and not trees_of(clause, "unit"):
        unit = reading.unit if reading else ""
    if not unit and not trees_of(clause, "unit"):
        raise context.fault(clause, "these limits have no unit", "add one: held to 0.3 to 0.4 mm")
    lower, upper = _limits(clause, context, reading, unit)
    return Tolerance(unit=unit, source=source[-1] if source else DEFAULT_SOURCE, lower=lower, upper=upper)


def _limits(
    clause: Tree[Token], context: Context, reading: Reading | None, unit: str
) -> tuple[float | None, float | None]:
    if tokens_of(clause, "RANGE"):
        low, high = range_of(clause, context)
        return low.value, high.value
    if tokens_of(clause, "NO_BOUND"):
        return None, None
    number = number_of(clause, context).value
    if tokens_of(clause, "AT_LEAST"):
        return number, None
    if tokens_of(clause, "AT_MOST"):
        return None, number
    if reading is None or reading.value is None or reading.unit != unit:
        raise context.fault(clause, "plus or minus of what?", "give both ends: held to 0.33 to 0.37 mm")
    return reading.value - abs(number), reading.value + abs(number)


def read_proof(tree: Tree[Token], context: Context) -> Proof:
    """Return the proof of a line; with a reading and limits the verdict need not be said."""
    reading = gather(tree, context).one_reading("")
    tolerance = _tolerance(tree, context, reading)
    said = [long_form(token, VERDICT_SHORT) for token in tokens_of(tree, "VERDICT")]
    if not said and not (reading and tolerance and reading.unit == tolerance.unit):
        raise context.fault(None, "no verdict", "say within, outside, cannot tell or not applicable")
    if not said:
        assert reading is not None
        assert tolerance is not None
        said = [verdict(reading, tolerance)]
    return Proof(
        what=context.name(trees_of(tree, "name")[0]),
        verdict=said[-1],
        reading=reading,
        tolerance=tolerance,
        stage=_stage(tree, context, "as left"),
        depends_on=_depends(tree, context) or (),
        needs_off=_needs_off(tree, context),
        instrument=_instrument(tree, context) or None,
        text=tail_of(tree),
    )
