"""The speeds stopped down, as they go onto the card."""

import io

import numpy as np
import pypdf
import pytest
import soundfile

from asfound.bench.handover import card
from asfound.bench.jobs import load_job, open_job
from asfound.bench.line import write_line
from asfound.bench.measured import How, keep_found, kept_at
from asfound.bench.recordings import keep_recording, write_dial
from asfound.bench.said import say_how
from asfound.bench.shutter import DialAsked, make_dial
from asfound.bench.stopped import stopped_dial
from asfound.capture import read_recording
from asfound.job.bodies import Camera
from asfound.shutter import SoundInput, exposure_lasting, simulate

OPENING_S, CLOSING_S = 0.9e-3, 0.9e-3
CAMERA = Camera(
    model="Practice Six", largest_aperture=4.5, marked_speeds=("1/50", "1/250"), marked_apertures=(4.5, 8, 16)
)


@pytest.fixture(scope="module")
def recording(tmp_path_factory):
    times = [1 / 50, 1 / 50, 1 / 250, 1 / 250]
    line = SoundInput(sample_rate_hz=192_000, level=0.5, noise_rms=0.0005)
    shots = [exposure_lasting(t, opening_s=OPENING_S, closing_s=CLOSING_S) for t in times]
    samples, _ = simulate(shots, line, gap_s=0.4, seed=5)
    path = tmp_path_factory.mktemp("stopped") / "left.wav"
    soundfile.write(path, np.asarray(samples), 192_000, subtype="FLOAT")
    return path


def measured_job(book, path, **how):
    job = open_job(book, camera=CAMERA)
    write_line(book, job.id, "f/4.5, released")
    kept = keep_recording(book, job.id, io.BytesIO(path.read_bytes()), path.name, stage="as left")
    said = How(**how)
    found = read_recording(path, **said.as_asked())
    say_how(book, job.id, kept.id, said)
    keep_found(kept_at(book, kept.body.attachment.sha256, said), found)
    dial = make_dial(found.firings, DialAsked(marked="1/50, 1/250", shots=2)).dial
    write_dial(book, job.id, dial, recording=kept.id, stage="as left")
    return load_job(book, job.id)


def test_a_small_stop_is_open_longer_by_what_the_blades_geometry_says(empty_store, recording):
    job = measured_job(empty_store, recording, kind="light", whole_pupil=True, aperture=4.5)
    dial = stopped_dial(empty_store, job)
    assert [one.marked for one in dial.speeds][-1] == "1/250"
    # Area growing evenly, by hand: b + (a + c)(1 - k^2 / 2), k = 4.5 / N; at k = 1 it is b + (a + c) / 2 = 4 ms.
    blades = OPENING_S + CLOSING_S
    for aperture, time_s in dial.speeds[-1].times[1:]:
        by_hand = (0.004 - blades / 2) + blades * (1 - (4.5 / aperture) ** 2 / 2)
        assert time_s == pytest.approx(by_hand, rel=0.02)


def test_the_card_s_text_bears_the_times_stopped_down(empty_store, recording):
    job = measured_job(empty_store, recording, kind="light", whole_pupil=True, aperture=4.5)
    back = pypdf.PdfReader(io.BytesIO(card(empty_store, job.id))).pages[1].extract_text()
    fastest = stopped_dial(empty_store, job).speeds[-1]
    assert "f/16" in back
    assert f"1/{1 / fastest.times[-1][1]:.0f} s" in back


def test_without_the_whole_pupil_nothing_is_said_but_why(empty_store, recording):
    job = measured_job(empty_store, recording, kind="light", aperture=4.5)
    assert stopped_dial(empty_store, job).why_none == "it is not said that the sensor sees the whole pupil"
    back = pypdf.PdfReader(io.BytesIO(card(empty_store, job.id))).pages[1].extract_text()
    assert "not said that the sensor" in " ".join(back.split())


def test_an_unmeasured_dial_has_none(empty_store):
    job = open_job(empty_store, camera=CAMERA)
    assert stopped_dial(empty_store, job).speeds == ()


@pytest.fixture
def empty_store(tmp_path, open_book):
    from asfound.book import in_folder

    return open_book(in_folder(tmp_path / "book"))
