"""How fast a recording is scanned, what a firing costs, and how soon after the light a time is there."""

import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import soundfile
from benchmarks._table import Figure

from asfound.capture import read_recording
from asfound.shutter import Block, LightListener, SoundInput, exposure_lasting, simulate

RATE = 48_000
MINUTES = 10


def run() -> dict[str, float]:
    """Return times in seconds of processor, and how many times faster than it plays a recording is read."""
    shots = [exposure_lasting(t, opening_s=1e-3, closing_s=1e-3) for t in (1 / 2, 1 / 10, 1 / 50, 1 / 250)] * 5
    samples, _ = simulate(shots, SoundInput(noise_rms=0.005, coupling_hz=(5.0,)))
    with tempfile.TemporaryDirectory() as folder:
        quiet, fired = Path(folder) / "quiet.wav", Path(folder) / "fired.wav"
        noise = np.random.default_rng(0).normal(0, 0.005, RATE * 60 * MINUTES).astype(np.float32)
        soundfile.write(quiet, np.concatenate([samples[: RATE + RATE // 2], noise]), RATE)
        soundfile.write(fired, samples, RATE)
        read_recording(fired, kind="light")
        scanning, firing = _spent(quiet), _spent(fired)
        decoding = _decoded(quiet)
        resident = {minutes: _resident(Path(folder), minutes) for minutes in (1, 120)}
    played = MINUTES * 60.0
    return {
        "times_faster_than_it_plays": played / scanning,
        "times_plain_decoding": scanning / decoding,
        "mib_one_minute": resident[1],
        "mib_two_hours": resident[120],
        "ms_a_firing": 1e3 * (firing - samples.size / RATE * scanning / played) / len(shots),
        **latency(),
    }


def _spent(path: Path) -> float:
    begin = time.process_time()
    read_recording(path, kind="light")
    return time.process_time() - begin


def _decoded(path: Path) -> float:
    """Return the seconds of processor that reading the samples alone takes, block by block."""
    begin = time.process_time()
    for _ in soundfile.blocks(path, blocksize=1 << 16, dtype="float32"):
        pass
    return time.process_time() - begin


def _resident(folder: Path, minutes: int) -> float:
    """Return the most memory in MiB that a process of its own has while it reads a recording so long."""
    shot, _ = simulate([exposure_lasting(1 / 50)], SoundInput(noise_rms=0.005, coupling_hz=(5.0,)))
    quiet = np.random.default_rng(0).normal(0, 0.005, RATE * 60).astype(np.float32)
    path = folder / f"{minutes} minutes.wav"
    with soundfile.SoundFile(path, "w", RATE, 1, "PCM_16") as file:
        for _ in range(minutes):
            file.write(np.concatenate([shot, quiet[shot.size :]]))
    told = subprocess.run([sys.executable, "-c", _READ, path], capture_output=True, text=True, check=True).stdout
    path.unlink()
    return int(told) / 1024


_READ = """
import re, sys
from pathlib import Path
from asfound.capture import read_recording
read_recording(sys.argv[1], kind="light")
print(re.search(r"VmHWM:\\s+(\\d+)", Path("/proc/self/status").read_text())[1])
"""


def latency() -> dict[str, float]:
    """Return how long after the end of the light a provisional and the final time come, in milliseconds."""
    samples, (truth,) = simulate([exposure_lasting(1 / 30)], SoundInput(noise_rms=0.005, coupling_hz=(5.0,)))
    listener = LightListener(sample_rate_hz=float(RATE))
    ends = truth.start_s + truth.total_open_s
    soon = final = 0.0
    for at in range(0, samples.size, 2048):
        begin = time.perf_counter()
        done = listener.feed(Block(samples[at : at + 2048], float(RATE), at))
        early = None if done or soon else listener.provisional()
        now = (at + 2048) / RATE + time.perf_counter() - begin
        soon = now if early else soon
        if done:
            final = now
            break
    return {"provisional_ms": 1e3 * (soon - ends), "final_ms": 1e3 * (final - ends)}


LIMITS = {
    "times_faster_than_it_plays": ("a recording is analysed", "times faster than it plays", ">= 500"),
    "times_plain_decoding": ("analysis against decoding alone", "times its processor time", ""),
    "ms_a_firing": ("a firing measured", "ms", "<= 30"),
    "provisional_ms": ("first number after the light's end", "ms", "<= 100"),
    "final_ms": ("final number after the light's end", "ms", "<= 600"),
    "mib_one_minute": ("memory for a recording of a minute", "MiB", ""),
    "mib_two_hours": ("memory for a recording of two hours", "MiB", ""),
}


def main(brief: bool = False) -> Sequence[Figure]:
    """Print one line a measure."""
    figures = []
    for name, value in run().items():
        what, unit, bound = LIMITS[name]
        met = None if not bound else value >= 500 if bound.startswith(">") else value <= float(bound.split()[1])
        figures.append(Figure(what, f"{value:.3g} {unit}", bound, met))
        print(f"{what:40} {value:9.1f} {unit}  {bound}")
    return figures


if __name__ == "__main__":
    main()
