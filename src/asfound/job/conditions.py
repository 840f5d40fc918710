"""What the condition of parts says: a dry helical is not done, oil near blades creeps, felt and bellows are looked at.

Common practice, no source.
"""

import re
from collections.abc import Iterable

from asfound.job.bodies import AnyBody, PartCondition, ReadingTaken
from asfound.job.job import Job, PartNow, key

_RUNS_GREASED = re.compile(r"\bhelical|\bhelicoid|\bfocus(?:ing)? thread|\bmulti-start", re.I)
_BLADES = re.compile(r"\bblades?\b|\bleaves\b|\bleaf\b|\biris\b|\bdiaphragm\b|\baperture (?:ring|lever)", re.I)
_LUBRICANT = re.compile(r"\boil\b|\bgrease\b", re.I)
_LOOKED_AT = {
    "bellows": ("pinholes", "folds shut", "thickness"),
    "felt": ("thickness",),
}


def not_done(part: PartNow) -> str:
    """Return why a part is not done though it may be back, or nothing."""
    condition = part.condition.split(" with ")[0]
    if _RUNS_GREASED.search(part.name) and condition in ("dry", "dry-fitted", "soaking", "dirty"):
        return f"not done: {part.name} is {condition}, a helical runs greased"
    if condition in ("soaking", "curing"):
        return f"not done: {part.name} is still {condition}"
    if condition == "dry-fitted":
        return f"not done: {part.name} was only fitted dry"
    return ""


def oil_near_blades(part: PartNow) -> str:
    """Return a warning where oil or grease was put on blades or what moves them, or nothing."""
    if part.condition.startswith("lubricated") and _BLADES.search(part.name):
        what = "oil" if not _LUBRICANT.search(part.condition) else part.condition.split(" with ")[-1]
        return f"{what} on {part.name}: oil creeps between blades and they stick; blades run dry"
    return ""


def not_looked_at(job: Job) -> tuple[str, ...]:
    """Return what was not read of felts and bellows that are among the parts: thickness, pinholes, folding shut."""
    said = {(word, key(kept.body.quantity)) for kept in job.readings for word in _subjects(kept.body)}
    said |= {(word, key(kept.body.what)) for kept in job.proofs for word in _LOOKED_AT if word in key(kept.body.what)}
    missing = []
    for part in job.parts.values():
        for word, wanted in _LOOKED_AT.items():
            if re.search(rf"\b{word}\b", part.name, re.I) and part.condition:
                lacking = [w for w in wanted if not any(subject == word and w in q for subject, q in said)]
                missing += [f"{part.name}: {', '.join(lacking)} not looked at"] if lacking else []
    return tuple(missing)


def _subjects(reading: ReadingTaken) -> list[str]:
    said = [*reading.depends_on, reading.place, reading.quantity]
    return [word for word in _LOOKED_AT if word in " ".join(said).casefold()]


def warnings_for(part: PartNow) -> tuple[str, ...]:
    """Return what a part's condition warns of."""
    return tuple(text for text in (not_done(part), oil_near_blades(part)) if text)


def warnings_said(bodies: Iterable[AnyBody]) -> tuple[str, ...]:
    """Return what lines about to be written warn of: oil that goes to blades, a helical that is left dry."""
    said = (body for body in bodies if isinstance(body, PartCondition))
    parts = (PartNow(b.part, "here", condition=b.condition + (f" with {b.using}" if b.using else "")) for b in said)
    warned = (oil_near_blades(part) or (not_done(part) if part.condition.startswith("dry") else "") for part in parts)
    return tuple(text for text in warned if text)


def condition_warnings(job: Job) -> tuple[str, ...]:
    """Return everything that the conditions of a job's parts warn of: of parts that are back, and of looks owed."""
    back = [part for part in job.parts.values() if part.whereabouts == "in the camera"]
    return (*(text for part in back for text in warnings_for(part)), *not_looked_at(job))
