"""A live session as a sound file: the samples come back, and with them what was told while firing."""

from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import given
from hypothesis import strategies as st

from asfound.capture import read_recording
from asfound.capture.live_file import (
    Gap,
    LiveTold,
    ToldShot,
    in_thousands,
    read_told,
    step_of,
    without_gaps,
    write_live,
)
from asfound.shutter import Firing, Flag, SoundInput, exposure_lasting, simulate

TOLD = LiveTold(
    session="ab" * 16,
    marks=("1/25", "1/50"),
    shots=(ToldShot(0.3, "1/25", False), ToldShot(1.4, None, True)),
    gaps=(Gap(1000, 20, 20), Gap(5000, 0, None)),
)


def test_what_was_told_comes_back(tmp_path: Path) -> None:
    path = tmp_path / "live.flac"
    write_live(path, [np.zeros(100, np.float32)], sample_rate_hz=44_100, step=2.0**-15, told=TOLD)
    assert read_told(path) == TOLD


@pytest.mark.parametrize("comment", [None, "by hand", '{"asfound live": 2}', '{"asfound live": 1}', "[]"])
def test_any_other_file_tells_nothing(tmp_path: Path, comment: str | None) -> None:
    path = tmp_path / "other.flac"
    with soundfile.SoundFile(path, "w", 48_000, 1, subtype="PCM_16", format="FLAC") as file:
        if comment:
            file.comment = comment
        file.write(np.zeros(10))
    assert read_told(path) is None
    assert read_told(tmp_path / "missing.flac") is None


def test_samples_of_16_bits_come_back_exactly(tmp_path: Path) -> None:
    steps = np.random.default_rng(1).integers(-32768, 32767, 5000)
    samples = (steps / 32768).astype(np.float32)
    assert step_of(samples) == 2.0**-15
    path = tmp_path / "live.flac"
    write_live(path, np.split(samples, 7 * [0] + [100, 3000]), sample_rate_hz=48_000, step=2.0**-15, told=TOLD)
    back, _ = soundfile.read(path, dtype="int16")
    assert np.array_equal(back, steps)


def test_finer_samples_come_back_to_24_bits(tmp_path: Path) -> None:
    samples = np.random.default_rng(2).uniform(-1, 1, 5000).astype(np.float32)
    assert step_of(samples) == 2.0**-23
    path = tmp_path / "live.flac"
    write_live(path, [samples], sample_rate_hz=48_000, step=2.0**-23, told=TOLD)
    back, _ = soundfile.read(path, dtype="float64")
    assert np.abs(back - samples).max() <= 2.0**-23


@given(st.lists(st.integers(0, 50), max_size=20), st.integers(1, 120))
def test_longer_pieces_hold_the_same_samples(sizes, least):
    samples = np.arange(sum(sizes), dtype=np.float32)
    pieces = np.split(samples, np.cumsum(sizes)[:-1]) if sizes else []
    longer = list(in_thousands(pieces, least))
    assert np.array_equal(np.concatenate([*longer, np.empty(0, np.float32)]), samples)
    assert all(piece.size >= least for piece in longer[:-1])


def looked_at(start, stop):
    return Firing(start_s=0.1, effective_s=0.02, u_effective_s=1e-5, start_index=start, stop_index=stop)


@pytest.mark.parametrize(
    ("start", "stop", "gap", "touched"),
    [
        (100, 200, Gap(300, 5, 5), False),
        (100, 200, Gap(150, 0, None), True),
        (100, 200, Gap(50, 100, 4000), True),
        (100, 200, Gap(20, 30, 30), False),
        (100, 200, Gap(200, 0, None), True),
    ],
)
def test_a_firing_across_a_gap_has_no_time_and_says_why(start, stop, gap, touched):
    (firing,) = without_gaps([looked_at(start, stop)], [gap])
    assert (firing.effective_s is None) == touched
    assert (Flag.GAP in firing.flags) == touched


def test_a_recording_with_a_gap_in_a_firing_measures_the_others(tmp_path: Path) -> None:
    samples, truths = simulate(
        [exposure_lasting(t) for t in (0.04, 0.02, 0.01)], SoundInput(sample_rate_hz=48_000, noise_rms=0.001)
    )
    hole = round((truths[1].start_s + 0.005) * 48_000)
    samples = np.array(samples)
    samples[hole : hole + 300] = samples[hole]
    told = LiveTold(session="cd" * 16, marks=("1/25",), shots=(), gaps=(Gap(hole, 300, 300),))
    path = tmp_path / "live.flac"
    write_live(path, [samples], sample_rate_hz=48_000, step=step_of(samples), told=told)
    found = read_recording(path, kind="light")
    times = [firing.effective_s for firing in found.firings]
    assert times[1] is None
    for place in (0, 2):
        assert times[place] == pytest.approx(truths[place].effective_s, rel=1e-3)
    assert any("lost on the way once" in note for note in found.notes)
