"""Which screw is this, from the command line."""

from typing import Any

import click

from asfound.bench.jobs import load_job
from asfound.book import Book, locate
from asfound.cli.output import columns, emit
from asfound.job import Job
from asfound.quantity import parse_quantity
from asfound.teardown.screw import Home, Identified, identify_screw, where_it_belongs


def length_mm(text: str | None, where: str) -> float | None:
    """Return a typed length in mm; a bare number is in mm."""
    return None if text is None else parse_quantity(text, unit="mm", where=where)


@click.command()
@click.option("--diameter", required=True, help="Over the crests, such as 1.38 or 54 thou.")
@click.option("--u-diameter", default="0.02", show_default=True, help="Its standard uncertainty.")
@click.option("--pitch", help="Best ten crests divided by ten.")
@click.option("--flank", type=float, help="Angle between the flanks in degrees, if it was seen.")
@click.option("--length", help="Under the head.")
@click.option("--head", help="cheese, countersunk, pan, raised.")
@click.option("--slot", help="Width of the slot.")
@click.option("--job", "job_name", help="Also say which fasteners of this job it may be one of.")
@click.option(
    "--book", "book_place", metavar="PLACE", help="Folder or PostgreSQL URL of the book (or set ASFOUND_BOOK)."
)
@click.option("--json", "as_json", is_flag=True, help="The same as JSON.")
def screw(
    diameter: str,
    u_diameter: str,
    pitch: str | None,
    flank: float | None,
    length: str | None,
    head: str | None,
    slot: str | None,
    job_name: str | None,
    book_place: str | None,
    as_json: bool,
) -> None:
    """Say which thread a screw has, what cannot be told apart, and where in a job it may belong."""
    across, u_across = length_mm(diameter, "--diameter"), length_mm(u_diameter, "--u-diameter")
    assert across is not None
    assert u_across is not None
    apart = length_mm(pitch, "--pitch")
    found = identify_screw(
        diameter_mm=across,
        u_diameter_mm=u_across,
        pitch_mm=apart,
        flank_deg=flank,
        slot_width_mm=length_mm(slot, "--slot"),
    )
    homes: tuple[Home, ...] = ()
    if job_name is not None:
        with Book.open(locate(book_place)) as book:
            job = load_job(book, job_name)
        long = length_mm(length, "--length")
        homes = where_it_belongs(
            _groups(job), diameter_mm=across, u_diameter_mm=u_across, pitch_mm=apart, length_mm=long, head=head
        )
    emit(_data(found, homes, job_name), _table(found, homes, job_name), as_json=as_json)


def _groups(job: Job) -> list[Any]:
    return [(step.part, group) for step in job.steps for group in step.fasteners]


def _data(found: Identified, homes: tuple[Home, ...], job_name: str | None) -> dict[str, Any]:
    data: dict[str, Any] = {
        "candidates": [
            {
                "thread": c.thread.name,
                "series": c.thread.series,
                "major_mm": c.thread.major_mm,
                "pitch_mm": c.thread.pitch_mm,
                "flank_deg": c.thread.flank_deg,
                "misfit": c.misfit,
                "fits": c.fits,
                "cannot_be_told_from": list(c.like),
                "remarks": list(c.remarks),
            }
            for c in found.candidates
        ],
        "to_tell_apart": list(found.to_tell_apart),
    }
    if job_name is not None:
        data["belongs"] = [
            {"part": h.part, "fastener": str(h.group), "misfit": h.misfit, "against": list(h.against)} for h in homes
        ]
    return data


def _table(found: Identified, homes: tuple[Home, ...], job_name: str | None) -> list[str]:
    rows = [
        (
            c.thread.name,
            c.thread.series,
            f"{c.thread.major_mm:.3f}",
            f"{c.thread.pitch_mm:.3f}",
            f"{c.misfit:.1f}",
            "fits" if c.fits else "",
            "; ".join(c.remarks),
        )
        for c in found.candidates
    ]
    lines = columns(["thread", "series", "mm", "pitch mm", "misfit", "", ""], rows)
    if not any(c.fits for c in found.candidates):
        lines += ["", "None of the sizes known here fits: it may be worn, or a maker's own."]
    lines += ["", *(f"To tell apart: {line}" for line in found.to_tell_apart)] if found.to_tell_apart else []
    if job_name is not None:
        near = [(h.part, str(h.group), f"{h.misfit:.1f}", "; ".join(h.against)) for h in homes[:6]]
        lines += ["", *columns(["belongs to", "fasteners", "misfit", "against"], near)] if near else []
        lines += [] if near else ["", "No fastener of the job has a thread or length to compare with."]
    return lines
