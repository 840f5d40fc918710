"""What every reader of a clause needs: the text, the memory, names and numbers with their place."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from uuid import UUID

from lark import Token, Tree

from asfound.job.line.memory import LineMemory
from asfound.job.line.quoting import unquote
from asfound.job.line.words import NO_PART
from asfound.problems import Problem
from asfound.quantity import find_unit, read_number

Node = Token | Tree[Token]
_LONGEST_SHOWN = 40
LARGEST = 1e12  # no number at a bench is larger, in any unit


class LineFault(Exception):  # noqa: N818 -- never leaves the room; parse_line turns it into its problem
    """A line that the grammar takes but that says something impossible."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(str(problem))
        self.problem = problem


@dataclass(frozen=True, slots=True)
class Context:
    """The line as typed and what it may leave out."""

    text: str
    memory: LineMemory

    def fault(self, node: Node | None, what: str, remedy: str) -> LineFault:
        """Return the fault at `node` (the end of the line for None); the caller raises it."""
        end = len(self.text.rstrip())
        first, last = (end, end) if node is None else span_of(node)
        return LineFault(Problem(f"column {first + 1}", what, remedy, (first, last)))

    def name(self, tree: Tree[Token]) -> str:
        """Return a name: quoted ones exactly, bare words with single spaces."""
        tokens = [token for token in tree.children if isinstance(token, Token)]
        if len(tokens) == 1 and tokens[0].type == "STRING":
            return unquote(tokens[0])
        words = str(_said(tokens[0]))
        for before, token in pairwise(tokens):
            comma = "," in self.text[_end(before) : _start(token)]
            words += f"{',' * comma} {_said(token)}"
        return words

    def part(self, tree: Tree[Token]) -> str:
        """Return the name of a part, spelt as the job spells it already; "the" is left out."""
        name = self.name(tree)
        if is_quoted(tree):
            return name
        name = re.sub(r"^(?:the|a|an)\s+(?=\S)", "", name, flags=re.IGNORECASE)
        if NO_PART.intersection(name.lower().split()[:1]):
            remedy = "name the part after the first word, or put its name in double quotes"
            raise self.fault(tree, f"{shortened(name)!r} is no part's name", remedy)
        known = {part.casefold(): part for part in self.memory.parts}
        return known.get(name.casefold(), name)

    def names(self, tree: Tree[Token]) -> tuple[str, ...]:
        """Return a list of parts: told apart by "and" or commas."""
        return tuple(self.part(Tree("name", list(tokens))) for tokens in self._split(tree))

    def _split(self, tree: Tree[Token]) -> Iterator[list[Token]]:
        for item in tree.find_data("name"):
            tokens = [token for token in item.children if isinstance(token, Token)]
            piece: list[Token] = []
            for token in tokens:
                if piece and "," in self.text[_end(piece[-1]) : _start(token)]:
                    yield piece
                    piece = []
                piece.append(token)
            yield piece

    def number(self, token: Token, text: str | None = None) -> float:
        """Return the number in a token; a fault where it cannot be one."""
        try:
            value = read_number(str(token) if text is None else text)
        except (ValueError, OverflowError):
            what = f"{shortened(token)} is not a number that can be used"
            raise self.fault(token, what, "write it as in 1/125 or 0.35") from None
        if not abs(value) <= LARGEST:
            raise self.fault(token, f"{shortened(token)} is too large", "check the number")
        return value

    def unit(self, token: Token) -> str:
        """Return the symbol of the unit in a token."""
        unit = find_unit(str(token))
        if unit is None:
            raise self.fault(token, f"{shortened(token)!r} is not a unit known here", "use one such as mm or thou")
        return unit.symbol

    def reference(self, token: Token, kind: str) -> UUID:
        """Return what a number stands for: a step ("step") or an entry ("entry")."""
        if token.type == "UUID":
            return UUID(str(token))
        number = re.sub(r"^\D*", "", str(token)).lower()
        steps, entries = self.memory.steps, self.memory.entries
        found = steps.get(number) if kind == "step" else entries.get(int(number) if number.isdigit() else -1)
        if found is None:
            raise self.fault(token, f"there is no {kind} {shortened(number)}", "give the number of one that is there")
        return found


def shortened(text: str) -> str:
    """Return the text, cut where it would fill a message."""
    return text if len(text) <= _LONGEST_SHOWN else f"{text[:_LONGEST_SHOWN]}…"


def span_of(node: Node) -> tuple[int, int]:
    """Return the first and one-past-last character of a clause."""
    if isinstance(node, Token):
        return _start(node), _end(node)
    tokens = list(node.scan_values(lambda value: isinstance(value, Token)))
    return (_start(tokens[0]), _end(tokens[-1])) if tokens else (0, 0)


def tokens_of(tree: Tree[Token], *types: str) -> list[Token]:
    """Return the tokens of these types that stand directly in a clause."""
    return [child for child in tree.children if isinstance(child, Token) and child.type in types]


def trees_of(tree: Tree[Token], *names: str) -> list[Tree[Token]]:
    """Return the clauses of these names that stand directly in a line."""
    return [child for child in tree.children if isinstance(child, Tree) and child.data in names]


def text_of(tree: Tree[Token]) -> str:
    """Return the free text at the end of a clause; nothing where there is none."""
    for token in tokens_of(tree, "QUOTED", "TEXT", "STRING"):
        if token.type == "TEXT" and any(mark == "(" for mark in tokens_of(tree, "TAIL")):
            return str(token).strip().removesuffix(")").rstrip()
        return str(token).strip() if token.type == "TEXT" else unquote(token)
    return ""


def tail_of(tree: Tree[Token]) -> str:
    """Return what stands after the colon, semicolon or dashes; nothing where there is none."""
    return next((text_of(tail) for tail in trees_of(tree, "tail")), "")


def _said(token: Token) -> str:
    return unquote(token) if token.type == "STRING" else str(token)


def is_quoted(tree: Tree[Token]) -> bool:
    """Whether a name stands in quotes, and so is to be taken exactly."""
    return len(tree.children) == 1 and getattr(tree.children[0], "type", "") == "STRING"


def _start(token: Token) -> int:
    return token.start_pos or 0


def _end(token: Token) -> int:
    return token.end_pos or 0
