"""Cautions that belong to what causes them: shown at that step, with deference to local rules.

Facts of the trade; common practice, no source.
"""

import re
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Caution:
    """A hazard: its name, the words by which a step shows that it is there, and what to mind."""

    hazard: str
    words: str
    advice: str


DEFERENCE = "Local rules and licensed practice come first."

CAUTIONS = (
    Caution(
        "solvent",
        r"solvent|benzine|naphtha|lighter fluid|white spirit|acetone|alcohol|isopropanol|petrol|ether|soak\w*",
        "Solvent vapour burns and harms: open the window, no flame or spark, small covered vessel, gloves; "
        "rags dry outdoors.",
    ),
    Caution(
        "spring under load",
        r"springs?|booster",
        "A loaded spring leaves at eye height: eye protection on, let it down under control, cover it with a cloth "
        "or work inside a clear bag.",
    ),
    Caution(
        "flash capacitor",
        r"capacitors?|flash unit|flashgun|electronic flash",
        "A flash capacitor can hold its charge for weeks: discharge it through a resistor and measure before touching; "
        "leave it alone if not used to it.",
    ),
    Caution(
        "mercury cell",
        r"mercury|button cells?|meter cells?|batter(?:y|ies)",
        "Old meter cells may hold mercury or have leaked: gloves, do not heat or open, take to the collection point.",
    ),
    Caution(
        "radioactive glass",
        r"thorium|thoriated|radioactive|yellowed glass",
        "Some old lens glass holds thorium: never grind or polish it, keep it off the body for long, wash hands.",
    ),
    Caution(
        "luminous paint",
        r"luminous|radium|tritium",
        "Old luminous paint may be radium: do not scrape, sand or blow on it; wet-wipe, bag the waste, ask the "
        "authority that takes it.",
    ),
    Caution(
        "mould or dust",
        r"mou?ld(?:y)?|fungus|old foam|light seals?|asbestos|dust",
        "Mould spores and old dust: do not blow it about; mask, damp wipe, bag the waste.",
    ),
    Caution(
        "heat and fumes",
        r"solder(?:ed|ing)?|heat(?:ed|ing)?|flame|torch|anneal(?:ed|ing)?",
        "Heat burns and old solder and lacquer fume: air moving, nothing inflammable near, wash hands after lead.",
    ),
)
_PATTERNS = tuple((caution, re.compile(rf"\b(?:{caution.words})\b", re.IGNORECASE)) for caution in CAUTIONS)


def cautions_for(*texts: str) -> tuple[Caution, ...]:
    """Return the cautions that the words of a step call for, each once."""
    joined = "\n".join(texts)
    return tuple(caution for caution, pattern in _PATTERNS if pattern.search(joined))
