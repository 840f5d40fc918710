"""Sound as telephones and browsers record it: M4A/AAC, Opus in WebM or Ogg, the sound track of a video."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import av
import numpy as np
from av.container import InputContainer

from asfound.capture.bounds import check_sound
from asfound.problems import bad_input
from asfound.shutter.timing.block import Samples

LOSSLESS = ("flac", "alac", "wavpack", "tta")


@contextmanager
def opened(path: Path, what: str = "sound") -> Iterator[InputContainer]:
    """Open a file; every failure to read it is bad input.

    Raises
    ------
    BadInputError
        If it cannot be opened or decoded.
    """
    try:
        with av.open(str(path), metadata_errors="replace") as container:
            yield container
    except av.FFmpegError:
        seen = f"this is not a {what} recording that can be read, or it is cut off"
        raise bad_input(path.name, seen, "record again, or save it as WAV or FLAC") from None


def sound_track(path: Path) -> tuple[float, int, int, bool] | None:
    """Return sample rate, channels, number of frames and whether sound was lost; None if there is no sound."""
    with opened(path) as container:
        if not container.streams.audio:
            return None
        stream = container.streams.audio[0]
        if stream.codec_context is None:
            raise bad_input(path.name, "its sound is coded in a way that is not known here", "save it as WAV or FLAC")
        rate, channels = float(stream.codec_context.sample_rate), stream.codec_context.channels
        lossy = not stream.codec_context.name.startswith((*LOSSLESS, "pcm"))
        if stream.duration and stream.time_base:
            frames = round(float(stream.duration * stream.time_base) * rate)
        elif container.duration:
            frames = round(container.duration / 1e6 * rate)
        else:
            frames = sum(piece.shape[1] for piece in _pieces(container, path.name))
    return rate, channels, frames, lossy


def track_samples(path: Path) -> Iterator[Samples]:
    """Yield the sound track piece by piece, each of shape (channels, n)."""
    with opened(path) as container:
        yield from _pieces(container, path.name)


def _pieces(container: InputContainer, name: str) -> Iterator[Samples]:
    planar, taken = av.AudioResampler(format="fltp"), 0
    for frame in container.decode(audio=0):
        # Its head may have said less, or nothing.
        taken += frame.samples
        check_sound(name, frames=taken, sample_rate_hz=frame.sample_rate, channels=frame.layout.nb_channels)
        for piece in planar.resample(frame):
            yield np.ascontiguousarray(piece.to_ndarray(), dtype=np.float32)
    for piece in planar.resample(None):
        yield np.ascontiguousarray(piece.to_ndarray(), dtype=np.float32)
