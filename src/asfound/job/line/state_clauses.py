"""Clauses that say what the camera is in: dial, cocked, aperture, focus, door, struts, seated, spacer, surface."""

import re
from collections.abc import Callable, Iterable
from typing import Any

from lark import Token, Tree

from asfound.job.line.context import Context, Node, is_quoted, tokens_of, trees_of
from asfound.job.line.quoting import unquote
from asfound.job.line.words import FOCUS_SHORT, squeeze
from asfound.quantity import CameraState

_WORDS: dict[str, tuple[str, Callable[[str], str]]] = {
    "SHUTTER": ("shutter", lambda said: "cocked" if said.split()[-1] == "cocked" else "released"),
    "DOOR": ("door", lambda said: "open" if said.endswith("open") else "shut"),
    "STRUTS": ("struts", lambda said: said.split()[-1]),
    "SEATED": ("seated", lambda said: "pull" if "pull" in said else "push"),
    "SPACER_STATE": ("spacer", lambda said: said.split()[-1]),
    "SURFACE": ("surface", lambda said: said),
}


def read_state(children: Iterable[Node], context: Context) -> CameraState:
    """Return the state that the clauses of a line say."""
    said: dict[str, Any] = {}
    for child in children:
        if isinstance(child, Tree):
            said |= _read_clause(child, context)
        elif child.type == "APERTURE":
            said["aperture"] = context.number(child, re.sub(r"^[a-zA-Z\s]*/?\s*", "", child))
        elif child.type in _WORDS:
            field, read = _WORDS[child.type]
            said[field] = read(squeeze(child))
    return CameraState(**said)


def _read_clause(tree: Tree[Token], context: Context) -> dict[str, Any]:
    if tree.data == "dial":
        token = tree.children[-1]
        assert isinstance(token, Token)
        return {"dial": unquote(token) if token.type == "STRING" else re.sub(r"\s", "", token)}
    if tree.data == "focus":
        return {"focus": read_simple(tree, context)}
    return {}


def read_simple(tree: Tree[Token], context: Context) -> str:
    """Return what a clause names: a name, or a number with its unit as typed."""
    for name in trees_of(tree, "name"):
        said = context.name(name)
        short = tree.data == "focus" and not is_quoted(name)
        return FOCUS_SHORT.get(said.lower(), said) if short else said
    value = trees_of(tree, "value")[0]
    return " ".join(
        squeeze(token) if token.type == "NUMBER" else str(token) for token in tokens_of(value, "NUMBER", "UNIT")
    )
