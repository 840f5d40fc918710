"""The handover report as PDF: one page for the owner, then the record."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from asfound.job import Job, readings_to_restore
from asfound.job.proving import proof_list
from asfound.plots import dial_picture, dial_series, print_svg, restored_picture
from asfound.plots.proofs import proofs_picture
from asfound.plots.restored import restored_rows
from asfound.report.content import HandoverContent, handover_content
from asfound.report.photographs import small_copies
from asfound.report.record_readings import InstrumentCheck
from asfound.report.saying import shorten
from asfound.report.typeset import typeset


def handover_pdf(
    job: Job,
    *,
    photos: Mapping[str, Path],
    as_of: str,
    fonts: Sequence[Path] | None = None,
    checks: Mapping[str, InstrumentCheck] | None = None,
) -> bytes:
    """Return the handover report of a job.

    Made offline; the same job, photographs and day give the same bytes.

    Parameters
    ----------
    photos : mapping of str to Path
        File of each photograph by the SHA-256 of its content. One that is missing or cannot be read is said
        to be so in its place.
    as_of : str
        The day, as it is to be printed.
    fonts : sequence of Path
        Font files for letters that the program's own fonts lack. None: look for some on this computer.
        A character for which there is still no letter is printed as its number, ‹U+5C71›, and the report says so.
    checks : mapping of str to InstrumentCheck
        The latest check of each instrument by the key of its name.
    """
    content = handover_content(job, as_of=as_of, checks=checks)
    restore = readings_to_restore(job)
    drawable = bool(restored_rows(restore))
    pictures = {
        "dial.svg": print_svg(dial_picture(dial_series(job), width="print")),
        "proofs.svg": print_svg(proofs_picture(proof_list(job), width="print")),
    }
    if drawable:
        pictures["restored.svg"] = print_svg(restored_picture(restore, width="print"))

    def fill(folder: Path) -> dict[str, Any]:
        files = small_copies(content.photos, photos, folder)
        lines = [asdict(line) | {"file": files.get(line.sha256)} for line in content.photos]
        return {"photos": lines}

    return typeset("handover.typ", _data(content, drawable), pictures=pictures, fill=fill, fonts=fonts)


def _data(content: HandoverContent, drawable: bool) -> dict[str, Any]:
    more = {
        "title": f"{content.camera}, job {content.ticket}",
        "short_camera": shorten(content.camera, 80),
        "running_camera": shorten(content.camera, 60),
        "short_ticket": shorten(content.ticket, 40),
        "particulars": [(label, value, shorten(value, 76)) for label, value in content.particulars],
        "restored_picture": drawable,
    }
    return asdict(content) | more
