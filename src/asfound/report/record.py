"""The record: section by section, each with its table, its notes, and what to say where there is nothing."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from asfound.job import Job
from asfound.job.cautions import DEFERENCE
from asfound.report.camera import camera_in_full
from asfound.report.record_parts import adjusters, conditions, marks, parts_from_outside, spacers, steps
from asfound.report.record_proofs import proof_notes, proofs
from asfound.report.record_readings import (
    InstrumentCheck,
    focus_readings,
    instruments,
    other_readings,
    plane_readings,
    restored,
    restored_notes,
    spring_readings,
    wound,
)
from asfound.report.record_words import cautions, faults, handover_text, still_open, why_open
from asfound.report.still_open import open_items


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A section of the record.

    Attributes
    ----------
    name : str
        By which the typesetting knows its column widths.
    rows : tuple of tuple of str
        As many cells in each as there are heads.
    missing : str
        Said where there are no rows.
    """

    name: str
    heading: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    missing: str
    notes: tuple[str, ...] = ()


Rows = tuple[tuple[str, ...], ...]
READING_HEADS = "what|reading|stage|how and with what|state of the camera"

_SECTIONS: tuple[tuple[str, str, str, Callable[[Job], Rows], str], ...] = (
    ("faults", "Faults", "fault|stage|what was said|day|entry", faults, "No fault was written down."),
    (
        "restored",
        "Readings to come back to",
        "what|as found|as left|tolerance and its source|verdict",
        restored,
        "No reading was to be restored.",
    ),
    (
        "proofs",
        "Proofs",
        "what|as found|as left|held to, by whom; with|verdict",
        proofs,
        "Nothing is to be proved.",
    ),
    ("focus", "Focus", READING_HEADS, focus_readings, "No reading of the focus was taken."),
    ("planes", "Front, planes and fits", READING_HEADS, plane_readings, "No plane or fit was measured."),
    ("springs", "Springs", READING_HEADS, spring_readings, "No spring was measured."),
    ("wound", "Springs wound to these dimensions", "spring|dimensions|rate", wound, "No spring was made."),
    ("readings", "Other readings", READING_HEADS, other_readings, "No other reading was taken."),
    (
        "spacers",
        "Spacers and shims",
        "spacer|thickness|where it belongs|remark",
        spacers,
        "No spacer or shim was written down.",
    ),
    (
        "outside",
        "Parts ordered, sent away and arrived",
        "part|from or at|sent for|arrived",
        parts_from_outside,
        "No part was ordered or sent away.",
    ),
    (
        "adjusters",
        "Adjusters moved",
        "adjuster|moved|before|after|day",
        adjusters,
        "No adjuster was moved.",
    ),
    (
        "steps",
        "Taken apart, in this order",
        "step|part|fasteners, turns and remarks|now",
        steps,
        "Nothing was taken apart.",
    ),
    ("marks", "Marks to line up", "part|mark", marks, "No mark was written down."),
    (
        "conditions",
        "Cleaning, drying and lubrication",
        "part|condition|with|remark|day",
        conditions,
        "No cleaning or lubrication was written down.",
    ),
    (
        "instruments",
        "Instruments",
        "instrument|what it is|standard uncertainty|last checked|against what",
        instruments,
        "No instrument was written down, so nothing is known of when they were checked.",
    ),
    (
        "cautions",
        "Cautions that applied",
        "hazard|what to mind",
        cautions,
        "What was written down calls for no caution.",
    ),
    ("open", "Still open", "what", still_open, "Nothing is open."),
    ("camera", "The camera, in full", "of the camera|as written down", camera_in_full, ""),
)


def record(job: Job, checks: Mapping[str, InstrumentCheck] | None = None) -> tuple[Section, ...]:
    """Return the sections of the record, in the order they are printed.

    Parameters
    ----------
    checks : mapping of str to InstrumentCheck, optional
        The latest check of each instrument by the key of its name.
    """
    return tuple(
        Section(
            name=name,
            heading=heading,
            heads=tuple(heads.split("|")),
            rows=instruments(job, checks) if name == "instruments" else rows(job),
            missing=missing,
            notes=_notes(name, job),
        )
        for name, heading, heads, rows, missing in _SECTIONS
    )


def _notes(name: str, job: Job) -> tuple[str, ...]:
    if name == "open":
        return (_handed_over(job),)
    if name == "cautions":
        return (DEFERENCE,)
    if name == "proofs":
        return proof_notes(job)
    return restored_notes(job) if name == "restored" else ()


def _handed_over(job: Job) -> str:
    if job.handed_over is None:
        return "The camera is not handed over yet."
    why = why_open(job)
    reason = f"Why it goes out like this: {why}" if why else "No reason for handing over with something open was given."
    return " ".join(word for word in ("Handed over.", handover_text(job), reason if open_items(job) else "") if word)
