"""Service notes as PDF: what a manual would have told, as found on so many cameras."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from asfound.job import cautions_for
from asfound.job.cautions import DEFERENCE
from asfound.job.notes import PartNote, ServiceNotes
from asfound.job.observed_readings import ReadingNote
from asfound.quantity import show_number
from asfound.report.saying import shorten
from asfound.report.typeset import typeset


def service_notes_pdf(notes: ServiceNotes, *, fonts: Sequence[Path] | None = None) -> bytes:
    """Return the service notes of a model as PDF; the same notes give the same bytes.

    Parameters
    ----------
    fonts : sequence of Path
        Font files for letters that the program's own fonts lack. None: look for some on this computer.
    """
    return typeset("notes.typ", notes_content(notes), fonts=fonts)


def notes_content(notes: ServiceNotes) -> dict[str, Any]:
    """Return what the notes print, as plain values."""
    return {
        "model": shorten(notes.model, 80),
        "cameras": notes.cameras,
        "tools": list(notes.tools),
        "parts": [_part(n, part, notes) for n, part in enumerate(notes.parts, start=1)],
        "readings": [_reading(note) for note in notes.readings],
        "faults": [
            {"fault": f.fault, "cameras": f.cameras, "gone": f.gone, "causes": [f"{c} ({k})" for c, k in f.causes]}
            for f in notes.faults
        ],
        "circles": [", ".join(circle) for circle in notes.order.contradicted],
        "dead_ends": notes.dead_ends_left_out,
        "deference": DEFERENCE,
    }


def _part(number: int, part: PartNote, notes: ServiceNotes) -> dict[str, Any]:
    said = (part.part, *part.notes, *(name for name, _ in part.held_by))
    timed = part.minutes is not None and part.minutes >= 0.05
    return {
        "number": number,
        "part": part.part,
        "action": "" if part.action == "off" else part.action,
        "cameras": f"{part.cameras} of {notes.cameras}",
        "after": ", ".join(part.after),
        "assumed": part.assumed and bool(part.after),
        "fasteners": [str(note) for note in part.fasteners],
        "with": ", ".join(name for name, _ in (*part.tools[:2], *part.poses[:1])),
        "held_by": ", ".join(name for name, _ in part.held_by[:2]),
        "minutes": f"{part.minutes:.0f} min" if timed and part.minutes is not None else "",
        "notes": list(part.notes),
        "cautions": [f"{caution.hazard}: {caution.advice}" for caution in cautions_for(*said)],
    }


def _reading(note: ReadingNote) -> dict[str, Any]:
    unit = "" if note.unit == "1" else f" {note.unit}"
    few = note.spread is None
    low, high = (show_number(value, note.spread) for value in (note.lowest, note.highest))
    return {
        "what": f"{note.quantity} {note.place}".strip(),
        "stage": note.stage,
        "mean": f"{note.mean:.6g}{unit}" if few else f"{show_number(note.mean, note.spread)}{unit}",
        "spread": "" if not note.spread else f"{show_number(note.spread, note.spread)}{unit}",
        "range": "" if few else f"{low} to {high}{unit}",
        "cameras": note.cameras,
        "state": note.state + (f" ({', '.join(note.differs)} differed)" if note.differs else ""),
    }
