"""The short and the long of the bench's words: what is typed, and what is written down."""

import re

CORNERS = ("top left", "top right", "bottom right", "bottom left")
PLACES = {"tl": "top left", "tr": "top right", "br": "bottom right", "bl": "bottom left"}
WAYS = ("out", "back")

# Quantity as written down, its dimension, and the unit taken where nobody says one ("": ask).
QUANTITIES = {
    "height": ("length", "mm"),
    "corner height": ("length", "mm"),
    "depth": ("length", "mm"),
    "corner depth": ("length", "mm"),
    "gap": ("length", "mm"),
    "film gap": ("length", "mm"),
    "clearance": ("length", "mm"),
    "thickness": ("length", "mm"),
    "width": ("length", "mm"),
    "length": ("length", "mm"),
    "diameter": ("length", "mm"),
    "bore": ("length", "mm"),
    "travel": ("length", "mm"),
    "lift": ("length", "mm"),
    "extension": ("length", "mm"),
    "radius": ("length", "mm"),
    "play": ("length", "mm"),
    "end float": ("length", "mm"),
    "run-out": ("length", "mm"),
    "force": ("force", ""),
    "pull": ("force", ""),
    "spring force": ("force", ""),
    "weight": ("force", ""),
    "torque": ("torque", ""),
    "angle": ("angle", "deg"),
    "parting position": ("angle", "deg"),
    "open time": ("time", "s"),
}
QUANTITY_SHORT = {
    "ht": "height",
    "thick": "thickness",
    "thk": "thickness",
    "dia": "diameter",
    "runout": "run-out",
    "run out": "run-out",
    "parting": "parting position",
}

BEGINNINGS = (
    *("off", "back", "slackened", "loosened", "removed", "spacer", "shim", "reading", "state", "condition"),
    *("soaking", "curing", "lubricated", "fault", "suspect", "mark", "expect", "adjust", "ordered", "arrived"),
    *("freed", "way back", "put off", "later"),
    *("instrument", "tick", "untick", "proof", "strike", "restore", "undo", "handed", "note"),
    *(quantity.split()[0] for quantity in QUANTITIES),
)
NOUNS = ("grub screw", "screw", "nut", "ring", "pin", "clip", "rivet", "washer")
HEADS = ("cheese", "countersunk", "pan", "raised", "round", "flat", "fillister", "domed")
HEAD_SHORT = {"csk": "countersunk", "dome": "domed"}
DRIVES = ("slot", "cross", "spanner holes", "pin holes", "two-hole", "hex")
DRIVE_SHORT = {"slotted": "slot", "two hole": "two-hole"}
COUNTS = {
    word: number
    for number, word in enumerate(
        ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"], start=1
    )
}
DIRECTION_SHORT = {
    "cw": "clockwise",
    "anti-clockwise": "anticlockwise",
    "ccw": "anticlockwise",
    "acw": "anticlockwise",
    "inwards": "in",
    "inward": "in",
    "outwards": "out",
    "outward": "out",
}
CONDITION_SHORT = {
    "soak": "soaking",
    "soaked": "soaking",
    "dry fitted": "dry-fitted",
    "dry fit": "dry-fitted",
    "dry-fit": "dry-fitted",
    "oiled": "lubricated",
    "greased": "lubricated",
}
FAULT_STAGE_SHORT = {
    "seen": "observed",
    "suspect": "suspected",
    "decided": "decision",
    "worked": "work",
    "proved": "proof",
}
VERDICT_SHORT = {"n/a": "not applicable", "passed": "within", "failed": "outside"}
FOCUS_SHORT = {"inf": "infinity", "∞": "infinity"}
# A part's name does not begin so; a sentence does.
_SENTENCE = "of to from is was are were in on at and or but that this it by for not no as"
NO_PART = frozenset(_SENTENCE.split())


def squeeze(text: str) -> str:
    """Return the text in lower case with single spaces."""
    return re.sub(r"\s+", " ", text.strip()).lower()


def long_place(text: str) -> str:
    """Return a check's name with its place in full: "film gap tl" is "film gap top left"."""
    *words, last = text.split() or [""]
    return " ".join([*words, PLACES.get(last.lower(), last)])


def long_form(text: str, short: dict[str, str]) -> str:
    """Return the word that is written down for what was typed."""
    word = squeeze(text)
    return short.get(word, word)
