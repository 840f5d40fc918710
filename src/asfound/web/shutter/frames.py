"""A strip of frames of one firing in a video, to watch the blades."""

import io
from functools import lru_cache
from pathlib import Path
from uuid import UUID

import numpy as np
from fastapi import APIRouter
from fastapi.responses import Response
from PIL import Image

from asfound.bench.jobs import load_job
from asfound.bench.recordings import under_its_name
from asfound.capture.video import frame_strip
from asfound.problems import NotFoundError, Problem
from asfound.web.desk import AtDesk
from asfound.web.shutter.measuring import must_be_measured, recording_of

router = APIRouter(prefix="/shutter")
# So many are shown, from so many before the first that was looked at to as many after the last.
FRAMES, MARGIN = 8, 2


@router.get("/frames/{recording}/{number}", response_class=Response)
def frames(desk: AtDesk, job_id: UUID, recording: UUID, number: int) -> Response:
    """Return the frames from before to after a firing, in a row."""
    chosen = recording_of(load_job(desk.book, job_id), recording)
    assert chosen is not None
    kept = chosen[1].attachment
    found = must_be_measured(desk, *chosen)
    if found.kind != "video" or not 1 <= number <= len(found.firings):
        raise NotFoundError(Problem("firing", "it is in no video", "choose a firing on the page of the dial"))
    firing = found.firings[number - 1]
    rate_hz = found.sample_rate_hz / chosen[2].slow_motion
    start_s, stop_s = (firing.start_index - MARGIN) / rate_hz, (firing.stop_index + MARGIN) / rate_hz
    content = strip(desk.book.attachment_path(kept.sha256), kept.name, start_s, stop_s)
    return Response(content, media_type="image/png", headers={"Cache-Control": "no-store"})


@lru_cache(maxsize=32)
def strip(path: Path, name: str, start_s: float, stop_s: float) -> bytes:
    """Return frames at even steps of the video's own time, side by side, as PNG."""
    with under_its_name(path, name) as shown:
        pictures = frame_strip(shown, [float(t) for t in np.linspace(max(start_s, 0.0), stop_s, FRAMES)])
    if not pictures:
        raise NotFoundError(Problem("firing", "no frame of it can be shown", "look at the video itself"))
    gap = np.full((pictures[0].shape[0], 4), 255, dtype=np.uint8)
    row = np.hstack([part for one in pictures for part in (one, gap)][:-1])
    buffer = io.BytesIO()
    Image.fromarray(row).save(buffer, "PNG")
    return buffer.getvalue()
