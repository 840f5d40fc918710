"""Recordings that unfold to far more than they are: refused at once, with what to do."""

import struct
import wave
from pathlib import Path

import av
import numpy as np
import pytest
import soundfile

from asfound.capture.bounds import LONGEST_S, MOST_FRAME_PIXELS, check_picture, check_sound
from asfound.capture.recording import read_recording
from asfound.capture.sound import inspect_sound
from asfound.problems import BadInputError

RATE = 8_000


def flac_of(path: Path, seconds: float) -> Path:
    """Write silence, which FLAC packs into almost nothing."""
    with soundfile.SoundFile(path, "w", samplerate=RATE, channels=1, subtype="PCM_16", format="FLAC") as file:
        block = np.zeros(RATE * 60, dtype=np.int16)
        for _ in range(round(seconds / 60)):
            file.write(block)
    return path


@pytest.mark.parametrize("read", [inspect_sound, read_recording])
def test_a_small_flac_of_a_long_silence_is_refused_before_it_is_unfolded(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, read: object
) -> None:
    path = flac_of(tmp_path / "night.flac", LONGEST_S + 120)
    assert path.stat().st_size < 1_000_000
    assert callable(read)
    monkeypatch.setattr(soundfile.SoundFile, "read", lambda *_, **__: pytest.fail("it was unfolded"))
    with pytest.raises(BadInputError, match=r"night\.flac: it unfolds to more than 6 hours of sound; cut out"):
        read(path)


def test_a_flac_that_only_says_it_is_long_is_refused(tmp_path: Path) -> None:
    path = flac_of(tmp_path / "liar.flac", 60)
    content = bytearray(path.read_bytes())
    # STREAMINFO: the last 36 bits before the MD5 are the number of samples (RFC 9639, section 8.2, from memory).
    at = 4 + 4 + 13
    content[at] = (content[at] & 0xF0) | 0x0F
    content[at + 1 : at + 5] = struct.pack(">I", 0xFFFF_FFF0)
    path.write_bytes(content)
    assert soundfile.info(path).frames > 60e9
    with pytest.raises(BadInputError, match="more than 6 hours"):
        inspect_sound(path)


def test_six_hours_are_taken() -> None:
    check_sound("a", frames=round(LONGEST_S * RATE), sample_rate_hz=RATE, channels=2)
    with pytest.raises(BadInputError, match="6 hours"):
        check_sound("a", frames=round(LONGEST_S * RATE) + 1, sample_rate_hz=RATE, channels=2)


def test_a_file_of_a_thousand_channels_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "many.wav"
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1000)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(bytes(2000 * 100))
    with pytest.raises(BadInputError, match=r"1000 channels|cannot be read|can be read"):
        inspect_sound(path)


def test_a_track_whose_head_says_less_than_it_holds_is_counted_while_it_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from asfound.capture import bounds
    from asfound.capture.telephone import track_samples

    path = tmp_path / "voice.m4a"
    with av.open(str(path), "w") as container:
        stream = container.add_stream("aac", rate=48_000)
        frame = av.AudioFrame.from_ndarray(np.zeros((1, 96_000), dtype=np.float32), format="fltp", layout="mono")
        frame.sample_rate = 48_000
        for packet in (*stream.encode(frame), *stream.encode(None)):
            container.mux(packet)
    assert sum(piece.shape[1] for piece in track_samples(path)) >= 96_000
    monkeypatch.setattr(bounds, "LONGEST_S", 1.0)
    with pytest.raises(BadInputError, match=r"voice\.m4a: it unfolds to more than"):
        list(track_samples(path))


def test_a_video_of_frames_like_a_wall_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from asfound.capture import bounds
    from asfound.capture.video import read_brightness

    path = tmp_path / "wall.mp4"
    with av.open(str(path), "w") as container:
        stream = container.add_stream("mpeg4", rate=30)
        stream.width, stream.height, stream.pix_fmt = 320, 240, "yuv420p"
        for _ in range(8):
            frame = av.VideoFrame.from_ndarray(np.zeros((240, 320, 3), dtype=np.uint8), format="rgb24")
            for packet in stream.encode(frame):
                container.mux(packet)
        for packet in stream.encode(None):
            container.mux(packet)
    assert read_brightness(path).light.size == 8
    monkeypatch.setattr(bounds, "MOST_FRAME_PIXELS", 50_000)
    with pytest.raises(BadInputError, match="its frames are 320 by 240 pixels"):
        read_brightness(path)


def test_8k_is_taken() -> None:
    # 7680 x 4320: ITU-R BT.2020, from memory.
    check_picture("a", width=7680, height=4320)
    with pytest.raises(BadInputError, match="record or save it smaller"):
        check_picture("a", width=MOST_FRAME_PIXELS, height=2)
