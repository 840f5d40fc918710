"""The forms of the rooms' pages: quantities as they were typed, each problem beside its field, no text lost."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from asfound.problems import BadInputError, Problem, bad_input
from asfound.quantity import parse_quantity

# Beyond these a number is a slip of the keys, whatever its unit; arithmetic stays finite within them.
_LEAST, _MOST = 1e-6, 1e9


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One field of a form, as its page asks for it.

    Attributes
    ----------
    name : str
        In the address; a problem whose `where` is this name ("--this-name" as well) is shown beside the field.
    unit : str
        Of a number typed without one; "1" for a plain number, "" for words.
    default : str
        Stands in the field before anything was typed.
    choices : tuple of str
        Where one of a few is wanted.
    lines : bool
        For several lines of text.
    optional : bool
        May be left empty.
    signed : bool
        May be zero or below.
    most : float
        Largest number taken.
    group : str
        Neighbours of one group stand together under this heading, folded where nothing in it must be typed.
    hidden : bool
        Not in the form: set by a link of the page, and kept with what is written.
    wide : bool
        As wide as the form, for a line of several numbers.
    """

    name: str
    label: str
    unit: str = ""
    default: str = ""
    hint: str = ""
    choices: tuple[str, ...] = ()
    lines: bool = False
    optional: bool = False
    signed: bool = False
    most: float = _MOST
    group: str = ""
    hidden: bool = False
    wide: bool = False


@dataclass(frozen=True, slots=True)
class Values:
    """What was read from a form: numbers in the units of their fields, and words."""

    numbers: Mapping[str, float]
    words: Mapping[str, str]

    def __getitem__(self, name: str) -> float:
        return self.numbers[name]

    def maybe(self, name: str) -> float | None:
        """Return a number, or None where the field was left empty."""
        return self.numbers.get(name)

    def known(self, *names: str) -> bool:
        """Tell whether numbers were given for all of these; none of them is left out where another is given.

        Raises
        ------
        BadInputError
            If some were given and some not.
        """
        missing = [name for name in names if name not in self.numbers]
        if missing and len(missing) < len(names):
            problems = (
                Problem(name, "it is wanted with its neighbours", "give it, or empty them all") for name in missing
            )
            raise BadInputError(*problems)
        return not missing

    def text(self, name: str) -> str:
        """Return the words of a field, "" where it was left empty."""
        return self.words.get(name, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownField:
    """A field with what was typed into it and what is wrong with that."""

    name: str
    label: str
    unit: str
    typed: str
    hint: str
    choices: tuple[str, ...]
    lines: bool
    wide: bool
    optional: bool
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class FieldGroup:
    """Fields that stand together; without a name they are never folded."""

    name: str
    fields: tuple[ShownField, ...]
    unfolded: bool


@dataclass(frozen=True, slots=True)
class RoomForm:
    """A form as shown; `problems` are those that belong to no one field."""

    groups: tuple[FieldGroup, ...]
    problems: tuple[Problem, ...] = ()


def typed_into(fields: Sequence[Field], query: Mapping[str, object]) -> dict[str, str]:
    """Return the text of each field; the defaults where nothing at all was sent."""
    fresh = not asked(fields, query)
    return {one.name: one.default if fresh else str(query.get(one.name, "")) for one in fields}


def asked(fields: Sequence[Field], query: Mapping[str, object]) -> bool:
    """Tell whether the form was sent."""
    return any(one.name in query for one in fields)


def read_fields(fields: Sequence[Field], typed: Mapping[str, str]) -> Values:
    """Return the values of a form.

    Raises
    ------
    BadInputError
        With the problems of all fields at once.
    """
    numbers: dict[str, float] = {}
    words: dict[str, str] = {}
    problems: list[Problem] = []
    for one in fields:
        text = typed.get(one.name, "").strip()
        try:
            if one.unit and text:
                numbers[one.name] = _number(one, text)
            else:
                words[one.name] = _words(one, text)
        except BadInputError as error:
            problems.extend(error.problems)
    if problems:
        raise BadInputError(*problems)
    return Values(numbers, words)


def _number(field: Field, text: str) -> float:
    value = parse_quantity(text, unit=field.unit, where=field.name)
    if not field.signed and value <= 0:
        raise bad_input(field.name, f"{text!r} is not above zero", "measure it again")
    if abs(value) > field.most or (not field.signed and value < _LEAST):
        raise bad_input(field.name, f"{text!r} is out of all proportion", "check the number and its unit")
    return value


def _words(field: Field, text: str) -> str:
    if not text and not field.optional:
        raise bad_input(field.name, "nothing was typed here", f"give it as in {field.hint or field.default or '1'}")
    if text and field.choices and text not in field.choices:
        raise bad_input(field.name, f"{text!r} is none of the choices", f"choose {' or '.join(field.choices)}")
    return text


def show_form(fields: Sequence[Field], typed: Mapping[str, str], problems: Sequence[Problem] = ()) -> RoomForm:
    """Return a form to be shown: as typed, with each problem beside its field."""
    names = {one.name for one in fields if not one.hidden}
    seen = [one for one in fields if not one.hidden]
    return RoomForm(
        tuple(_group(name, tuple(these), typed, problems) for name, these in groupby(seen, lambda one: one.group)),
        tuple(problem for problem in problems if field_of(problem) not in names),
    )


def _group(name: str, fields: Sequence[Field], typed: Mapping[str, str], problems: Sequence[Problem]) -> FieldGroup:
    shown = tuple(_shown(one, typed.get(one.name, ""), problems) for one in fields)
    changed = any(typed.get(one.name, "") != one.default for one in fields)
    wanted = any(not one.optional and not typed.get(one.name, "") for one in fields)
    return FieldGroup(name, shown, changed or wanted or any(one.problems for one in shown))


def field_of(problem: Problem) -> str:
    """Return the name of the field that a problem is about: "lever", "--lever" and "lever, line 2" are one."""
    return problem.where.partition(",")[0].removeprefix("--").replace("-", "_")


def _shown(field: Field, typed: str, problems: Sequence[Problem]) -> ShownField:
    return ShownField(
        name=field.name,
        label=field.label,
        unit={"1": "", "deg": "°"}.get(field.unit, field.unit),
        typed=typed,
        hint=field.hint,
        choices=field.choices,
        lines=field.lines,
        wide=field.wide or field.lines,
        optional=field.optional,
        problems=tuple(problem for problem in problems if field_of(problem) == field.name),
    )
