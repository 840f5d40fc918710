"""How fast a recording is scanned, what a firing costs, and how soon after the light a time is there."""

import tempfile
import time
from pathlib import Path

import numpy as np
import soundfile

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
    played = MINUTES * 60.0
    return {
        "times_faster_than_it_plays": played / scanning,
        "ms_a_firing": 1e3 * (firing - samples.size / RATE * scanning / played) / len(shots),
        **latency(),
    }


def _spent(path: Path) -> float:
    begin = time.process_time()
    read_recording(path, kind="light")
    return time.process_time() - begin


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


def main() -> None:
    """Print one line a measure."""
    limits = {
        "times_faster_than_it_plays": "at least 500",
        "ms_a_firing": "at most 30",
        "provisional_ms": "at most 100",
        "final_ms": "at most 600",
    }
    for name, value in run().items():
        print(f"{name:28} {value:9.1f}  ({limits[name]})")


if __name__ == "__main__":
    main()
