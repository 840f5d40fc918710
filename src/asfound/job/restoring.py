"""What the job must come back to: readings to restore, and the way back with all that belongs to each step."""

import re
from collections.abc import Sequence
from uuid import UUID

from asfound.job.bodies import AnyBody, OrderTaken, ReadingTaken, SpacerFound, StepTaken, Tick
from asfound.job.cautions import cautions_for
from asfound.job.conditions import condition_warnings, warnings_for
from asfound.job.job import Job, Kept, key
from asfound.job.proofs_placed import proofs_of
from asfound.job.put_back import put_back_in_vain
from asfound.job.waits import fold_waiting
from asfound.quantity import Reading
from asfound.teardown.handling import Effort
from asfound.teardown.ledger import put_back_otherwise
from asfound.teardown.offer import Offer, better_order
from asfound.teardown.proving import PlacedProof
from asfound.teardown.step import Step
from asfound.teardown.wayback import ReadingToRestore, WayBack, shown_order, way_back


def way_back_of(job: Job) -> WayBack:
    """Return the way back of a job as it stands now, in the order that its entries give to whoever looks at it.

    It is the order last taken; until one is, the reverse of taking apart, with what waits left late. Once the first
    part has gone back, what begins or ends to wait changes nothing: a better order is offered.
    """
    order = _order_of(job)
    placed = proofs_of(job, order)
    restore, homeless = _restore_by_step(job, placed)
    return way_back(
        job.steps,
        marks={s.id: [text for _, part, text in job.marks if key(part) == key(s.part)] for s in job.steps},
        restore=restore,
        cautions={s.id: _advice(job, s) for s in job.steps},
        waiting=_waiting_steps(job),
        proofs={s.id: [proof for proof in placed if proof.after == s.id] for s in job.steps},
        unaccounted=(
            *_lost(job),
            *homeless,
            *condition_warnings(job),
            *put_back_otherwise(job.steps),
            *map(str, put_back_in_vain(job)),
        ),
        order=order,
    )


def due_of(job: Job) -> tuple[str, ...]:
    """Return the checks whose place on the way back is past, that were not made and not put off, in their order."""
    placed = (proof for back in way_back_of(job).steps for proof in back.proofs)
    return tuple(proof.what for proof in placed if proof.overdue and not proof.put_off)


def order_taken(job: Job) -> tuple[UUID, ...]:
    """Return the order of the way back that was last taken; nothing while none was."""
    taken = [entry.body.steps for entry in job.live if isinstance(entry.body, OrderTaken)]
    return taken[-1] if taken else ()


def offer_of(job: Job, *, effort: Effort | None = None, most_states: int = 20_000) -> Offer:
    """Return the cheapest order of the steps still to do, beside the one shown."""
    order = _order_of(job)
    waits = {step: _how_long(why) for step, why in _waiting_steps(job).items()}
    return better_order(order, job.steps, waiting=waits, effort=effort, most_states=most_states)


def _how_long(why: str) -> int:
    """Soaking, drying and curing take hours; what was sent for takes longer."""
    return 1 if re.search(r"\b(?:soak|dry|cur|set)(?:ing|s)?\b", why, re.I) else 2


def readings_to_restore(job: Job) -> tuple[ReadingToRestore, ...]:
    """Return every reading that is to be come back to, with the fresh later one that did so, if any."""
    wanted = [kept for kept in job.readings if kept.body.restore]
    return tuple(
        ReadingToRestore(
            entry=kept.entry,
            quantity=kept.body.quantity,
            place=kept.body.place,
            reading=kept.body.reading,
            tolerance=kept.body.tolerance,
            restored=_restored_by(job, kept),
        )
        for kept in wanted
    )


def _restored_by(job: Job, wanted: Kept[ReadingTaken]) -> Reading | None:
    """Return the latest reading of the same thing, as left and not stale."""
    same = [
        kept.body.reading
        for kept in job.readings
        if kept.body.stage == "as left"
        and kept.stale_by is None
        and key(kept.body.quantity) == key(wanted.body.quantity)
        and key(kept.body.place) == key(wanted.body.place)
    ]
    return same[-1] if same else None


def _restore_by_step(job: Job, placed: Sequence[PlacedProof]) -> tuple[dict[UUID, list[ReadingToRestore]], list[str]]:
    """Lay each reading at the step after which it can first be taken again."""
    by_step: dict[UUID, list[ReadingToRestore]] = {}
    homeless: list[str] = []
    after = {proof.entry: proof.after for proof in placed}
    for item in readings_to_restore(job):
        if item.entry in after:
            by_step.setdefault(after[item.entry], []).append(item)
        elif item.open:
            homeless.append(
                f"{item.quantity} {item.place}".strip() + ": to be restored, at no step that took a part off"
            )
    return by_step, homeless


def _order_of(job: Job) -> tuple[Step, ...]:
    return shown_order(job.steps, _waited_when_begun(job), order_taken(job))


def _waited_when_begun(job: Job) -> frozenset[UUID]:
    """Return the steps whose part was waiting as the first part went back, or waits now where none has."""
    off = [place for place, entry in enumerate(job.live) if _takes_off(entry.body)]
    since = off[-1] + 1 if off else 0
    begun = next((n for n, entry in enumerate(job.live) if n >= since and _puts_back(entry.body)), len(job.live))
    parts = {key(one.part) for one in fold_waiting(job.live[:begun])}
    return frozenset(step.id for step in job.steps if key(step.part) in parts)


def _takes_off(body: AnyBody) -> bool:
    return isinstance(body, SpacerFound) or (isinstance(body, StepTaken) and body.action != "back")


def _puts_back(body: AnyBody) -> bool:
    return isinstance(body, Tick) or (isinstance(body, StepTaken) and body.action == "back")


def _waiting_steps(job: Job) -> dict[UUID, str]:
    why = {key(waiting.part): waiting.why for waiting in job.waiting}
    return {s.id: why[key(s.part)] for s in job.steps if key(s.part) in why and not s.back}


def _lost(job: Job) -> list[str]:
    return [f"{part.name} is lost" for part in job.parts.values() if part.condition.startswith("lost")]


def _advice(job: Job, step: Step) -> list[str]:
    part = job.parts.get(key(step.part))
    texts = (step.part, step.note, step.held_by, step.lies, part.condition if part else "")
    hazards = [f"{caution.hazard}: {caution.advice}" for caution in cautions_for(*texts)]
    return hazards + (list(warnings_for(part)) if part is not None else [])
