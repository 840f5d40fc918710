"""Smaller apertures and the flash contact, from recordings of light."""

import re
import time
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

from asfound.job.bodies import Note
from asfound.shutter import SoundInput, exposure_lasting, simulate
from asfound.web.shutter.how import FIELDS

NOT_SAID = {one.name: "" for one in FIELDS}
OPENING_S, CLOSING_S, EFFECTIVE_S = 2e-3, 2e-3, 1 / 100


def field(page: str, name: str) -> str:
    return next(part for part in re.split(r'<(?:label|fieldset) class="field', page) if f'name="{name}"' in part)


def settled(bench: Any, address: str) -> str:
    """Return the page once the measuring is done."""
    for _ in range(600):
        page: str = bench.get(address).text
        if "Stop measuring" not in page:
            return page
        time.sleep(0.05)
    raise TimeoutError


def keep(bench: Any, job_path: str, path: Path) -> str:
    """Keep a recording; return the page's name for it and leave it measured."""
    files = {"file": (path.name, path.read_bytes(), "audio/wav")}
    answer = bench.post(f"{job_path}/recordings", files=files, stage="working")
    settled(bench, answer.headers["location"])
    return str(answer.headers["location"].split("recording=")[1])


def name_of(bench: Any, job_path: str, path: str, file_name: str) -> str:
    found = re.search(rf'value="(entry \d+, {file_name})"', bench.get(f"{job_path}/shutter/{path}").text)
    assert found is not None
    return found[1]


@pytest.fixture
def shot(tmp_path: Path) -> Path:
    """Give a recording of one firing: area growing linearly in 2 ms and shrinking as linearly, 10 ms effective."""
    exposure = exposure_lasting(EFFECTIVE_S, opening_s=OPENING_S, closing_s=CLOSING_S)
    samples, _ = simulate([exposure], SoundInput(level=0.5, noise_rms=1e-3), seed=3)
    path = tmp_path / "wide open.wav"
    soundfile.write(path, np.asarray(samples), 48_000, subtype="PCM_24")
    return path


@pytest.fixture
def contact(tmp_path: Path) -> Path:
    """Give light and contact on two channels: closing half a millisecond after full opening, and one before it."""
    shots = [exposure_lasting(t, opening_s=2e-3, closing_s=2e-3) for t in (1 / 30, 1 / 60)]
    light, truths = simulate(shots, SoundInput(noise_rms=0.003))
    at = np.arange(light.size) / 48_000
    closed = np.random.default_rng(1).normal(0, 0.002, light.size)
    for truth, after in zip(truths, (2.5e-3, 1.0e-3), strict=True):
        begin = truth.start_s + after
        closed += 0.5 * ((at >= begin) & (at < begin + 8e-3))
    path = tmp_path / "flash.wav"
    soundfile.write(path, np.stack([light, closed], axis=1), 48_000)
    return path


def test_no_table_is_given_unless_the_whole_pupil_is_seen_then_it_is_geometry(
    bench: Any, job_path: str, shot: Path, words: Any, practice_book: Any
) -> None:
    entry = keep(bench, job_path, shot)
    asked = {"recording": name_of(bench, job_path, "stopped-down", shot.name), "firing": "1", "wide_open": "4",
             "apertures": "4, 5.6, 8", "marked": "1/100"}  # fmt: skip
    page = bench.client.get(f"{job_path}/shutter/stopped-down", params=asked)
    assert "No table: it is not said that the sensor sees the whole pupil" in words(page.text)
    assert bench.post(f"{job_path}/shutter/stopped-down", stage="working", **asked).status_code == 422
    said = NOT_SAID | {"aperture": "4", "pupil": "whole"}
    settled(bench, bench.post(f"{job_path}/shutter/measure", recording=entry, **said).headers["location"])
    page = bench.client.get(f"{job_path}/shutter/stopped-down", params=asked)
    # By hand: 12 ms from first to last light, less half of a 2 ms ramp over g at each end, g = (N/4)^2: 12 - 4/(2 g),
    # 12 - 4/2 = 10 ms wide open, 12 - 4/3.92 = 10.98 ms at 5.6, 12 - 4/8 = 11.5 ms at 8.
    times = [float(t) for t in re.findall(r'data-name="Effective time">([\d.]+) ms', page.text)]
    assert times == pytest.approx([10.0, 12 - 4 / 3.92, 11.5], rel=0.005)
    result = page.text.partition("How to take this reading")[0]
    assert result.count('class="picture picture-wide"') == 1
    bench.follow(bench.post(f"{job_path}/shutter/stopped-down", stage="working", **asked))
    body = practice_book.job(practice_book.jobs()[0].id).entries[-1].body
    assert isinstance(body, Note)
    assert "f/8, 11.5" in body.text
    other = bench.client.get(f"{job_path}/shutter/stopped-down", params=asked | {"wide_open": "3.5"})
    assert "is said to be shot at f/4" in field(other.text, "wide_open")
    wider = bench.client.get(f"{job_path}/shutter/stopped-down", params=asked | {"apertures": "2.8, 4"})
    assert "f/2.8 is wider than f/4" in field(wider.text, "apertures")


def test_each_firings_contact_has_its_verdict(
    bench: Any, job_path: str, contact: Path, words: Any, practice_book: Any
) -> None:
    keep(bench, job_path, contact)
    name = name_of(bench, job_path, "sync", contact.name)
    asked = {"recording": name, "setting": "X", "datum": "blades start", "light": "1", "contact": "2"}
    page = bench.client.get(f"{job_path}/shutter/sync", params=asked).text
    said = words(page)
    assert "outside In order at 1 of 2 firings" in said.replace("✗ ", "").replace("✕ ", "").replace("× ", "")
    assert "the contact closes while the blades are fully open" in said
    assert "the contact closes before the blades are fully open" in said
    assert [float(ms) for ms in re.findall(r'data-name="Stays closed">([\d.]+) ms', page)] == pytest.approx(
        [8, 8], 0.02
    )
    assert "no flash fitted" in said
    bench.follow(bench.post(f"{job_path}/shutter/sync", stage="as found", **asked))
    proof = practice_book.job(practice_book.jobs()[0].id).entries[-1].body
    assert (proof.what, proof.verdict, proof.stage) == ("flash sync", "outside", "as found")
    assert proof.instrument == "sound input"
    text = proof.text
    assert text.startswith("Flash contact at X, as found")
    assert "Firing 2: outside" in text


def test_one_channel_is_not_enough_for_the_contact(bench: Any, job_path: str, shot: Path) -> None:
    keep(bench, job_path, shot)
    asked = {"recording": name_of(bench, job_path, "sync", shot.name), "setting": "X", "datum": "blades start",
             "light": "1", "contact": "2"}  # fmt: skip
    answer = bench.client.get(f"{job_path}/shutter/sync", params=asked)
    assert answer.status_code == 422
    assert "need two channels, it has 1" in field(answer.text, "recording")
    same = bench.client.get(f"{job_path}/shutter/sync", params=asked | {"contact": "1"})
    assert "cannot be on one channel" in field(same.text, "contact")


def test_a_recording_that_is_not_there_is_told_beside_its_field(bench: Any, job_path: str) -> None:
    asked = {"recording": "entry 999, none", "firing": "1", "wide_open": "4", "apertures": "4", "marked": ""}
    answer = bench.client.get(f"{job_path}/shutter/stopped-down", params=asked)
    assert answer.status_code == 422
    assert "none of the choices" in field(answer.text, "recording")
