"""What the handover report says: frozen, made from the job alone, before anything is typeset."""

from collections.abc import Mapping
from dataclasses import dataclass

from asfound.job import Job
from asfound.quantity.conformity import MOST_RISK
from asfound.report.camera import camera_name, particulars
from asfound.report.dial_record import Dial, dial_record
from asfound.report.owner import OwnerPage, owner_page
from asfound.report.photographs import PhotoLine, photo_lines
from asfound.report.record import Section, record
from asfound.report.record_readings import InstrumentCheck


@dataclass(frozen=True, slots=True, kw_only=True)
class HandoverContent:
    """Everything that the report prints.

    Attributes
    ----------
    particulars : tuple of (label, value)
        Of the camera; what nobody wrote down says so.
    """

    ticket: str
    as_of: str
    camera: str
    particulars: tuple[tuple[str, str], ...]
    owner: OwnerPage
    dial: Dial
    sections: tuple[Section, ...]
    photos: tuple[PhotoLine, ...]
    about: tuple[str, ...]


def handover_content(job: Job, *, as_of: str, checks: Mapping[str, InstrumentCheck] | None = None) -> HandoverContent:
    """Return the content of the handover report of a job.

    Parameters
    ----------
    as_of : str
        The day, as it is to be printed.
    checks : mapping of str to InstrumentCheck, optional
        The latest check of each instrument by the key of its name.
    """
    return HandoverContent(
        ticket=job.ticket,
        as_of=as_of,
        camera=camera_name(job.camera),
        particulars=particulars(job.camera),
        owner=owner_page(job),
        dial=dial_record(job),
        sections=record(job, checks),
        photos=photo_lines(job),
        about=_about(job),
    )


def _about(job: Job) -> tuple[str, ...]:
    struck = len(job.struck)
    return (
        f"This record was made from {len(job.entries)} entries of the bench book. "
        + (f"{struck} {'was' if struck == 1 else 'were'} struck through and count for nothing; the book keeps them."
           if struck else "None was struck through."),
        "± is one standard uncertainty (JCGM 100:2008, 2.3.1), here as on the bench's pages. A verdict is \"within\" "
        "or \"outside\" only where the value lies so by twice that or more (Student's factor for as much, where it is "
        "known from few tries); else it is \"cannot tell\".",
        "That is a guard band of once the expanded uncertainty, k = 2, at either limit (guard multiplier 1; JCGM "
        f"106:2012, 8.3, from memory). A value accepted at a limit is in truth outside with a chance of "
        f"{MOST_RISK:.1%}, about 1 in 44; further inside, with less. Verdicts on speeds hold the whole 95 % interval "
        "of the mean inside.",
        "A value is stale when a part or adjuster that it depends on was touched after it. "
        "A stale proof is not a pass.",
        "Days are those of the bench's own clock.",
    )  # fmt: skip
