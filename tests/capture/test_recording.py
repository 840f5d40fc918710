"""Recordings from files: every width and rate, and every kind of bad file."""

import itertools
import tracemalloc

import numpy as np
import pytest
import soundfile

from asfound.capture import CancelledError, read_recording, trace_envelope
from asfound.problems import BadInputError
from asfound.shutter import Flag, SoundInput, exposure_lasting, simulate


def write(path, rate=48_000, subtype="PCM_16", noise=0.002, copies=1, level=0.5):
    shots = [exposure_lasting(t) for t in (1 / 10, 1 / 100)]
    line = SoundInput(sample_rate_hz=float(rate), noise_rms=noise, level=level)
    samples, truths = simulate(shots, line, gap_s=0.4)
    data = np.stack([samples] * copies, axis=1) if copies > 1 else samples
    soundfile.write(path, data, rate, subtype=subtype)
    return truths


@pytest.mark.parametrize("subtype", ["PCM_U8", "PCM_16", "PCM_24", "PCM_32", "FLOAT", "DOUBLE"])
@pytest.mark.parametrize("rate", [22_050, 48_000, 192_000])
def test_every_width_and_rate_is_read(tmp_path, subtype, rate):
    truths = write(tmp_path / "a.wav", rate, subtype)
    found = read_recording(tmp_path / "a.wav")
    assert found.sample_rate_hz == rate
    for firing, truth in zip(found.firings, truths, strict=True):
        assert firing.effective_s == pytest.approx(truth.effective_s, rel=0.005)


def test_flac_is_read(tmp_path):
    truths = write(tmp_path / "a.flac", subtype="PCM_24")
    found = read_recording(tmp_path / "a.flac")
    assert [f.effective_s for f in found.firings] == pytest.approx([t.effective_s for t in truths], rel=0.005)


def test_of_two_channels_the_one_that_swings_is_read_and_said(tmp_path):
    write(tmp_path / "a.wav")
    samples, rate = soundfile.read(tmp_path / "a.wav", dtype="float32")
    soundfile.write(tmp_path / "b.wav", np.stack([samples * 0.01, samples], axis=1), rate)
    found = read_recording(tmp_path / "b.wav")
    assert found.channel == 1
    assert "Channel 2 of 2 was read: it has the greatest swing." in found.notes
    assert len(found.firings) == 2


def test_a_channel_that_is_not_there_is_refused(tmp_path):
    write(tmp_path / "a.wav")
    with pytest.raises(BadInputError, match="channel 3 is asked for, the file has 1"):
        read_recording(tmp_path / "a.wav", channel=2)


def bad_files(folder):
    (folder / "empty.wav").write_bytes(b"")
    (folder / "text.wav").write_text("these are notes about a shutter\n" * 20)
    soundfile.write(folder / "none.wav", np.zeros(0), 48_000)
    noise = np.random.default_rng(0).normal(0, 0.003, 96_000)
    soundfile.write(folder / "silent.wav", noise, 48_000)
    write(folder / "whole.flac", subtype="PCM_16")
    data = (folder / "whole.flac").read_bytes()
    (folder / "cut.flac").write_bytes(data[: len(data) // 2])
    write(folder / "both.flac", copies=2)
    data = (folder / "both.flac").read_bytes()
    (folder / "both cut.flac").write_bytes(data[: len(data) // 2])
    (folder / "head.wav").write_bytes(b"RIFF\x24\x00")


@pytest.mark.parametrize(
    ("name", "what"),
    [
        ("missing.wav", "no such file"),
        ("empty.wav", "the file is empty"),
        ("text.wav", "not a sound recording"),
        ("none.wav", "holds no samples"),
        ("silent.wav", "no firing was found"),
        ("cut.flac", "breaks off|damaged"),
        ("both cut.flac", "breaks off|damaged"),
        ("head.wav", "not a sound recording"),
    ],
)
def test_a_bad_file_gives_one_clear_line(tmp_path, name, what):
    bad_files(tmp_path)
    with pytest.raises(BadInputError, match=what) as caught:
        read_recording(tmp_path / name)
    assert len(str(caught.value).splitlines()) == 1


def test_a_wav_cut_short_is_said_to_break_off(tmp_path):
    write(tmp_path / "a.wav")
    data = (tmp_path / "a.wav").read_bytes()
    (tmp_path / "b.wav").write_bytes(data[: len(data) * 2 // 3])
    with pytest.raises(BadInputError, match="breaks off"):
        read_recording(tmp_path / "b.wav")


def test_all_clipped_is_flagged(tmp_path):
    write(tmp_path / "a.wav", level=3.0)
    assert all(Flag.CLIPPED in firing.flags for firing in read_recording(tmp_path / "a.wav").firings)


def test_progress_runs_to_one_and_cancelling_stops(tmp_path):
    write(tmp_path / "a.wav")
    seen = []
    read_recording(tmp_path / "a.wav", progress=seen.append)
    assert seen == sorted(seen)
    assert seen[-1] == 1
    with pytest.raises(CancelledError):
        read_recording(tmp_path / "a.wav", cancelled=lambda: True)


def test_a_long_file_needs_no_more_memory_than_a_short_one(tmp_path):
    def peak(seconds):
        path = tmp_path / f"{seconds}.wav"
        samples, _ = simulate([exposure_lasting(0.1)], SoundInput(noise_rms=0.002, sample_rate_hz=8_000.0))
        quiet = np.random.default_rng(0).normal(0, 0.002, 8_000 * seconds).astype(np.float32)
        soundfile.write(path, np.concatenate([samples, quiet, samples]), 8_000)
        tracemalloc.start()
        assert len(read_recording(path).firings) == 2
        top = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        return top

    assert peak(300) < peak(30) + 1_000_000


def test_the_outline_holds_every_sample_between_its_extremes(tmp_path):
    write(tmp_path / "a.wav")
    samples, rate = soundfile.read(tmp_path / "a.wav", dtype="float32")
    time, least, greatest = trace_envelope(tmp_path / "a.wav", 0.25, 0.75, 300)
    assert time.size == 300
    first, stop = round(0.25 * rate), round(0.75 * rate)
    assert least.min() == samples[first:stop].min()
    assert greatest.max() == samples[first:stop].max()
    cuts = first + np.arange(301) * (stop - first) // 300
    assert [samples[a:b].max() for a, b in itertools.pairwise(cuts)] == list(greatest)


def test_a_close_look_gives_one_column_to_a_sample(tmp_path):
    write(tmp_path / "a.wav")
    samples, rate = soundfile.read(tmp_path / "a.wav", dtype="float32")
    time, least, greatest = trace_envelope(tmp_path / "a.wav", 0.3, 0.3 + 49.5 / rate, 800)
    assert time.size == 50
    assert np.array_equal(least, greatest)
    assert np.array_equal(least, samples[14_400:14_450])


def test_a_stretch_outside_the_recording_is_refused(tmp_path):
    write(tmp_path / "a.wav")
    with pytest.raises(BadInputError, match="nothing lies between"):
        trace_envelope(tmp_path / "a.wav", 50, 60, 100)
