"""The proof list on the command line: what is proved, what is open, and saying so."""

from typing import Any

import click

from asfound.bench.jobs import load_job
from asfound.bench.proofs import ANSWERS, answer_proof
from asfound.book import Book
from asfound.cli.book_option import with_book
from asfound.cli.output import columns, emit
from asfound.job.bodies import Stage
from asfound.job.proving import GROUPS, ProofLine, Taken, proof_list
from asfound.quantity import show_reading
from asfound.quantity.tolerance import Tolerance

SHORT = 48
STAGES: tuple[Stage, ...] = ("as found", "working", "as left")


@click.command()
@with_book
@click.argument("job")
@click.argument("name", required=False)
@click.argument("answer", required=False, type=click.Choice(ANSWERS))
@click.option("--because", "text", default="", help="In a few words.")
@click.option("--with", "instrument", default="", help="What it was proved with: an instrument by its name.")
@click.option("--stage", type=click.Choice(STAGES), default="as left", show_default=True)
@click.option("--open", "only_open", is_flag=True, help="Only what is not settled.")
@click.option("--json", "as_json", is_flag=True)
def proofs(
    book: Book,
    job: str,
    name: str | None,
    answer: str | None,
    text: str,
    instrument: str,
    stage: Stage,
    only_open: bool,
    as_json: bool,
) -> None:
    """Show what is to be proved of a JOB's camera, or say with NAME and ANSWER how one thing stands.

    \b
    asfound proofs 1
    asfound proofs 1 self-timer "not applicable"
    asfound proofs 1 infinity later --because "fog"
    asfound proofs 1 infinity within --with "ground glass"
    """
    found = load_job(book, job)
    if name is not None:
        if answer is None:
            raise click.UsageError(f"say how {name!r} stands: {', '.join(ANSWERS)}")
        answer_proof(book, found.id, name=name, answer=answer, text=text, stage=stage, instrument=instrument)
        found = load_job(book, found.id)
    lines = proof_list(found)
    shown = [line for line in lines if not (only_open and line.settled)]
    settled = sum(line.settled for line in lines)
    data = {"settled": settled, "count": len(lines), "proofs": [_flat(line) for line in shown]}
    emit(data, _table(shown, settled, len(lines)), as_json=as_json)


def _table(lines: list[ProofLine], settled: int, count: int) -> list[str]:
    head = ("", "proof", "as found", "as left", "stands", "held to", "source")
    rows = [
        (
            GROUPS[line.wanted.group],
            line.name,
            _said(line.found),
            _said(line.left),
            f"put off: {line.put_off}" if line.put_off else line.standing,
            *_held_to(line.tolerance),
        )
        for line in lines
    ]
    asked = [f"{line.wanted.asks}" for line in lines if line.standing == "not said yet"]
    differ = [line.name for line in lines if line.differs]
    notes = [f"Not said yet: {' '.join(asked)}"] if asked else []
    notes += [f"Stale, since {name} read wrongly: {', '.join(which)}" for name, which in _read_wrongly(lines).items()]
    notes += [f"As found and as left not taken in one state: {', '.join(differ)}"] if differ else []
    return [f"{settled} of {count} settled", *columns(head, rows), *notes]


def _read_wrongly(lines: list[ProofLine]) -> dict[str, list[str]]:
    """Return what is stale because an instrument read wrongly, by the instrument."""
    spoilt: dict[str, list[str]] = {}
    for line in lines:
        if line.left is not None and line.left.read_wrongly:
            spoilt.setdefault(line.left.read_wrongly, []).append(line.name)
    return spoilt


def _held_to(tolerance: Tolerance | None) -> tuple[str, str]:
    """Return the limits and their source, short."""
    if tolerance is None:
        return "", ""
    low, high = tolerance.lower, tolerance.upper
    even = low is not None and high is not None and abs(low + high) < 1e-9 * abs(high)
    bounds = f"± {high:.3g} {tolerance.unit}" if even else str(tolerance)
    return bounds, tolerance.source if len(tolerance.source) <= SHORT else f"{tolerance.source[: SHORT - 1]}…"


def _said(taken: Taken | None) -> str:
    if taken is None:
        return ""
    value = f"{show_reading(taken.reading)}, " if taken.reading is not None else ""
    return f"{value}{taken.verdict}"


def _flat(line: ProofLine) -> dict[str, Any]:
    held = line.tolerance
    return {
        "name": line.name,
        "group": line.wanted.group,
        "standing": line.standing,
        "asks": line.wanted.asks,
        "instrument": line.wanted.instrument,
        "held_to": None
        if held is None
        else {"lower": held.lower, "upper": held.upper, "unit": held.unit, "source": held.source},
        "as_found": _flat_side(line.found),
        "as_left": _flat_side(line.left),
        "states_differ_in": list(line.differs),
        "put_off": line.put_off,
    }


def _flat_side(taken: Taken | None) -> dict[str, Any] | None:
    if taken is None:
        return None
    return {
        "verdict": taken.verdict,
        **(taken.reading.flat("value") if taken.reading is not None else {}),
        "guard": taken.guard,
        "consumers_risk": taken.risk,
        "state": str(taken.state),
        "instrument": taken.instrument,
        "stale": taken.stale_by is not None,
        "read_wrongly": taken.read_wrongly,
        "text": taken.text,
        "entry": str(taken.entry),
    }
