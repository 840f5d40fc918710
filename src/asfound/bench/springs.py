"""What was found of a spring, written into the job."""

from collections.abc import Mapping
from uuid import UUID

from asfound.book import Book
from asfound.job import Entry, Job
from asfound.job.bodies import ReadingTaken, Stage
from asfound.quantity import Reading
from asfound.springs import LoadedTorsion

RATE = "spring rate"


def write_rate(
    book: Book, job_id: UUID, *, which: str, loaded: LoadedTorsion, typed: Mapping[str, str], stage: Stage
) -> tuple[Entry, ...]:
    """Write the rate of a spring as its dimensions give it; what was typed is kept with it."""
    reading = Reading(
        value=loaded.rate_n_mm_per_turn,
        unit="N·mm/turn",
        standard_uncertainty=loaded.u_rate_n_mm_per_turn,
        how="from its dimensions",
    )
    body = ReadingTaken(
        quantity=RATE, place=which, reading=reading, raw=as_typed(typed), stage=stage, depends_on=depends(which)
    )
    return book.write(job_id, [body])


def depends(which: str) -> tuple[str, ...]:
    """Return the parts that a reading of a spring depends on."""
    return (f"{which} spring",) if "spring" not in which.casefold() else (which,)


def as_typed(typed: Mapping[str, str]) -> tuple[str, ...]:
    """Return what was typed as lines to be kept with a reading: "wire: 0.5 mm"."""
    return tuple(f"{name}: {text}"[:400] for name, text in typed.items() if text.strip())


def typed_before(job: Job, quantity: str) -> dict[str, str]:
    """Return what was typed for the latest reading of a quantity that was taken on this page; {} if none was."""
    kept = [one.body for one in job.readings if one.body.quantity == quantity and one.body.raw]
    lines = kept[-1].raw if kept else ()
    return {name: text for name, found, text in (line.partition(": ") for line in lines) if found}
