"""Sound files into blocks: WAV and FLAC, and what telephones write; any width and rate, channel by channel."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile

from asfound.capture.bounds import check_sound
from asfound.capture.riff import missing_bytes
from asfound.capture.telephone import sound_track, track_samples
from asfound.problems import BadInputError, bad_input
from asfound.shutter.timing.block import Block, Samples

BLOCK_FRAMES = 65_536
# Smallest step of each way of storing a sample, full scale 1.
_RESOLUTION = {"PCM_U8": 2.0**-7, "PCM_S8": 2.0**-7, "PCM_16": 2.0**-15, "ULAW": 2.0**-7, "ALAW": 2.0**-7}
_FINE = 2.0**-23
TELEPHONE_SUFFIXES = (".m4a", ".mp4", ".mov", ".aac", ".webm", ".opus", ".ogg", ".mp3", ".3gp", ".mka", ".mkv", ".caf")
RATES_HZ = (8_000, 384_000)


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundFile:
    """What a sound file says of itself.

    Attributes
    ----------
    path : Path
    sample_rate_hz : float
    channels : int
    frames : int
    resolution : float
        Smallest step of a sample, full scale 1.
    floating : bool
        Stored as floating-point numbers, which may pass full scale.
    lossy : bool
        Made smaller with loss.
    telephone : bool
        In a container that only the reader for telephones' files opens.
    """

    path: Path
    sample_rate_hz: float
    channels: int
    frames: int
    resolution: float
    floating: bool
    lossy: bool = False
    telephone: bool = False

    @property
    def duration_s(self) -> float:
        return self.frames / self.sample_rate_hz


def inspect_sound(path: Path | str) -> SoundFile:
    """Return what the file says of itself.

    Raises
    ------
    BadInputError
        If it is missing, empty, no sound file, cut off before any sample, of an absurd rate, or unfolds to
        more than six hours.
    """
    path = Path(path)
    check_there(path)
    found = _inspect(path)
    missing, said = missing_bytes(path)
    if missing:
        what = f"the file breaks off: {missing} of its {said} bytes of sound are missing"
        raise bad_input(path.name, what, "copy or record it again")
    if found.frames == 0:
        raise bad_input(path.name, "the file holds no samples", "record again, or choose another file")
    if not RATES_HZ[0] <= found.sample_rate_hz <= RATES_HZ[1]:
        what = f"its sample rate is {found.sample_rate_hz:g} Hz"
        raise bad_input(path.name, what, f"record at {RATES_HZ[0]} to {RATES_HZ[1]} Hz")
    check_sound(path.name, frames=found.frames, sample_rate_hz=found.sample_rate_hz, channels=found.channels)
    return found


def check_there(path: Path) -> None:
    """Refuse a file that is missing or empty."""
    if not path.is_file():
        raise bad_input(path.name or str(path), "there is no such file", "check the name and the folder")
    if path.stat().st_size == 0:
        raise bad_input(path.name, "the file is empty", "record again, or choose another file")


def _inspect(path: Path) -> SoundFile:
    try:
        with soundfile.SoundFile(path) as sound:
            return SoundFile(
                path=path,
                sample_rate_hz=float(sound.samplerate),
                channels=sound.channels,
                frames=sound.frames,
                resolution=_RESOLUTION.get(sound.subtype, _FINE),
                floating=sound.subtype in ("FLOAT", "DOUBLE"),
                lossy=sound.subtype.startswith(("MPEG", "VORBIS", "OPUS")),
            )
    except soundfile.LibsndfileError:
        if path.suffix.lower() not in TELEPHONE_SUFFIXES:
            raise _unreadable(path) from None
    track = sound_track(path)
    if track is None:
        raise bad_input(path.name, "there is no sound in this file", "choose a sound recording")
    rate, channels, frames, lossy = track
    return SoundFile(
        path=path,
        sample_rate_hz=rate,
        channels=channels,
        frames=frames,
        resolution=_RESOLUTION["PCM_16"],
        floating=True,
        lossy=lossy,
        telephone=True,
    )


def _unreadable(path: Path) -> BadInputError:
    what = "this is not a sound recording that can be read (WAV, FLAC, M4A, MP3, Opus)"
    return bad_input(path.name, what, "save it as WAV or FLAC; a cut-off file must be recorded again")


def _open(path: Path) -> soundfile.SoundFile:
    try:
        return soundfile.SoundFile(path)
    except soundfile.LibsndfileError:
        raise _unreadable(path) from None


def read_blocks(sound: SoundFile, *, channel: int, start: int = 0, stop: int | None = None) -> Iterator[Block]:
    """Yield the file block by block, in bounded memory.

    Parameters
    ----------
    sound : SoundFile
    channel : int
        From 0.
    start, stop : int
        First and one-past-last frame.

    Raises
    ------
    BadInputError
        If the file breaks off: it holds fewer samples than it says.
    """
    if sound.telephone:
        yield from _telephone_blocks(sound, channel, start, stop)
        return
    for at, data in _pieces(sound, start, stop):
        column = np.ascontiguousarray(data[:, channel])
        yield Block(_finite(column), sound.sample_rate_hz, at, channel)


def read_channels(sound: SoundFile) -> Iterator[Samples]:
    """Yield the file piece by piece with all its channels, each of shape (channels, n), in bounded memory.

    Raises
    ------
    BadInputError
        If the file breaks off: it holds fewer samples than it says.
    """
    if sound.telephone:
        yield from track_samples(sound.path)
        return
    for _, data in _pieces(sound, 0, None):
        yield _finite(data.T)


def _pieces(sound: SoundFile, start: int, stop: int | None) -> Iterator[tuple[int, Samples]]:
    """Yield each piece, of shape (n, channels), with the frame it begins at."""
    stop = sound.frames if stop is None else min(stop, sound.frames)
    with _open(sound.path) as file:
        _seek(file, min(start, sound.frames), sound)
        at = start
        while at < stop:
            data = _read(file, min(BLOCK_FRAMES, stop - at), sound, at)
            if data.shape[0] == 0:
                raise _broken_off(sound, at)
            yield at, data
            at += data.shape[0]


def _seek(file: soundfile.SoundFile, frame: int, sound: SoundFile) -> None:
    try:
        file.seek(frame)
    except soundfile.LibsndfileError:
        raise _broken_off(sound, frame) from None


def _telephone_blocks(sound: SoundFile, channel: int, start: int, stop: int | None) -> Iterator[Block]:
    at = 0
    for piece in track_samples(sound.path):
        column = piece[channel]
        first, last = max(0, start - at), column.size if stop is None else min(column.size, stop - at)
        if first < last:
            samples = np.ascontiguousarray(column[first:last])
            yield Block(_finite(samples), sound.sample_rate_hz, at + first, channel)
        at += column.size
        if stop is not None and at >= stop:
            return


def _read(file: soundfile.SoundFile, frames: int, sound: SoundFile, at: int) -> Samples:
    try:
        data: Samples = file.read(frames, dtype="float32", always_2d=True)
    except soundfile.LibsndfileError:
        what = f"the file is damaged after {at / sound.sample_rate_hz:.2f} s"
        raise bad_input(sound.path.name, what, "record again, or cut the file there") from None
    return data


def _broken_off(sound: SoundFile, at: int) -> Exception:
    said, there = sound.duration_s, at / sound.sample_rate_hz
    what = f"the file breaks off at {there:.2f} s of {said:.2f} s"
    return bad_input(sound.path.name, what, "copy or record it again")


def _finite(samples: Samples) -> Samples:
    return samples if np.isfinite(samples.sum()) else np.nan_to_num(samples, nan=0.0, posinf=1.0, neginf=-1.0)
