"""Recordings as telephones make them, encoded by an independent program from known samples."""

import shutil
import subprocess

import numpy as np
import pytest
import soundfile

from asfound.capture import Region, frame_strip, read_brightness, read_recording
from asfound.problems import BadInputError
from asfound.shutter import Flag, SoundInput, exposure_lasting, simulate
from asfound.shutter.simulated.sound import simulate_clicks

ENCODER = shutil.which("ffmpeg")
pytestmark = pytest.mark.skipif(ENCODER is None, reason="Debian's ffmpeg is not here")


def encode(*arguments, data=None):
    command = [ENCODER, "-v", "error", "-y", *(str(argument) for argument in arguments)]
    subprocess.run(command, input=data, check=True)


@pytest.fixture(scope="module")
def clicks(tmp_path_factory):
    folder = tmp_path_factory.mktemp("clicks")
    intervals = [0.50237, 0.20057, 0.10071]
    samples, _ = simulate_clicks(intervals, sample_rate_hz=48_000.0, noise_db=30.0)
    soundfile.write(folder / "a.wav", samples, 48_000)
    return folder, intervals


@pytest.mark.parametrize(
    ("name", "codec"),
    [
        ("a.m4a", ["-c:a", "aac", "-b:a", "192k"]),
        ("a.opus", ["-c:a", "libopus"]),
        ("a.webm", ["-c:a", "libopus"]),
        ("a.mp3", ["-b:a", "192k"]),
    ],
)
def test_clicks_survive_a_telephones_coding(clicks, name, codec):
    folder, intervals = clicks
    encode("-i", folder / "a.wav", *codec, folder / name)
    found = read_recording(folder / name)
    assert found.kind == "sound"
    assert [f.open_s for f in found.firings] == pytest.approx(intervals, rel=0.01)
    assert all(Flag.LOSSY_AUDIO in f.flags for f in found.firings)


def test_a_wav_of_clicks_is_taken_for_sound_and_that_is_said(clicks):
    folder, _ = clicks
    found = read_recording(folder / "a.wav")
    assert found.kind == "sound"
    assert any("Taken for sound" in note for note in found.notes)


def test_light_in_lossy_coding_is_flagged(tmp_path):
    samples, truths = simulate([exposure_lasting(t) for t in (0.2, 0.05)], SoundInput(noise_rms=0.002))
    soundfile.write(tmp_path / "a.wav", samples, 48_000)
    encode("-i", tmp_path / "a.wav", "-c:a", "aac", "-b:a", "192k", tmp_path / "a.m4a")
    found = read_recording(tmp_path / "a.m4a", kind="light")
    assert len(found.firings) == len(truths)
    assert all(Flag.LOSSY_AUDIO in f.flags for f in found.firings)


@pytest.mark.parametrize(
    "codec", [["-c:a", "pcm_s24le", "x.wav"], ["-c:a", "flac", "x.flac"], ["-c:a", "pcm_f32le", "x.wav"]]
)
def test_lossless_files_of_another_program_give_the_same_times(tmp_path, codec):
    samples, truths = simulate([exposure_lasting(t) for t in (0.2, 0.01)], SoundInput(noise_rms=0.005))
    raw = samples.astype("<f4").tobytes()
    encode("-f", "f32le", "-ar", 48_000, "-ac", 1, "-i", "-", *codec[:2], tmp_path / codec[2], data=raw)
    found = read_recording(tmp_path / codec[2])
    for firing, truth in zip(found.firings, truths, strict=True):
        assert firing.effective_s == pytest.approx(truth.effective_s, rel=0.005)
        assert Flag.LOSSY_AUDIO not in firing.flags


def film(path, rate, openings, *, extra=(), length=3.0, size=(96, 64)):
    """Encode a dark picture with a bright disc while the shutter is open; each frame sees its whole interval."""
    width, height = size
    y, x = np.mgrid[:height, :width]
    disc = np.hypot(x - 60, y - 30) < 14
    frames = []
    for i in range(round(length * rate)):
        begin, end = i / rate, (i + 1) / rate
        share = sum(max(0.0, min(end, b) - max(begin, a)) for a, b in openings) * rate
        grey = np.full((height, width), 24.0)
        # Light to luma by the tone curve that a camera applies.
        grey[disc] = 16 + 200 * max(share, 0.002) ** (1 / 2.2)
        frames.append(grey.astype(np.uint8).tobytes())
    source = ("-f", "rawvideo", "-pix_fmt", "gray", "-s", f"{width}x{height}", "-r", rate, "-i", "-")
    encode(*source, "-c:v", "libx264", "-crf", "12", "-pix_fmt", "yuv420p", *extra, path, data=b"".join(frames))


@pytest.mark.parametrize("rate", [30, 240])
def test_a_video_gives_slow_times_within_its_uncertainty(tmp_path, rate):
    film(tmp_path / "a.mp4", rate, [(0.5131, 1.0233), (1.6071, 1.8093)])
    found = read_recording(tmp_path / "a.mp4")
    assert found.kind == "video"
    assert found.sample_rate_hz == pytest.approx(rate, rel=0.01)
    for firing, true in zip(found.firings, (0.5102, 0.2022), strict=True):
        assert abs(firing.effective_s - true) < 2 * firing.u_effective_s
        assert firing.u_effective_s < 0.5 / rate


def test_what_the_frames_cannot_settle_is_refused(tmp_path):
    film(tmp_path / "a.mp4", 30, [(0.5131, 0.5231), (1.6071, 1.8093)])
    fast, slow = read_recording(tmp_path / "a.mp4").firings
    assert fast.effective_s is None
    assert Flag.TOO_FAST_FOR_FRAMES in fast.flags
    assert slow.effective_s is not None


def test_slow_motion_is_timed_anew_by_its_factor(tmp_path):
    film(tmp_path / "a.mp4", 30, [(0.5131, 1.0233)])
    (firing,) = read_recording(tmp_path / "a.mp4", slow_motion=8).firings
    assert firing.effective_s == pytest.approx(0.5102 / 8, abs=2 * firing.u_effective_s)


def test_a_region_can_be_found_or_given(tmp_path):
    film(tmp_path / "a.mp4", 60, [(0.5131, 1.0233)])
    seen = read_brightness(tmp_path / "a.mp4")
    assert 0.4 < seen.region.left < seen.region.right < 0.85
    given = read_brightness(tmp_path / "a.mp4", region=Region(0.5, 0.3, 0.75, 0.6))
    assert np.corrcoef(seen.light, given.light)[0, 1] > 0.98
    with pytest.raises(BadInputError, match="no firing"):
        read_recording(tmp_path / "a.mp4", region=Region(0.0, 0.8, 0.2, 1.0))


def test_a_strip_of_frames_shows_the_blades(tmp_path):
    film(tmp_path / "a.mp4", 30, [(0.5131, 1.0233)])
    shut, opened, again = frame_strip(tmp_path / "a.mp4", [0.2, 0.8, 1.5])
    assert opened[30, 60] > 150 > shut[30, 60]
    assert abs(int(again[30, 60]) - int(shut[30, 60])) < 20


def test_a_text_file_named_as_a_video_is_refused_in_one_line(tmp_path):
    (tmp_path / "a.mp4").write_text("these are notes about a shutter\n" * 20)
    with pytest.raises(BadInputError) as caught:
        read_recording(tmp_path / "a.mp4")
    assert len(str(caught.value).splitlines()) == 1
