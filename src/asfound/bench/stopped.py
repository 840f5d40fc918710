"""The speeds stopped down, from the recording that the dial was measured from as left."""

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from asfound.bench.measured import found_in
from asfound.bench.said import how_of
from asfound.book import Book
from asfound.job import Job, Kept
from asfound.job.bodies import Recording, ShutterTable, SpeedRow
from asfound.report import StoppedSpeed
from asfound.shutter import Firing, reason_to_withhold, stopped_down_table

# What a stop gives more than wide open before it is worth a line: a twentieth of a stop.
LEAST_STOPS = 0.05


@dataclass(frozen=True, slots=True)
class StoppedDial:
    """The speeds that smaller apertures lengthen, the fastest last; none where `why_none` says why."""

    speeds: tuple[StoppedSpeed, ...]
    why_none: str = ""


def stopped_dial(book: Book, job: Job) -> StoppedDial:
    """Return what the speeds as left give at each marked aperture smaller than the one they were measured at."""
    left = next((kept for kept in reversed(job.tables) if kept.body.stage == "as left"), None)
    if left is None or left.stale_by is not None:
        return StoppedDial((), "the speeds as left are not measured")
    recording = next(((id_, body) for id_, body in job.recordings if id_ == left.body.recording), None)
    if recording is None or recording[1].sort != "light":
        return StoppedDial((), "the speeds were not measured by light")
    return _of_recording(book, job, left, *recording)


def _of_recording(book: Book, job: Job, left: Kept[ShutterTable], entry: UUID, recording: Recording) -> StoppedDial:
    how = how_of(job, entry)
    found = found_in(book, recording.attachment.sha256, how)
    if found is None:
        return StoppedDial((), "what was found in the recording is no longer kept: measure it again")
    wide_open = how.aperture or left.state.aperture
    smaller = tuple(stop for stop in sorted(job.camera.marked_apertures) if wide_open and stop > 1.05 * wide_open)
    if wide_open is None or not smaller:
        return StoppedDial((), "the aperture in use, or the smaller ones, were not said")
    speeds, why = [], ""
    for row in left.body.rows:
        firing = _nearest(found.firings, row)
        reason = "no firing of it is kept" if firing is None else reason_to_withhold(firing, how.arrangement)
        if firing is None or reason:
            why = reason or why
            continue
        speeds.append(_speed(row, firing, wide_open, smaller))
    kept = tuple(one for one in speeds if one is not None)
    return StoppedDial(kept, "" if kept else why or "no aperture lengthens any of the speeds")


def _nearest(firings: Sequence[Firing], row: SpeedRow) -> Firing | None:
    """Return the firing of a speed that lies nearest to the mean of its shots."""
    own = [one for one in firings if one.effective_s in row.times_s]
    return min(own, key=lambda one: abs((one.effective_s or 0.0) - row.mean_s), default=None)


def _speed(row: SpeedRow, firing: Firing, wide_open: float, smaller: Sequence[float]) -> StoppedSpeed | None:
    table = stopped_down_table(firing, wide_open=wide_open, apertures=smaller)
    if table[-1].longer_stops < LEAST_STOPS:
        return None
    times = tuple((one.aperture, one.effective_s) for one in table)
    return StoppedSpeed(row.marked, row.reference_s, ((wide_open, row.mean_s), *times))
