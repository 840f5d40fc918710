"""Lines about taking apart: a part off, slackened or back, and a spacer found."""

import re
from uuid import UUID

from lark import Token, Tree

from asfound.job.bodies import OrderTaken, SpacerFound, StepFreed, StepTaken
from asfound.job.line.context import Context, is_quoted, tail_of, tokens_of, trees_of
from asfound.job.line.quoting import unquote
from asfound.job.line.reading_clauses import gather
from asfound.job.line.words import (
    COUNTS,
    DRIVE_SHORT,
    DRIVES,
    HEAD_SHORT,
    HEADS,
    NOUNS,
    PLACES,
    long_form,
    squeeze,
)
from asfound.quantity import convert, find_unit
from asfound.teardown.fastener import FastenerGroup

_ACTIONS = {"OFF": "off", "SLACK": "slackened", "BACK": "back"}
_TURN_WORDS = {"half": 0.5, "quarter": 0.25, "one": 1.0, "two": 2.0, "three": 3.0}
_ATTRIBUTES = ("THREAD", "LENGTH", "HEAD", "DRIVE", "DAMAGED", "LEFT_HAND", "LACQUERED", "PAINTED", "DEFORMED")
_OF_STRINGS = {"THREAD_KW": "thread", "HEAD_KW": "head", "DRIVE_KW": "drive"}


def read_step(tree: Tree[Token], context: Context) -> StepTaken:
    """Return the step that a line records."""
    action = tokens_of(tree, *_ACTIONS)[0]
    freed = [_steps(clause, context) for clause in trees_of(tree, "freed")]
    turns = [_read_turns(clause, context) for clause in trees_of(tree, "turns")]
    return StepTaken(
        action=_ACTIONS[action.type],
        part=_part(tree, context),
        turns=turns[-1] if turns else None,
        fasteners=tuple(_read_group(group, context) for group in trees_of(tree, "group")),
        lies=_lies(tree, context),
        held_by=_named(tree, "held_by", context),
        freed_by=freed[-1] if freed else None,
        tool=_named(tree, "tool", context),
        pose=_named(tree, "pose", context),
        note=tail_of(tree),
    )


def read_spacer(tree: Tree[Token], context: Context) -> SpacerFound:
    """Return the spacer that a line records; "after step 4" says that it was found late."""
    names = trees_of(tree, "name")
    after = [context.reference(clause.children[-1], "step") for clause in trees_of(tree, "after")]  # type: ignore[arg-type]
    default = squeeze(tokens_of(tree, "SPACER")[0]).split()[0]
    late = bool(tokens_of(tree, "LATE")) or (bool(after) and not tokens_of(tree, "IN_TIME"))
    between = [context.names(names) for clause in trees_of(tree, "between") for names in trees_of(clause, "names")]
    return SpacerFound(
        name=context.name(names[0]) if names else default,
        thickness=gather(tree, context, "length").one_reading("mm"),
        between=between[-1] if between else (),
        belongs_after=after[-1] if after else None,
        late=late,
        lies=_lies(tree, context),
        note=tail_of(tree),
    )


def read_freed(tree: Tree[Token], context: Context) -> tuple[StepFreed, ...]:
    """Return what freed, or did not free, steps that were recorded earlier: "freed 7 by 3 4", "freed 7 not by 5"."""
    freed, *by = (_steps(clause, context) for clause in trees_of(tree, "steps"))
    said = (by[0] if by else ()) if tokens_of(tree, "BY") else None
    refused = [_steps(steps, context) for clause in trees_of(tree, "not_by") for steps in trees_of(clause, "steps")]
    return tuple(StepFreed(step=step, freed_by=said, not_by=refused[0] if refused else ()) for step in freed)


def read_order(tree: Tree[Token], context: Context) -> OrderTaken:
    """Return the order of the way back that a line says: "way back 7 6 5"."""
    return OrderTaken(steps=tuple(step for clause in trees_of(tree, "steps") for step in _steps(clause, context)))


def _steps(clause: Tree[Token], context: Context) -> tuple[UUID, ...]:
    return tuple(context.reference(token, "step") for token in tokens_of(clause, "REF", "UUID"))


def _part(tree: Tree[Token], context: Context) -> str:
    """Return the part; "3 screws of the cover" alone are a part of their own: the cover's screws."""
    names = [context.part(name) for name in trees_of(tree, "name")]
    if tokens_of(tree, "ON") or not names:
        screws = _read_group(trees_of(tree, "group")[0], context)
        plural = f"{screws.what}s" if screws.count > 1 else screws.what
        return " ".join([*names, plural])
    return names[0]


def _named(tree: Tree[Token], clause: str, context: Context) -> str:
    for found in reversed(trees_of(tree, clause)):
        for name in trees_of(found, "name"):
            return context.name(name)
        for said in tokens_of(found, "POSE", "BY_HAND"):
            return squeeze(said).removeprefix("by ")
    return ""


def _lies(tree: Tree[Token], context: Context) -> str:
    for clause in reversed(trees_of(tree, "lies")):
        for cell in tokens_of(clause, "CELL"):
            return re.sub(r"\s", "", cell).upper()
        name = context.name(trees_of(clause, "name")[0])
        if tokens_of(clause, "IN") and re.fullmatch(r"[A-Za-z]{1,2}\d{1,3}", name):
            return name.upper()
        return f"in {name}" if tokens_of(clause, "IN") else name
    return ""


def _read_turns(clause: Tree[Token], context: Context) -> float:
    token = tokens_of(clause, "TURNS")[0]
    said = squeeze(token).removeprefix("by ")
    word = said.split()[0]
    if word in _TURN_WORDS:
        return _TURN_WORDS[word]
    number = context.number(token, re.sub(r"\s*(?:turns?|t|deg(?:rees)?|°)$", "", said))
    return number if re.search(r"t$|turns?$", said) else number / 360


def _read_group(group: Tree[Token], context: Context) -> FastenerGroup:
    said: dict[str, object] = _read_head_count(group, context)
    for token in tokens_of(group, *_ATTRIBUTES):
        said |= _read_attribute(token, context, said)
    for clause in trees_of(group, "attribute_of"):
        keyword, string = clause.children
        said[_OF_STRINGS[keyword.type]] = unquote(string)  # type: ignore[union-attr,arg-type]
    for clause in trees_of(group, "hole_place"):
        said["place"] = _hole(trees_of(clause, "name")[0], context)
    for clause in trees_of(group, "reached"):
        poses = [squeeze(token) for token in tokens_of(clause, "POSE")]
        said["reachable"] = poses[0] if poses else context.name(trees_of(clause, "name")[0])
    try:
        return FastenerGroup(**said)  # type: ignore[arg-type]
    except ValueError as error:
        raise context.fault(group, str(error), "correct the fasteners") from None


def _hole(name: Tree[Token], context: Context) -> str:
    """Return which hole: "tl" is "top left"; in quotes it stands as typed."""
    said = context.name(name)
    return said if is_quoted(name) else PLACES.get(said.lower(), said)


def _read_head_count(group: Tree[Token], context: Context) -> dict[str, object]:
    token = tokens_of(group, "FASTENERS", "FASTENERS_OF")[0]
    said = squeeze(token)
    count = re.match(r"\d+|[a-z]+", said)
    assert count is not None
    number = COUNTS[count[0]] if count[0] in COUNTS else int(count[0])
    if token.type == "FASTENERS_OF":
        return {"count": number, "what": unquote(tokens_of(group, "STRING")[0])}
    noun = re.sub(r"^scr$", "screw", next(n for n in (*NOUNS, "scr") if re.search(rf"\b{n}s?$", said)))
    return {"count": number, "what": noun, **_adjectives(said[count.end() :])}


def _adjectives(said: str) -> dict[str, object]:
    """Return the thread, head and drive that stand between the count and the noun."""
    found: dict[str, object] = {}
    for word in re.findall(r"m\s?\d+(?:[.,]\d+)?|\d+\s*ba\b|[a-z]+", said):
        if re.match(r"m\s?\d|\d", word):
            found["thread"] = _thread(word)
        elif HEAD_SHORT.get(word, word) in HEADS:
            found["head"] = HEAD_SHORT.get(word, word)
        elif DRIVE_SHORT.get(word, word) in DRIVES:
            found["drive"] = DRIVE_SHORT.get(word, word)
    return found


def _read_attribute(token: Token, context: Context, group: dict[str, object]) -> dict[str, object]:
    said = squeeze(token)
    match token.type:
        case "THREAD":
            return {"thread": _thread(said)}
        case "LENGTH":
            return {"length_mm": _length_mm(token, context)}
        case "HEAD":
            return {"head": long_form(re.sub(r"[-\s]*head(?:ed)?$", "", said), HEAD_SHORT)}
        case "DRIVE":
            return {"drive": long_form(said, DRIVE_SHORT)}
        case "DAMAGED":
            number = re.match(r"\d+", said)
            return {"damaged": int(number[0]) if number else group["count"]}
        case "LEFT_HAND":
            return {"left_hand": True}
        case "PAINTED":
            return {"painted": not said.startswith("not ")}
        case "DEFORMED":
            return {"deformed_head": "not " not in said}
        case _:
            return {"lacquered": True}


def _thread(said: str) -> str:
    """Return a thread as the trade writes it: "M1.4", "M1.4 x 0.3", "10 BA"."""
    if british := re.fullmatch(r"(\d+)\s*ba", said):
        return f"{british[1]} BA"
    numbers = re.sub(r"\s*[x×]\s*", " x ", said.replace(",", "."))
    return re.sub(r"^m\s?", "M", numbers)


def _length_mm(token: Token, context: Context) -> float:
    number = re.search(r"(?:\d+(?:[.,]\d+)?|[.,]\d+)(?:e[+-]?\d+)?", squeeze(token))
    unit = re.search(r"mm|thou|in\b", squeeze(token))
    assert number is not None
    symbol = find_unit(unit[0]) if unit else None
    value = context.number(token, number[0])
    return convert(value, symbol.symbol, "mm") if symbol else value
