"""The proof list in the record: each thing as found and as left, what it was held to, and its guarded verdict."""

from collections.abc import Iterable

from asfound.job import Job
from asfound.job.proving import ProofLine, Taken, proof_list
from asfound.report.record_readings import held_to
from asfound.report.saying import say_day_of, say_differences, say_reading, say_state

Rows = tuple[tuple[str, ...], ...]
_STANDS = {"open": "not proved", "not said yet": "not said yet", "later": "put off"}


def proofs(job: Job) -> Rows:
    """Return every line of the proof list; a stale one is not a pass and says so."""
    return tuple(_proof(line) for line in proof_list(job))


def _proof(line: ProofLine) -> tuple[str, ...]:
    stands = _STANDS.get(line.standing, line.standing)
    if line.standing == "stale" and line.left is not None:
        stands = f"stale, was {line.left.verdict}"
    if line.put_off:
        stands += f": {line.put_off}"
    return (line.name, _side(line.found), _side(line.left), _held_with(line), stands)


def _side(taken: Taken | None) -> str:
    if taken is None:
        return "not taken"
    value = [say_reading(taken.reading)] if taken.reading is not None else []
    words = [*value, *([taken.text] if taken.text else [])]
    wrong = f" ({taken.read_wrongly} read wrongly then)" if taken.read_wrongly else ""
    return "; ".join(words or [taken.verdict]) + wrong


def _held_with(line: ProofLine) -> str:
    if line.standing == "not applicable":
        return "does not apply"
    taken = line.left or line.found
    instrument = taken.instrument if taken is not None and taken.instrument else line.wanted.instrument
    held = held_to(line.tolerance) if line.tolerance is not None else "as it should be"
    return f"{held}; {instrument}"


def proof_notes(job: Job) -> tuple[str, ...]:
    """Return what has to be said under the proofs: states, differing states, the greatest risk, missing guards."""
    lines = proof_list(job)
    return (*_states(lines), *_risks(lines))


def _states(lines: Iterable[ProofLine]) -> Iterable[str]:
    alike: dict[str, list[str]] = {}
    taken_in: dict[str, list[str]] = {}
    for line in lines:
        if line.found is not None and line.left is not None and line.differs:
            alike.setdefault(say_differences(line.found.state, line.left.state), []).append(line.name)
        if line.left is not None:
            told = f"{say_state(line.left.state)}, {say_day_of(line.left.made_ms)}"
            taken_in.setdefault(told, []).append(line.name)
    for state, names in taken_in.items():
        yield f"As left, taken with the camera so: {state}: {', '.join(names)}."
    for difference, names in alike.items():
        yield f"As found and as left were not taken in the same state ({difference}): {', '.join(names)}."


def _risks(lines: Iterable[ProofLine]) -> Iterable[str]:
    accepted = [line for line in lines if line.standing == "within" and line.left is not None]
    known = [(line.left.risk, line.name) for line in accepted if line.left is not None and line.left.risk is not None]
    if known:
        risk, name = max(known)
        said = "less than 0.1 %" if risk < 0.001 else f"{risk:.1%}"
        yield f"Consumer's risk: of what is found within here, the likeliest to be outside in truth is {name}, {said}."
    bare = [
        line.name
        for line in accepted
        if line.left is not None and line.left.reading is not None and not line.left.reading.standard_uncertainty
    ]
    if bare:
        yield f"Not guarded, since no uncertainty was written down: {', '.join(bare)}."
