"""Video of a shutter: the brightness of a region in every frame, and a strip of frames to watch the blades."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import av
import numpy as np
from numpy.typing import NDArray

from asfound.capture.bounds import check_picture
from asfound.capture.telephone import opened
from asfound.problems import bad_input

Grey = NDArray[np.uint8]
Floats = NDArray[np.float64]
GRID = (24, 32)  # rows and columns in which a region is looked for
MOST_FRAMES = 200_000
# Luma of black and white in a video, and the exponent of the usual tone curve (ITU-R BT.709, from memory).
BLACK, WHITE, TONE = 16.0, 235.0, 2.2


@dataclass(frozen=True, slots=True)
class Region:
    """A rectangle of the picture, in shares of its width and height from the top left, each 0 to 1."""

    left: float
    top: float
    right: float
    bottom: float


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Brightness:
    """The light in a region, frame by frame.

    Attributes
    ----------
    time_s, light : ndarray, shape (n,)
        When each frame is shown, and its light, 1 for a white region.
    region : Region
        As given, or as found.
    """

    time_s: Floats
    light: Floats
    region: Region

    @property
    def rate_hz(self) -> float:
        """Frames in a second, from the median interval."""
        return float(1 / np.median(np.diff(self.time_s))) if self.time_s.size > 1 else 0.0


def has_pictures(path: Path) -> bool:
    """Say whether a file is a video (a still picture on a sound file is none)."""
    with opened(path, "video") as container:
        return any(not stream.disposition & stream.disposition.attached_pic for stream in container.streams.video)


def read_brightness(
    path: Path | str, *, region: Region | None = None, progress: Callable[[int], bool] | None = None
) -> Brightness:
    """Return the light of a region in every frame, in bounded memory.

    Parameters
    ----------
    path : path
        MP4, MOV or WebM, of constant or variable rate.
    region : Region, optional
        Where to look; where the picture changes most when not given.
    progress : callable, optional
        Called with the number of frames read; reading stops when it answers true.

    Raises
    ------
    BadInputError
        If the file cannot be read or is too long.
    """
    path = Path(path)
    times: list[float] = []
    rows: list[NDArray[np.float32]] = []
    for time, grey in _frames(path):
        times.append(time)
        rows.append(_cells(grey, region))
        if len(times) > MOST_FRAMES:
            raise bad_input(path.name, f"it has more than {MOST_FRAMES} frames", "cut out the firings")
        if progress is not None and progress(len(times)):
            break
    if len(times) < 4:
        raise bad_input(path.name, f"it has only {len(times)} frames", "record again")
    cells = np.stack(rows)
    order = np.argsort(times, kind="stable")
    cells, time_s = cells[order], np.asarray(times, dtype=np.float64)[order]
    if region is None:
        light, region = _liveliest(cells)
    else:
        light = cells[:, 0].astype(np.float64)
    return Brightness(time_s=time_s - time_s[0], light=light, region=region)


def frame_strip(path: Path | str, times_s: list[float], *, width: int = 160) -> list[Grey]:
    """Return the frames shown at some rising times, made small, as grey pictures."""
    found: list[Grey] = []
    last: Grey | None = None
    begin: float | None = None
    for time, grey in _frames(Path(path)):
        begin = time if begin is None else begin
        while len(found) < len(times_s) and last is not None and time - begin > times_s[len(found)]:
            found.append(last)
        if len(found) == len(times_s):
            return found
        step = max(1, grey.shape[1] // width)
        last = grey[::step, ::step].copy()
    return found + [last] * (len(times_s) - len(found)) if last is not None else found


def _frames(path: Path) -> Iterator[tuple[float, Grey]]:
    """Yield when each frame is shown, and its luma."""
    with opened(path, "video") as container:
        if not container.streams.video:
            raise bad_input(path.name, "there is no picture in this file", "choose a video, or say --kind sound")
        track = container.streams.video[0]
        if track.codec_context is None:
            raise bad_input(path.name, "its pictures are coded in a way that is not known here", "save it as MP4")
        check_picture(path.name, width=track.codec_context.width, height=track.codec_context.height)
        track.thread_type = "AUTO"
        for frame in container.decode(video=0):
            check_picture(path.name, width=frame.width, height=frame.height)
            if frame.pts is None or frame.time_base is None:
                continue
            yield float(frame.pts * frame.time_base), _luma(frame)


def _luma(frame: av.VideoFrame) -> Grey:
    """Return the Y plane as it is stored; other layouts are converted."""
    if frame.format.name.startswith(("yuv420p", "yuvj420p", "yuv422p", "yuvj422p", "nv12", "gray")) and (
        not frame.format.name.endswith(("10le", "10be", "12le"))
    ):
        plane = frame.planes[0]
        rows: Grey = np.asarray(memoryview(plane), dtype=np.uint8).reshape(plane.height, plane.line_size)
        return rows[:, : plane.width]
    return np.asarray(frame.reformat(format="yuv420p").to_ndarray()[: frame.height, : frame.width], dtype=np.uint8)


def _cells(grey: Grey, region: Region | None) -> NDArray[np.float32]:
    """Return the light of the region, or of every cell of the grid."""
    height, width = grey.shape
    if region is not None:
        top, bottom = int(region.top * height), max(int(region.top * height) + 1, int(region.bottom * height))
        left, right = int(region.left * width), max(int(region.left * width) + 1, int(region.right * width))
        return np.array([_light(grey[top:bottom, left:right]).mean()], np.float32)
    rows, columns = min(GRID[0], height), min(GRID[1], width)
    high, wide = height // rows, width // columns
    # Every pixel of every frame would take longer than decoding it: four by four to a cell are enough.
    down, across = max(1, high // 4), max(1, wide // 4)
    cut = _light(
        grey[: rows * high : 1, : columns * wide : 1].reshape(rows, high, columns, wide)[:, ::down, :, ::across]
    )
    means: NDArray[np.float32] = cut.mean(axis=(1, 3)).reshape(-1).astype(np.float32)
    return means


_TABLE = (np.clip((np.arange(256) - BLACK) / (WHITE - BLACK), 0, 1) ** TONE).astype(np.float32)


def _light(grey: Grey) -> NDArray[np.float32]:
    """Return light from luma, undoing the usual tone curve."""
    light: NDArray[np.float32] = _TABLE[grey]
    return light


def _liveliest(cells: NDArray[np.float32]) -> tuple[Floats, Region]:
    """Return the summed light of the cells that change at least half as much as the liveliest."""
    change = cells.max(axis=0) - np.median(cells, axis=0)
    live = change >= 0.5 * change.max()
    rows, columns = GRID if change.size == GRID[0] * GRID[1] else (1, change.size)
    down, across = np.nonzero(live.reshape(rows, columns))
    region = Region(
        left=float(across.min()) / columns,
        top=float(down.min()) / rows,
        right=float(across.max() + 1) / columns,
        bottom=float(down.max() + 1) / rows,
    )
    return cells[:, live].mean(axis=1, dtype=np.float64), region
