"""What lies at hand in a job: one card at a time, the next step of the way back before all else."""

from collections.abc import Iterator
from dataclasses import dataclass

from asfound.job import Job, readings_to_restore
from asfound.job.cautions import cautions_for
from asfound.job.proving import proof_list, unsettled
from asfound.quantity import show_reading
from asfound.web.kept import say_tolerance


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """One thing to do that is no step of the way back.

    Attributes
    ----------
    label : str
        What sort of thing it is.
    says : tuple of str
        What must be known to do it, a line each.
    begin : str
        With what its line begins, to be typed on.
    href, go : str
        A page where it is done, and the words of its button.
    """

    label: str
    title: str
    says: tuple[str, ...] = ()
    begin: str = ""
    href: str = ""
    go: str = ""
    cautions: tuple[tuple[str, str], ...] = ()


def taking_apart(job: Job) -> bool:
    """Tell whether parts still come off: something is off, nothing went back yet."""
    return bool(job.steps) and not any(step.back for step in job.steps)


def apart_card(job: Job) -> Card:
    """Return what is at hand while the camera is taken apart: the part that came off last, and room for the next."""
    last = [step for step in job.steps if step.action != "spacer"] or list(job.steps)
    step = last[-1]
    where = f"lies in {step.lies}" if step.lies else "" if step.action == "slackened" else "not said where it lies"
    screws = "; ".join(str(group) for group in step.fasteners)
    return Card(
        label=f"Taking apart, {sum(not s.back for s in job.steps)} steps so far",
        title="What comes off next?",
        says=tuple(f"{step.number}: {line}" for line in (f"{step.part} {step.action}", screws, where) if line),
        begin="off ",
        href="?do=back",
        go="Turn round: begin the way back",
        cautions=_cautions(step.part, step.tool, step.note),
    )


def cards_of(job: Job) -> tuple[Card, ...]:
    """Return what is left to do once every part is back: measure, prove, see to faults, hand over."""
    if not job.steps:
        return (_look(job), *_proofs(job), *_faults(job))
    left = (*_to_measure(job), *_faults(job), *_proofs(job))
    done = Card(label="Done", title="Hand it over", href=f"/job/{job.id}/handover", go="To the handover")
    return (*left, done)


def _look(job: Job) -> Card:
    said = (f"The owner says: “{job.complaint}”",) if job.complaint else ()
    lines = (*said, "Write faults and readings as found; then what comes off.")
    return Card(label="As found", title="Look it over", says=lines)


def _to_measure(job: Job) -> Iterator[Card]:
    for item in readings_to_restore(job):
        if item.open:
            what = f"{item.quantity} {item.place}".strip()
            now = f"now {show_reading(item.restored)}" if item.restored else ""
            yield Card(
                label="Bring back to what it was",
                title=f"Measure {what}",
                says=tuple(s for s in (f"found {show_reading(item.reading)}", now, say_tolerance(item.tolerance)) if s),
                begin=_begin(item.quantity, item.place),
            )


def _begin(quantity: str, place: str) -> str:
    at = f' at "{place}"' if place and not place.isalpha() else f" at {place}" if place else ""
    return f'read "{quantity}"{at} '


def _faults(job: Job) -> Iterator[Card]:
    for fault in job.faults:
        if fault.open:
            stage, text, _ = fault.said[-1]
            lines = (f"{stage}: {text}" if text else stage,)
            yield Card(
                label="Fault, open",
                title=f"See to {fault.name}",
                says=lines,
                begin=f'fault "{fault.name}" ',
                href=f"/job/{job.id}/findings",
                go="All that was said of it",
                cautions=_cautions(fault.name, text),
            )


def _proofs(job: Job) -> Iterator[Card]:
    for line in unsettled(proof_list(job)):
        lines = (
            {"not said yet": "nobody said yet whether it has this", "open": "not taken yet"}.get(
                line.standing, line.standing
            ),
            say_tolerance(line.tolerance),
        )
        yield Card(
            label=f"To prove, {line.wanted.group}",
            title=f"Prove {line.name}",
            says=tuple(text for text in lines if text),
            begin=f'proof "{line.name}" ',
            cautions=_cautions(line.name),
        )


def _cautions(*texts: str) -> tuple[tuple[str, str], ...]:
    return tuple((caution.hazard, caution.advice) for caution in cautions_for(*texts))
