"""What is still open on a job: not done, not proved, not fresh."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from asfound.job import Job, Kept, key, readings_to_restore, way_back_of
from asfound.job.bodies import ShutterTable
from asfound.job.proofs_placed import put_off
from asfound.job.proving import ProofLine, in_plain_words, proof_list
from asfound.report.saying import say_speed, sentence

About = Literal["speeds", "proofs", "not proved", "faults", "readings", "way back", "waiting"]


@dataclass(frozen=True, slots=True)
class OpenItem:
    """Something open: what it is about, as the bench says it, and in plain words for the owner."""

    about: About
    words: str
    plain: str


def open_items(job: Job) -> tuple[str, ...]:
    """Return what is not done, not proved or not fresh, a line each; empty when nothing is open."""
    return tuple(item.words for item in what_is_open(job))


def what_is_open(job: Job) -> tuple[OpenItem, ...]:
    """Return what is open, the speeds first: they are what an owner sets every day."""
    lines = proof_list(job)
    speeds = [line for line in lines if line.name.startswith("speed")]
    return (
        *_speeds(speeds),
        *_proofs([line for line in lines if line not in speeds]),
        *_faults(job),
        *_not_restored(job),
        *_parts(job),
    )


def dial_as_found(job: Job) -> Kept[ShutterTable] | None:
    """Return the first dial table as found."""
    return next((kept for kept in job.tables if kept.body.stage == "as found"), None)


def dial_as_left(job: Job) -> Kept[ShutterTable] | None:
    """Return the last dial table as left."""
    return next((kept for kept in reversed(job.tables) if kept.body.stage == "as left"), None)


def _speeds(lines: Sequence[ProofLine]) -> Iterable[OpenItem]:
    """Say what is open of the marked speeds: in one line where all are alike not measured, or stale."""
    standings = {line.standing for line in lines}
    if standings <= {"open", "not said yet", "later"}:
        if lines:
            yield OpenItem("speeds", "speeds not measured as left", "The speeds were not measured after the work.")
        return
    if standings == {"stale"}:
        plain = "Something was touched after the speeds were last measured, so they count as not measured."
        yield OpenItem("speeds", "the speeds as left are stale: something was touched since", plain)
        return
    yield from (_speed(line) for line in lines if not line.settled)


def _speed(line: ProofLine) -> OpenItem:
    mark, taken = line.name.removeprefix("speed "), line.left
    words = f"{line.name}: {_told(line)}"
    error = None if taken is None or taken.reading is None else taken.reading.value
    if line.standing == "cannot tell":
        plain = f"Whether the speed marked {mark} is near enough, the measurement cannot tell."
    elif line.standing == "outside" and taken is not None and error is not None:
        more = "more" if error > 0 else "less"
        gives = f" gives {say_speed(taken.time_s)}:" if taken.time_s else ":"
        plain = f"The speed marked {mark}{gives} {abs(error):.1f} stop {more} light than marked."
    else:
        plain = in_plain_words(line)
    return OpenItem("speeds", words, plain)


def _proofs(lines: Sequence[ProofLine]) -> Iterable[OpenItem]:
    """Say what is open of everything else; what nobody has proved at all goes under a heading of its own."""
    for line in lines:
        if not line.settled:
            about: About = "proofs" if line.standing in ("outside", "cannot tell", "stale") else "not proved"
            yield OpenItem(about, f"{line.name}: {_told(line)}", in_plain_words(line))


def _told(line: ProofLine) -> str:
    """Return a standing as the bench says it."""
    match line.standing:
        case "open":
            return "not proved"
        case "not said yet":
            return f"not said yet ({line.wanted.asks})"
        case "later":
            return f"put off: {line.put_off}" if line.put_off else "put off"
        case _:
            return line.standing


def _faults(job: Job) -> Iterable[OpenItem]:
    for fault in job.faults:
        if fault.open:
            plain = f"Nothing yet proves this fault gone: {fault.name}."
            yield OpenItem("faults", f"fault not proved gone: {fault.name}", plain)


def _not_restored(job: Job) -> Iterable[OpenItem]:
    later = put_off(job)
    for item in readings_to_restore(job):
        name = f"{item.quantity} {item.place}".strip()
        if item.restored is None:
            words = f"{name} not restored{', put off' if key(name) in later else ''}"
            yield OpenItem("readings", words, f"{name} was not measured again after the work.")
        elif item.verdict == "outside":
            yield OpenItem("readings", f"{name}: outside", f"{name} is not back where it was found.")
        elif item.verdict == "cannot tell":
            plain = f"Whether {name} is back where it was found, the measurement cannot tell."
            yield OpenItem("readings", f"{name}: cannot tell", plain)


def _parts(job: Job) -> Iterable[OpenItem]:
    back = way_back_of(job)
    for step in back.open:
        yield OpenItem("way back", f"not done: {step.title}", f"Still to be done: {step.title}.")
    for line in back.unaccounted:
        yield OpenItem("way back", f"not accounted for: {line}", f"Not accounted for: {line}.")
    for waiting in job.waiting:
        words = f"waits for {waiting.part}: {waiting.why}"
        yield OpenItem("waiting", words, f"{sentence(words)}.")
