"""The stretch of a recording around one firing: its outline for the canvas, its picture without scripts."""

from functools import lru_cache
from pathlib import Path

import numpy as np

from asfound.bench.recordings import under_its_name
from asfound.capture import Recording, inspect_sound, read_blocks, trace_envelope
from asfound.plots import page_svg, trace_picture
from asfound.problems import NotFoundError, Problem, bad_input
from asfound.shutter import Firing
from asfound.web.api_models import TraceOut

MOST_COLUMNS = 2000
# A longer stretch is thinned to its outline before it is drawn.
MOST_DRAWN_S = 4.0


def stretch(recording: Recording, firing: Firing) -> tuple[float, float]:
    """Return the seconds of the recording that show a firing with a little before and after it."""
    open_s = firing.total_open_s or firing.open_s or 0.1
    around = max(0.005, 0.35 * open_s)
    return max(0.0, firing.start_s - around), min(recording.duration_s, firing.start_s + open_s + around)


def find_firing(recording: Recording, number: int) -> Firing:
    """Return a firing by its number, from 1."""
    if not 1 <= number <= len(recording.firings):
        what = f"there is no firing {number} among {len(recording.firings)}"
        raise NotFoundError(Problem("firing", what, "choose one from the table"))
    return recording.firings[number - 1]


def trace_json(
    path: Path, recording: Recording, number: int, start_s: float | None, stop_s: float | None, columns: int
) -> TraceOut:
    """Return the outline of a firing, or of the stretch asked for."""
    firing = find_firing(recording, number)
    whole = stretch(recording, firing)
    begin, end = (whole[0] if start_s is None else start_s, whole[1] if stop_s is None else stop_s)
    if recording.kind == "video":
        raise bad_input("trace", "a video has no trace of its sound here", "watch the video itself")
    with under_its_name(path, Path(recording.path).name) as shown:
        times, least, greatest = trace_envelope(
            shown, begin, end, min(max(columns, 10), MOST_COLUMNS), channel=recording.channel
        )
    return TraceOut(
        firing=number,
        start_s=begin,
        stop_s=end,
        whole_start_s=whole[0],
        whole_stop_s=whole[1],
        first_light_s=firing.start_s,
        open_s=firing.total_open_s or firing.open_s,
        base=firing.base,
        plateau=firing.plateau,
        time_s=[round(float(t), 7) for t in times],
        lowest=[round(float(v), 5) for v in least],
        highest=[round(float(v), 5) for v in greatest],
    )


@lru_cache(maxsize=64)
def trace_pictures(path: Path, recording: Recording, number: int) -> tuple[str, str]:
    """Return a firing's picture, wide and narrow, as SVG for the page; nothing for a video."""
    firing = find_firing(recording, number)
    if recording.kind == "video":
        return "", ""
    start_s, stop_s = stretch(recording, firing)
    with under_its_name(path, Path(recording.path).name) as shown:
        sound = inspect_sound(shown)
        first = round(start_s * sound.sample_rate_hz)
        stop = max(first + 2, round(min(stop_s, start_s + MOST_DRAWN_S) * sound.sample_rate_hz))
        blocks = read_blocks(sound, channel=recording.channel, start=first, stop=min(stop, sound.frames))
        samples = np.concatenate([block.samples for block in blocks])
    begin = first / sound.sample_rate_hz
    wide, narrow = (
        page_svg(
            trace_picture(firing, samples=samples, sample_rate_hz=sound.sample_rate_hz, start_s=begin, width=width)
        )
        for width in ("wide", "narrow")
    )
    return wide, narrow
