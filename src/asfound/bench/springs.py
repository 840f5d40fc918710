"""What was found of a spring, written into the job."""

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from asfound.book import Book
from asfound.job import Entry, Job
from asfound.job.bodies import Fault, Proof, ReadingTaken, Stage
from asfound.quantity import Reading
from asfound.quantity.tolerance import Tolerance
from asfound.springs import Holding, LoadedTorsion, MeasuredSpring, Need, Remedy

RATE = "spring rate"
STRAIGHT_RATE = "spring rate, straight"
TORQUE = "spring torque"
NEEDED = "torque needed"
STRUT_PARTS = ("struts", "strut springs", "bellows")


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


def write_measured(
    book: Book, job_id: UUID, *, which: str, measured: MeasuredSpring, typed: Mapping[str, str], stage: Stage
) -> tuple[Entry, ...]:
    """Write a spring as measured at its lever: torque and friction at each angle, then rate and free angle."""
    taken: list[tuple[str, str, Reading]] = []
    for split in measured.splits:
        place = f"{which}, {split.angle_deg:g}°"
        taken += [(TORQUE, place, split.spring), ("spring friction", place, split.friction)]
    if measured.rate is not None and measured.free_angle is not None:
        taken += [("spring rate at the lever", which, measured.rate), ("spring free angle", which, measured.free_angle)]
    raw, parts = as_typed(typed), depends(which)
    bodies = [
        ReadingTaken(quantity=name, place=place, reading=reading, raw=raw, stage=stage, depends_on=parts)
        for name, place, reading in taken
    ]
    return book.write(job_id, bodies)


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Needed:
    """The torque that all struts need together, and the judgement on their springs.

    Attributes
    ----------
    arrive, keep, start : Need
        To come home erected, to stay there under a finger, to start from folded.
    erected_n_mm : float
        The larger of the first two, at the spring.
    """

    arrive: Need
    keep: Need
    start: Need
    erected_n_mm: float
    held: tuple[Holding, ...]


def write_need(
    book: Book, job_id: UUID, *, needed: Needed, typed: Mapping[str, str], stage: Stage
) -> tuple[Entry, ...]:
    """Write what the struts need as readings, and each judgement on their springs as a proof."""
    places = (("erected", needed.erected_n_mm), ("folded", needed.start.spring_n_mm))
    readings = [
        ReadingTaken(
            quantity=NEEDED,
            place=place,
            reading=Reading(value=torque, unit="N·mm", how="from the linkage and the forces on it"),
            raw=as_typed(typed),
            stage=stage,
            depends_on=STRUT_PARTS,
        )
        for place, torque in places
    ]
    return book.write(job_id, [*readings, *(_holds(held, stage) for held in needed.held)])


def _holds(held: Holding, stage: Stage) -> Proof:
    return Proof(
        what=f"struts hold, {held.position}",
        verdict=held.verdict,
        reading=Reading(
            value=held.given_n_mm, unit="N·mm", standard_uncertainty=held.u_given_n_mm, how="sum of springs"
        ),
        tolerance=Tolerance(
            unit="N·mm",
            source=f"torque needed, {held.wanted_margin:g} times (common practice, no source)",
            lower=held.needed_n_mm * held.wanted_margin,
        ),
        stage=stage,
        depends_on=STRUT_PARTS,
        text=held.words,
    )


def write_decision(book: Book, job_id: UUID, *, fault: str, remedy: Remedy) -> tuple[Entry, ...]:
    """Write which remedy was decided on, and why, as said of a fault."""
    margin = "" if remedy.margin is None else f"; {remedy.margin:.2f} times what is needed"
    text = f"{remedy.name} ({remedy.verdict}{margin}): {remedy.why}. Risk: {remedy.risk_words}."
    return book.write(job_id, [Fault(fault=fault, stage="decision", text=text)])


def latest(job: Job, quantity: str, place: str = "") -> Reading | None:
    """Return the latest reading of a quantity (at a place, where one is given)."""
    kept = [k.body for k in job.readings if k.body.quantity == quantity and (not place or k.body.place == place)]
    return kept[-1].reading if kept else None


def torques_at_lever(job: Job) -> tuple[Reading, ...]:
    """Return the torques of the latest measurement at a lever, the least first."""
    kept = [one.body for one in job.readings if one.body.quantity == TORQUE]
    together = [body.reading for body in kept if body.raw == kept[-1].raw and body.reading.value is not None]
    return tuple(sorted(together, key=lambda reading: reading.value or 0.0))


def write_straight_rate(
    book: Book, job_id: UUID, *, which: str, rate_n_per_mm: float, typed: Mapping[str, str], stage: Stage
) -> tuple[Entry, ...]:
    """Write the rate of a spring that is pressed, drawn or bent, as its dimensions give it."""
    reading = Reading(value=rate_n_per_mm, unit="N/mm", how="from its dimensions")
    body = ReadingTaken(
        quantity=STRAIGHT_RATE,
        place=which,
        reading=reading,
        raw=as_typed(typed),
        stage=stage,
        depends_on=depends(which),
    )
    return book.write(job_id, [body])
