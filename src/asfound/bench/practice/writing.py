"""Writes the practice job as the bench would: line by line, drawing by drawing, recording by recording."""

import io
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from uuid import UUID

import numpy as np
import soundfile

from asfound.bench.jobs import load_job
from asfound.bench.line import write_line
from asfound.bench.marking import tick
from asfound.bench.photographs import add_photo
from asfound.bench.practice import scenario
from asfound.bench.recordings import keep_recording, write_dial
from asfound.bench.shutter import DialAsked, make_dial
from asfound.book import Book
from asfound.capture import read_recording
from asfound.job import Job, key
from asfound.problems import Problem, StorageError
from asfound.shutter import SoundInput, exposure_lasting, read_marked, simulate

SHOTS = 3
SCATTER_STOPS = 0.03
SAMPLE_RATE_HZ = 48_000


def write_practice_job(book: Book) -> Job:
    """Write the practice job under the next ticket and return it: apart, worked on, half way back."""
    job_id = book.open_job(scenario.CAMERA, complaint=scenario.COMPLAINT)[0].job
    from asfound.bench.practice.drawings import drawings  # only here: it brings the drawing library

    pictures = drawings()
    for items in (scenario.BEFORE, scenario.TAKING_APART, scenario.WORK):
        _write(book, job_id, items, pictures)
    for parts, then in (
        (scenario.GOING_BACK, scenario.AFTER_STRUTS),
        (scenario.HELICAL_BACK, scenario.AFTER_HELICAL),
        (scenario.SHUTTER_BACK, scenario.AFTER_SHUTTER),
    ):
        _put_back(book, job_id, parts)
        _write(book, job_id, then, pictures)
    return load_job(book, job_id)


def write_recordings(folder: Path) -> tuple[Path, ...]:
    """Write the practice job's recordings into a folder, to measure or upload by hand; return their paths.

    Raises
    ------
    StorageError
        If the folder refuses.
    """
    items = (*scenario.BEFORE, *scenario.AFTER_SHUTTER)
    paths = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for firings in (item for item in items if isinstance(item, scenario.Firings)):
            path = folder / f"{firings.stage.replace(' ', '-')}.flac"
            path.write_bytes(firings_recording(firings.errors_stops, seed=firings.seed))
            paths.append(path)
    except OSError as error:
        problem = Problem(str(folder), f"cannot be written ({error.strerror})", "choose another folder")
        raise StorageError(problem) from None
    return tuple(paths)


def firings_recording(errors_stops: Sequence[float], *, seed: int) -> bytes:
    """Return a simulated recording (FLAC) of three shots at each marked speed, so many stops off."""
    generator = np.random.default_rng(seed)
    speeds, _ = read_marked(",".join(scenario.CAMERA.marked_speeds))
    shots = [
        exposure_lasting(
            speed.nominal_s * 2 ** (error + generator.normal(0, SCATTER_STOPS)), opening_s=8e-4, closing_s=9e-4
        )
        for speed, error in zip(speeds, errors_stops, strict=True)
        for _ in range(SHOTS)
    ]
    line = SoundInput(sample_rate_hz=SAMPLE_RATE_HZ, level=0.5, noise_rms=0.002)
    samples, _ = simulate(shots, line, gap_s=0.7, seed=seed)
    sound = io.BytesIO()
    soundfile.write(sound, samples, SAMPLE_RATE_HZ, format="FLAC", subtype="PCM_16")
    return sound.getvalue()


def _write(book: Book, job_id: UUID, items: Sequence[scenario.Item], pictures: dict[str, bytes]) -> None:
    for item in items:
        if isinstance(item, scenario.Drawing):
            picture = io.BytesIO(pictures[item.name])
            add_photo(book, job_id, picture, f"{item.name}.png", caption=item.caption)
        elif isinstance(item, scenario.Firings):
            _write_firings(book, job_id, item)
        else:
            write_line(book, job_id, item)


def _write_firings(book: Book, job_id: UUID, firings: scenario.Firings) -> None:
    sound = firings_recording(firings.errors_stops, seed=firings.seed)
    name = f"firings {firings.stage}.flac"
    caption = f"three shots at each speed, {firings.stage}, simulated"
    kept = keep_recording(book, job_id, io.BytesIO(sound), name, stage=firings.stage, caption=caption)
    with TemporaryDirectory() as folder:
        path = Path(folder) / name
        path.write_bytes(sound)
        measured = read_recording(path)
    asked = DialAsked(marked=",".join(scenario.CAMERA.marked_speeds), shots=SHOTS)
    dial = make_dial(measured.firings, asked).dial
    write_dial(book, job_id, dial, recording=kept.id, stage=firings.stage)


def _put_back(book: Book, job_id: UUID, parts: Sequence[str]) -> None:
    steps = {key(step.part): step.id for step in load_job(book, job_id).steps}
    for part in parts:
        tick(book, job_id, steps[key(part)], done=True)
