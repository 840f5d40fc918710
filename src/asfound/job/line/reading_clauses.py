"""Clauses of a measured value: numbers with units, feeler tries, bounds, plus-minus, state."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from lark import Token, Tree

from asfound.job.line.context import Context, LineFault, Node, span_of, tokens_of, trees_of
from asfound.job.line.feelers import leaf_mm, leaf_try, next_leaf, packed_leaves, show_try, tries_of_range
from asfound.job.line.quoting import unquote
from asfound.job.line.state_clauses import read_state
from asfound.quantity import UNITS, CameraState, FeelerAnswer, Reading, bracket, convert
from asfound.quantity.units import NUMBER


@dataclass(slots=True)
class Number:
    """A number where it stands, with its unit (empty where none was typed)."""

    value: float
    unit: str
    node: Node


@dataclass(slots=True)
class Gathered:
    """Every clause of a measured value in one line, as far as it was said."""

    context: Context
    dimension: str
    remembered: str
    values: list[Number] = field(default_factory=list)
    tries: list[FeelerAnswer] = field(default_factory=list)
    drags: list[FeelerAnswer] = field(default_factory=list)
    tried: list[Token] = field(default_factory=list)
    plus_minus: Number | None = None
    lower: Number | None = None
    upper: Number | None = None
    dof: float | None = None
    unit: str | None = None
    how: str | None = None
    state: CameraState = field(default_factory=CameraState)

    @property
    def said(self) -> bool:
        """Whether the line says anything of a measured value."""
        parts = (self.plus_minus, self.lower, self.upper, self.dof, self.unit, self.how)
        anything = any(part is not None for part in parts)
        return bool(self.values or self.tries or self.drags or anything or self.state != CameraState())

    @property
    def numbers(self) -> tuple[Number, ...]:
        """Every number that carries a unit."""
        optional = (self.plus_minus, self.lower, self.upper)
        return (*self.values, *(number for number in optional if number is not None))

    def symbol(self, default: str) -> str:
        """Return the unit of this reading: as typed, else `default`.

        Raises
        ------
        LineFault
            If nobody said a unit, or it measures something else.
        """
        if self.unit is not None:
            return self.unit
        typed = next((number for number in self.numbers if number.unit), None)
        if typed is not None:
            self._check(typed)
            return typed.unit
        if not default:
            node = self.numbers[0].node if self.numbers else None
            raise self.context.fault(node, "this number has no unit", "add one: 12 gf, 20 N mm, 0.35 mm")
        return default

    def _check(self, typed: Number) -> None:
        dimension = UNITS[typed.unit].dimension
        if self.dimension and dimension != self.dimension:
            what = f"{typed.unit} is a unit of {dimension}, not of {self.dimension}"
            raise self.context.fault(typed.node, what, f"give a {self.dimension}, or begin with: reading")

    def scaled(self, number: Number | None, symbol: str) -> float | None:
        """Return a number in the unit of the reading."""
        if number is None or not number.unit or number.unit == symbol:
            return None if number is None else number.value
        if symbol not in UNITS or UNITS[symbol].dimension != UNITS[number.unit].dimension:
            raise self.context.fault(number.node, f"{number.unit} does not go with {symbol}", "use one unit")
        return convert(number.value, number.unit, symbol)

    def readings(self, default: str) -> tuple[Reading, ...]:
        """Return the readings of this line: one to a value, or one from all the feeler tries."""
        if self.tries:
            return (self._bracketed(self.tries),)
        if self.drags:
            return tuple(self._bracketed([leaf]) for leaf in self.drags)
        if self.plus_minus is not None and not self.values and self.unit is None:
            raise self.context.fault(self.plus_minus.node, "plus or minus of what?", "put the value before it")
        symbol = self.symbol(default)
        common = Reading(
            value=None,
            unit=symbol,
            standard_uncertainty=self._uncertainty(symbol),
            degrees_of_freedom=self.dof,
            lower=self.scaled(self.lower, symbol),
            upper=self.scaled(self.upper, symbol),
            how=self.how or "",
            state=self.state,
        )
        values = [replace(common, value=self.scaled(number, symbol)) for number in self.values]
        return tuple(values) or (common,)

    def one_reading(self, default: str) -> Reading | None:
        """Return the only reading of this line, or None where it has none."""
        if not self.said:
            return None
        if len(self.values) > 1:
            raise self.context.fault(self.values[1].node, "there are two values here", "give one")
        return self.readings(default)[0]

    def _uncertainty(self, symbol: str) -> float | None:
        value = self.scaled(self.plus_minus, symbol)
        if value is not None and value < 0 and self.plus_minus is not None:
            raise self.context.fault(self.plus_minus.node, "an uncertainty is never below zero", "drop the sign")
        return value

    def raw(self, reading: int) -> tuple[str, ...]:
        """Return the feeler tries of one of the readings, each as it could be typed again."""
        return tuple(show_try(leaf) for leaf in (self.tries or self.drags[reading : reading + 1]))

    def _bracketed(self, tries: list[FeelerAnswer]) -> Reading:
        if self.values or self.lower or self.upper or self.plus_minus:
            node = self.numbers[0].node
            raise self.context.fault(node, "a number among feeler tries has no answer", "add loose, drag or no")
        reading, problems = bracket(tries)
        if reading is None:
            place = (span_of(self.tried[0])[0], span_of(self.tried[-1])[1])
            problem = problems[0]
            raise LineFault(replace(problem, where=f"column {place[0] + 1}", span=place))
        return replace(reading, state=self.state, how=self.how or reading.how)


def gather(
    tree: Tree[Token], context: Context, dimension: str = "", *, remembered: str = "", feeler: bool = False
) -> Gathered:
    """Collect the measured value that a line says.

    `dimension` is that of the quantity where it is known; `remembered` the unit taken where none is typed;
    `feeler` says that numbers without an answer are leaves.
    """
    found = Gathered(context, dimension, remembered, state=read_state(tree.children, context))
    for child in tree.children:
        for token in _tries(child):
            _add_tries(found, token, feeler=feeler)
        if isinstance(child, Tree):
            _add_clause(found, child)
    if feeler and not found.tries and not found.plus_minus:
        _leaves_that_drag(found)
    return found


def _tries(child: Node) -> Iterator[Token]:
    if isinstance(child, Token) and child.type in ("TRY", "NEXT_LEAF"):
        yield child
    elif isinstance(child, Tree) and child.data == "span":
        yield from tokens_of(child, "RANGE")


def _add_tries(found: Gathered, token: Token, *, feeler: bool) -> None:
    context = found.context
    newton = _newtons(found, token)
    if newton is not None:
        found.values.append(newton)
    elif token.type == "TRY":
        found.tries.append(leaf_try(token, context, found.remembered))
        found.tried.append(token)
    elif token.type == "NEXT_LEAF":
        found.tries.extend(next_leaf(token, context, found.remembered))
        found.tried.append(token)
    elif feeler:
        found.tries.extend(tries_of_range(token, context, found.remembered))
        found.tried.append(token)


def _newtons(found: Gathered, token: Token) -> Number | None:
    """Return a number of newtons where the N after it cannot be a feeler's "no"."""
    said = re.fullmatch(rf"({NUMBER})\s*([nN])", str(token)) if token.type == "TRY" else None
    if said is None or found.dimension == "length" or (not found.dimension and said[2] == "n"):
        return None
    return Number(found.context.number(token, said[1]), "N", token)


def _add_clause(found: Gathered, tree: Tree[Token]) -> None:
    context = found.context
    match tree.data:
        case "value":
            found.values.append(number_of(tree, context))
        case "span" if not found.tries:
            found.lower, found.upper = range_of(tree, context)
        case "more":
            found.lower = number_of(tree, context)
        case "less":
            found.upper = number_of(tree, context)
        case "plus_minus":
            found.plus_minus = number_of(tree, context)
        case "dof":
            found.dof = context.number(tokens_of(tree, "NUMBER")[0])
        case "unit":
            found.unit = unit_of(tree, context)
        case "how":
            found.how = context.name(trees_of(tree, "name")[0])


def number_of(tree: Tree[Token], context: Context) -> Number:
    """Return the number of a clause with its unit."""
    return Number(context.number(tokens_of(tree, "NUMBER")[0]), unit_of(tree, context), tree)


def unit_of(tree: Tree[Token], context: Context) -> str:
    """Return the unit typed in a clause, empty where there is none; a quoted one is taken as it stands."""
    for clause in trees_of(tree, "unit"):
        return unit_of(clause, context)
    for token in tokens_of(tree, "UNIT", "STRING"):
        return unquote(token) if token.type == "STRING" else context.unit(token)
    return ""


def range_of(tree: Tree[Token], context: Context) -> tuple[Number, Number]:
    """Return both ends of "0.33 to 0.37 mm"."""
    token = tokens_of(tree, "RANGE")[0]
    ends = re.fullmatch(rf"({NUMBER})(?:\s+(?:-|–|to)\s+|\s*\.\.\s*|-|–)({NUMBER})", str(token), re.IGNORECASE)
    assert ends is not None
    low, high = (context.number(token, end) for end in ends.groups())
    if low > high:
        raise context.fault(token, f"{low:g} is more than {high:g}", "write the lower end first")
    unit = unit_of(tree, context)
    return Number(low, unit, tree), Number(high, unit, tree)


def _leaves_that_drag(found: Gathered) -> None:
    """With a feeler in the hand, each number without an answer is the leaf that drags at its place."""
    if found.lower or found.upper or found.dimension not in ("", "length"):
        return
    for number in found.values:
        assert isinstance(number.node, Tree)
        token = tokens_of(number.node, "NUMBER")[0]
        for leaf in packed_leaves(str(token)):
            thick_mm = leaf_mm(token, found.context, leaf, number.unit, found.remembered)
            found.drags.append(FeelerAnswer((thick_mm,), "drag"))
            found.tried.append(token)
    found.values.clear()
