"""What is said of a recording is an entry: it outlives the cache, goes with a bundle and a backup, and is undone."""

import io
import json
import shutil

import numpy as np
import pytest
import soundfile

from asfound.bench.jobs import load_job, open_job
from asfound.bench.marking import strike, undo
from asfound.bench.measured import How, found_in, kept_at
from asfound.bench.recordings import keep_recording, measure, recording_of, write_dial
from asfound.bench.said import how_of, numbers_of, say_firings, say_how
from asfound.bench.shutter import DialAsked, make_dial
from asfound.book import in_folder, restore, take_in, write_bundle
from asfound.job.bodies import Camera, FiringsSet, HowRecorded
from asfound.shutter import Firing, SoundInput, exposure_lasting, simulate

SPEEDS_S = (0.04, 0.04, 0.02, 0.02)
RATE_HZ = 48_000
# The light is on the second channel; the first, louder one has a firing that is none of this shutter's.
HOW = How(kind="light", channel=1, aperture=3.5, whole_pupil=True, response_s=2e-5)
ASKED = DialAsked(marked="1/25, 1/50", shots=2, struck=frozenset({2}), tolerance_stops=0.25, own_stops={"1/50": 0.5})


@pytest.fixture(scope="module")
def sound() -> bytes:
    line = SoundInput(sample_rate_hz=RATE_HZ, level=0.3, noise_rms=0.002)
    wanted, _ = simulate([exposure_lasting(t) for t in SPEEDS_S], line, seed=3)
    loud = SoundInput(sample_rate_hz=RATE_HZ, level=0.8, noise_rms=0.002)
    other, _ = simulate([exposure_lasting(0.125)], loud, seed=4)
    both = np.zeros((max(len(wanted), len(other)), 2))
    both[: len(other), 0], both[: len(wanted), 1] = other, wanted
    stream = io.BytesIO()
    soundfile.write(stream, both, RATE_HZ, format="WAV", subtype="PCM_16")
    return stream.getvalue()


@pytest.fixture
def job_id(book):
    return open_job(book, camera=Camera(model="Practice Six")).id


@pytest.fixture
def recording(book, job_id, sound):
    return keep_recording(book, job_id, io.BytesIO(sound), "two channels.wav", stage="as found").id


def measured(book, job_id, recording):
    """Return what is found in the recording as it is said to be made, out of the cache where it is there."""
    body, path = recording_of(book, job_id, recording)
    how = how_of(load_job(book, job_id), recording)
    found = found_in(book, body.attachment.sha256, how)
    if found is not None:
        return found
    cache = kept_at(book, body.attachment.sha256, how)
    return measure(path, name="x.wav", how=how, keep_in=cache, progress=lambda _: None, cancelled=lambda: False)


def dial_of(book, job_id, recording):
    """Return the dial as what stands in the job makes it."""
    firings = measured(book, job_id, recording).firings
    said = load_job(book, job_id).firings_set[recording]
    asked = DialAsked(
        marked=said.marked,
        shots=said.shots,
        tolerance_stops=said.tolerance_stops,
        own_stops=dict(said.own_stops),
        struck=frozenset(numbers_of(firings, said.struck_s)),
    )
    return make_dial(firings, asked).dial


def say_all(book, job_id, recording):
    say_how(book, job_id, recording, HOW)
    firings = measured(book, job_id, recording).firings
    say_firings(book, job_id, recording, ASKED, firings)
    dial = make_dial(firings, ASKED).dial
    write_dial(book, job_id, dial, recording=recording, stage="as found")
    return dial


def test_the_dial_is_the_same_without_the_cache(book, job_id, recording):
    assert len(measured(book, job_id, recording).firings) == 1  # nothing said: the louder channel
    dial = say_all(book, job_id, recording)
    assert [len(row.shots_s) for row in dial.rows] == [1, 2]
    assert [row.mean_s for row in dial.rows] == pytest.approx([0.04, 0.02], rel=0.01)  # the simulator's own truth
    shutil.rmtree(book.location.folder / "measured")
    assert dial_of(book, job_id, recording) == dial


def test_the_dial_is_the_same_in_another_book(book, job_id, recording, tmp_path, open_book):
    dial = say_all(book, job_id, recording)
    write_bundle(book, job_id, tmp_path / "job.zip")
    other = open_book(in_folder(tmp_path / "elsewhere"))
    take_in(other, tmp_path / "job.zip")
    assert dial_of(other, job_id, recording) == dial
    assert how_of(load_job(other, job_id), recording) == HOW


def test_the_dial_is_the_same_after_a_restore(book, job_id, recording, tmp_path, open_book):
    dial = say_all(book, job_id, recording)
    book.backup(tmp_path / "book.zip")
    restore(tmp_path / "book.zip", in_folder(tmp_path / "again"))
    again = open_book(in_folder(tmp_path / "again"))
    assert not (again.location.folder / "measured").exists()
    assert dial_of(again, job_id, recording) == dial


@pytest.mark.parametrize("mine_first", [True, False])
def test_two_benches_that_say_it_otherwise_agree_in_either_order(
    book, job_id, recording, tmp_path, open_book, mine_first
):
    write_bundle(book, job_id, tmp_path / "start.zip")
    other = open_book(in_folder(tmp_path / "other"))
    take_in(other, tmp_path / "start.zip")
    say_how(book, job_id, recording, HOW)
    say_how(other, job_id, recording, How(channel=0, aperture=8.0))
    write_bundle(book, job_id, tmp_path / "mine.zip")
    write_bundle(other, job_id, tmp_path / "theirs.zip")
    third = open_book(in_folder(tmp_path / "third"))
    names = ("mine.zip", "theirs.zip") if mine_first else ("theirs.zip", "mine.zip")
    for name in names:
        take_in(third, tmp_path / name)
    take_in(book, tmp_path / "theirs.zip")
    take_in(other, tmp_path / "mine.zip")
    said = [how_of(load_job(one, job_id), recording) for one in (book, other, third)]
    assert said == [How(channel=0, aperture=8.0)] * 3  # the later saying


def test_a_later_saying_supersedes_and_undo_takes_it_back(book, job_id, recording):
    say_how(book, job_id, recording, HOW)
    say_how(book, job_id, recording, How(kind="sound"))
    assert how_of(load_job(book, job_id), recording) == How(kind="sound")
    undo(book, job_id)
    assert how_of(load_job(book, job_id), recording) == HOW
    undo(book, job_id)
    assert how_of(load_job(book, job_id), recording) == How()


def test_striking_what_was_said_of_the_firings_takes_it_back(book, job_id, recording):
    say_all(book, job_id, recording)
    entry = next(e for e in load_job(book, job_id).entries if isinstance(e.body, FiringsSet))
    strike(book, job_id, entry.id)
    assert load_job(book, job_id).firings_set == {}


def test_saying_the_same_again_writes_nothing(book, job_id, recording):
    assert say_how(book, job_id, recording, How()) is None
    say_all(book, job_id, recording)
    before = load_job(book, job_id).entries
    assert say_how(book, job_id, recording, HOW) is None
    assert say_firings(book, job_id, recording, ASKED, measured(book, job_id, recording).firings) is None
    assert load_job(book, job_id).entries == before


def test_what_was_found_is_kept_for_each_saying(book, job_id, recording):
    first = measured(book, job_id, recording)
    say_how(book, job_id, recording, HOW)
    body, _ = recording_of(book, job_id, recording)
    assert found_in(book, body.attachment.sha256, HOW) is None
    assert measured(book, job_id, recording).channel == 1
    undo(book, job_id)
    assert found_in(book, body.attachment.sha256, how_of(load_job(book, job_id), recording)) == first


def test_the_cache_holds_nothing_that_was_said(book, job_id, recording):
    say_all(book, job_id, recording)
    (kept,) = (book.location.folder / "measured").iterdir()
    plain = json.loads(json.loads(kept.read_text("utf-8"))["kept"])
    assert set(plain) == {"made_by", "recording"}


def test_every_arrangement_comes_back_from_the_book(book, job_id, recording):
    how = How(
        kind="video", channel=3, aperture=4.5, whole_pupil=False, diffuse=True, agrees_when_dimmed=False,
        sensor_mm=3.0, distance_mm=12.5, response_s=5e-5, click_offset_s=-1.2e-3, u_click_offset_s=2e-4,
        slow_motion=8.0, region=(0.1, 0.2, 0.6, 0.75),
    )  # fmt: skip
    entry = say_how(book, job_id, recording, how)
    assert isinstance(entry.body, HowRecorded)
    assert how_of(load_job(book, job_id), recording) == how


def test_firings_are_known_again_by_when_they_began():
    firings = [Firing(start_s=t, effective_s=0.01) for t in (0.5, 1.5, 2.5)]
    assert numbers_of(firings, (1.503, 2.5)) == (2, 3)
    assert numbers_of(firings, (1.6,)) == ()
    assert numbers_of([], (1.6,)) == ()
