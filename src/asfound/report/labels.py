"""Labels for the job and for each part in the tray, each with a QR code to its place in the book."""

import io
from collections.abc import Sequence
from dataclasses import asdict, dataclass

import segno

from asfound.job import Job
from asfound.job.pinned import say_pins
from asfound.problems import bad_input
from asfound.report.camera import camera_name
from asfound.report.saying import shorten
from asfound.report.typeset import typeset
from asfound.teardown.step import Step

# A common size of label on a roll (common practice, no source).
WIDTH_MM = 62.0
HEIGHT_MM = 29.0


@dataclass(frozen=True, slots=True)
class Label:
    """One label; `address` is what its QR code says."""

    head: str
    title: str
    lines: tuple[str, ...]
    address: str


def job_label(job: Job, *, address: str) -> Label:
    """Return the label that goes with the camera."""
    lines = (
        f"Serial {shorten(job.camera.serial, 36) or 'not written down'}",
        shorten(job.complaint or "no complaint", 70),
    )
    return Label(f"Job {shorten(job.ticket, 24)}", shorten(camera_name(job.camera), 48), lines, address)


def tray_labels(job: Job, *, address: str) -> tuple[Label, ...]:
    """Return a label for each step whose part is off, in the order the parts came off."""
    return tuple(_tray_label(job, step, address) for step in job.steps if not step.back and step.action != "slackened")


def _tray_label(job: Job, step: Step, address: str) -> Label:
    fasteners = [str(group) for group in step.fasteners]
    lies = step.lies or "where it lies was not said"
    pins = [f"Pins, {line}" for line in say_pins(job, step.id)][:1]
    most = 2 - len(pins)
    lines = (shorten(lies, 44), *(shorten(line, 44) for line in (*fasteners[:most], *pins)))
    more = (f"and {len(fasteners) - most} more sorts",) if len(fasteners) > most else ()
    head = f"Job {shorten(job.ticket, 16)}, step {step.number}"
    return Label(head, shorten(step.part, 48), (*lines, *more), f"{address}#entry-{step.id}")


def labels_pdf(labels: Sequence[Label]) -> bytes:
    """Return labels as a PDF for a printer of labels: one to a page of the label's size.

    Raises
    ------
    BadInputError
        If there are none.
    """
    return _typeset(labels, sheet=False)


def labels_sheet_pdf(labels: Sequence[Label]) -> bytes:
    """Return labels as a PDF on A4, three across, with lines to cut along.

    Raises
    ------
    BadInputError
        If there are none.
    """
    return _typeset(labels, sheet=True)


def _typeset(labels: Sequence[Label], *, sheet: bool) -> bytes:
    if not labels:
        raise bad_input("labels", "no part is off the camera", "take a part off first, or print the job's own label")
    pictures = {f"qr-{n}.svg": qr_svg(label.address) for n, label in enumerate(labels)}
    lines = [asdict(label) | {"qr": f"qr-{n}.svg"} for n, label in enumerate(labels)]
    data = {"labels": lines, "width_mm": WIDTH_MM, "height_mm": HEIGHT_MM, "sheet": sheet}
    return typeset("labels.typ", data, pictures=pictures)


def qr_svg(text: str) -> bytes:
    """Return a QR code as SVG, with correction level M: 15 % of it may be dirty (ISO/IEC 18004, from memory)."""
    held = io.BytesIO()
    segno.make(text, error="m", micro=False, boost_error=False).save(held, kind="svg", border=2)
    return held.getvalue()
