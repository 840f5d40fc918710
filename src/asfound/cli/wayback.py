"""The way back from the command line."""

from typing import Any
from uuid import UUID

import click

from asfound.bench.jobs import load_job
from asfound.bench.order import take_order
from asfound.book import Book
from asfound.cli.book_option import with_book
from asfound.cli.output import emit
from asfound.job import DEFERENCE, Job, offer_of, way_back_of
from asfound.quantity import show_reading
from asfound.teardown import Offer, PlacedProof, ReadingToRestore, StepBack, WayBack, fastener_count
from asfound.teardown.freeing import just_before

_ASSUMED = "* Nobody said what freed it, so all that came off before it is assumed to be needed"


@click.command()
@with_book
@click.argument("job")
@click.option("--json", "as_json", is_flag=True, help="The same as JSON.")
@click.option("--all", "everything", is_flag=True, help="The steps already done as well.")
@click.option("--take", is_flag=True, help="Take the better order that is offered; it is shown from then on.")
def wayback(book: Book, job: str, as_json: bool, everything: bool, take: bool) -> None:
    """Show how to put a JOB back together, step by step.

    The order shown stays as it is; where one with less waiting, fewer changes of tool or less turning over is found,
    it is offered.
    """
    found = load_job(book, job)
    if take:
        found = take_order(book, found.id)
    way = way_back_of(found)
    offer = offer_of(found)
    data = {
        "job": found.ticket,
        "steps": [_step_data(s) for s in (way.steps if everything else way.open)],
        "fasteners_off": fastener_count(found.steps),
        "unaccounted": list(way.unaccounted),
        "offer": _offer_data(offer),
    }
    emit(data, _table(way, everything, found) + _offer_lines(offer, found.ticket), as_json=as_json)


def _assumed_in(job: Job) -> frozenset[UUID]:
    """Return the steps that wait for others only because nobody said what freed them, as the page marks them."""
    just = just_before(job.steps)
    return frozenset(step.id for step in job.steps if step.assumed and just[step.id])


def _offer_data(offer: Offer) -> dict[str, Any]:
    efforts = {
        name: {
            "before_waiting": effort.before_waiting,
            "tool_changes": effort.tool_changes,
            "turnings": effort.turnings,
            "cost": effort.cost,
        }
        for name, effort in (("shown", offer.shown), ("offered", offer.offered))
    }
    return {
        "better": offer.better,
        "order": [step.number for step in offer.order],
        **efforts,
        "lower_bound": offer.lower_bound,
        "proved": offer.proved,
        "gap": offer.gap,
    }


def _offer_lines(offer: Offer, ticket: str) -> list[str]:
    if not offer.better:
        return []
    order = " ".join(step.number for step in offer.order)
    return ["", f"A better order: {order}", f"  {offer}", f"  to take it: asfound wayback {ticket} --take"]


def _step_data(back: StepBack) -> dict[str, Any]:
    return {
        "step": back.step.number,
        "action": back.title,
        "part": back.step.part,
        "done": back.step.back,
        "fasteners": [str(group) for group in back.step.fasteners],
        "lies": back.step.lies,
        "tool": back.step.tool,
        "pose": back.step.pose,
        "state": str(back.state),
        "marks": list(back.marks),
        "restore": [_restore_data(item) for item in back.restore],
        "cautions": list(back.cautions),
        "waits_for": back.waits_for,
        "freed_by_assumed": back.step.freed_by is None,
        "fastening": list(back.fastening),
        "count_before": dict(back.count_before),
        "proofs": [_proof_data(proof) for proof in back.proofs],
    }


def _proof_data(proof: PlacedProof) -> dict[str, Any]:
    return {
        "what": proof.what,
        "missing": proof.missing,
        "overdue": proof.overdue,
        "before_goes_back": proof.until,
        "off_assumed": proof.off_assumed,
        "steps_if_it_fails_here": proof.steps_here,
        "steps_if_it_fails_at_the_end": proof.steps_at_end,
        "minutes_if_it_fails_here": proof.minutes_here,
        "minutes_if_it_fails_at_the_end": proof.minutes_at_end,
        "doubt": proof.doubt,
    }


def _restore_data(item: ReadingToRestore) -> dict[str, Any]:
    return {
        "quantity": item.quantity,
        "place": item.place,
        **item.reading.flat("value"),
        "tolerance": None if item.tolerance is None else str(item.tolerance),
        "tolerance_source": None if item.tolerance is None else item.tolerance.source,
        "restored": not item.open,
        "verdict": item.verdict,
    }


def _table(way: WayBack, everything: bool, job: Job) -> list[str]:
    steps = way.steps if everything else way.open
    done = len(way.steps) - len(way.open)
    assumed = _assumed_in(job)
    lines = [f"Way back: {len(way.open)} steps to do, {done} done"]
    for back in steps:
        lines += ["", _title(back, assumed), *_details(back)]
    if unsaid := [back.step.number for back in steps if back.step.id in assumed]:
        lines += ["", f'{_ASSUMED}; loosen it: asfound write {job.ticket} "freed {unsaid[0]} by NUMBER"']
    if any(back.cautions for back in steps):
        lines += ["", DEFERENCE]
    if way.unaccounted:
        lines += ["", "Not accounted for", *(f"  {line}" for line in way.unaccounted)]
    return lines


def _title(back: StepBack, assumed: frozenset[UUID]) -> str:
    mark = "*" if back.step.id in assumed else ""
    return f"{'[x]' if back.step.back else '[ ]'} {back.step.number}{mark}  {back.title}"


def _details(back: StepBack) -> list[str]:
    step = back.step
    pairs = [
        ("with", "; ".join(str(group) for group in step.fasteners)),
        ("lies", step.lies),
        ("state", str(back.state)),
        ("tool", ", ".join(word for word in (step.tool, step.pose) if word)),
        ("note", step.note),
        ("waits for", back.waits_for),
        *(("mark", mark) for mark in back.marks),
        *(("fasten", line) for line in back.fastening),
        ("count", "on the tray before closing: " + _counts(back.count_before) if back.count_before else ""),
        *(("restore", _restore_line(item)) for item in back.restore),
        *(("prove now", str(proof)) for proof in back.proofs if proof.missing),
        *(("caution", caution) for caution in back.cautions),
    ]
    return [f"      {name:<9} {value}" for name, value in pairs if value]


def _counts(counts: tuple[tuple[str, int], ...]) -> str:
    return ", ".join(f"{count} × {sort}" for sort, count in counts)


def _restore_line(item: ReadingToRestore) -> str:
    what = f"{item.quantity} {item.place}".strip()
    held_to = "" if item.tolerance is None else f", {item.tolerance} ({item.tolerance.source})"
    done = "" if item.restored is None else f" [now {show_reading(item.restored)}: {item.verdict or 'restored'}]"
    return f"{what}: {show_reading(item.reading)}{held_to}{done}"
