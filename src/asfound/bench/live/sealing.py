"""The end of a live session: its spool becomes a recording of the job, with the walk and the gaps told in the file."""

from collections.abc import Iterator
from pathlib import Path

from asfound.bench.jobs import load_job
from asfound.bench.live.plan import LivePlan, read_plan
from asfound.bench.live.session import read_told_shots
from asfound.bench.live.stream import Stream
from asfound.bench.recordings import keep_recording
from asfound.bench.said import say_how
from asfound.book import Book
from asfound.book.failures import told_plainly
from asfound.book.spool import Spooled, SpooledBlock, read_spool, remove_spool
from asfound.capture.live_file import LiveTold, ToldShot, in_thousands, step_of, write_live
from asfound.job import Entry
from asfound.problems import bad_input
from asfound.shutter.timing.block import Samples


def seal(book: Book, path: Path) -> Entry:
    """Keep a session's spool as a recording of its job, with how it was recorded, and remove it.

    A session that was sealed before, when the program ended between the two, is not kept twice.

    Raises
    ------
    BadInputError
        If no sound was received.
    """
    spooled = read_spool(path)
    plan = read_plan(spooled.about)
    before = _sealed_before(book, plan)
    if before is not None:
        if before.id not in load_job(book, plan.job).how_recorded:
            say_how(book, plan.job, before.id, plan.how)
        remove_spool(path)
        return before
    sealed = path.with_suffix(".flac")
    try:
        with told_plainly(sealed):
            _write(spooled, plan, sealed)
            with sealed.open("rb") as file:
                name, kind = file_name(plan), plan.how.kind or "light"
                caption = f"Fired live: {', '.join(one.mark for one in plan.speeds)}"
                entry = keep_recording(book, plan.job, file, name, stage=plan.stage, caption=caption, kind=kind)
    finally:
        sealed.unlink(missing_ok=True)
    say_how(book, plan.job, entry.id, plan.how)
    remove_spool(path)
    return entry


def file_name(plan: LivePlan) -> str:
    """Return the name of a session's recording, by which it is known again."""
    return f"live-{plan.session[:12]}.flac"


def stream_of(spooled: Spooled, stream: Stream) -> Iterator[Samples]:
    """Yield the samples of a spool, put together."""
    for record in spooled.records():
        if isinstance(record, SpooledBlock):
            yield stream.add(record)


def _sealed_before(book: Book, plan: LivePlan) -> Entry | None:
    job, name = load_job(book, plan.job), file_name(plan)
    kept = next((id_ for id_, body in job.recordings if body.attachment.name == name), None)
    return next((entry for entry in job.entries if entry.id == kept), None)


def _write(spooled: Spooled, plan: LivePlan, path: Path) -> None:
    stream = Stream(sample_rate_hz=plan.sample_rate_hz)
    step = min((step_of(piece) for piece in stream_of(spooled, stream)), default=1.0)
    if not stream.length:
        raise bad_input("live session", "no sound was received in it", "throw it away, and begin again")
    told = LiveTold(
        session=plan.session,
        marks=tuple(one.mark for one in plan.speeds),
        shots=_shots(spooled),
        gaps=tuple(stream.gaps),
    )
    pieces = in_thousands(stream_of(spooled, Stream(sample_rate_hz=plan.sample_rate_hz)))
    write_live(path, pieces, sample_rate_hz=plan.sample_rate_hz, step=step, told=told)


def _shots(spooled: Spooled) -> tuple[ToldShot, ...]:
    """Return the shots as they were last told."""
    last = None
    for record in spooled.records():
        last = record if isinstance(record, dict) else last
    return tuple(read_told_shots(last)) if last is not None else ()
