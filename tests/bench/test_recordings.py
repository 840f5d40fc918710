"""A recording is kept if it is one, measured once, and its dial is written into the job."""

import io
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
import soundfile

from asfound.bench.jobs import load_job, open_job
from asfound.bench.measured import How, found_in, kept_at, without_options
from asfound.bench.recordings import RESTS_ON, keep_recording, measure, recording_of, under_its_name, write_dial
from asfound.bench.shutter import (
    DialAsked,
    condition_of,
    make_dial,
    moves_so_far,
    write_move,
)
from asfound.capture import CancelledError
from asfound.job.bodies import Camera, PartCondition, ShutterTable
from asfound.problems import BadInputError, NotFoundError, StoppedError
from asfound.shutter import Firing, SoundInput, exposure_lasting, read_adjusters, read_log, simulate

TRUTH_S = (0.044, 0.022)


@pytest.fixture
def job_id(book):
    return open_job(book, camera=Camera(model="Practice Six")).id


@pytest.fixture(scope="module")
def sound() -> bytes:
    line = SoundInput(sample_rate_hz=48_000, level=0.5, noise_rms=0.002)
    samples, _ = simulate([exposure_lasting(t) for t in TRUTH_S], line, seed=7)
    stream = io.BytesIO()
    soundfile.write(stream, np.asarray(samples), 48_000, format="WAV", subtype="PCM_16")
    return stream.getvalue()


def told(*times_s: float) -> tuple[Firing, ...]:
    return tuple(Firing(start_s=float(n), effective_s=t, u_effective_s=t / 1000) for n, t in enumerate(times_s))


def run(path: Path, **more):
    return measure(path, progress=lambda _: None, cancelled=lambda: False, **more)


def test_a_recording_is_kept_as_it_came(book, job_id, sound):
    entry = keep_recording(book, job_id, io.BytesIO(sound), "two shots.wav", stage="as found", caption="first try")
    body, path = recording_of(book, job_id, entry.id)
    assert path.read_bytes() == sound
    assert (body.sort, body.stage, body.caption) == ("light", "as found", "first try")
    assert body.attachment.media_type == "audio/wav"


@pytest.mark.parametrize("content", [b"", b"this is a text", b"RIFF\x24\x00\x00\x00WAVE"])
@pytest.mark.parametrize("name", ["x.wav", "x.m4a", "x.mp4", "x"])
def test_what_is_no_recording_is_refused_by_its_own_name_and_no_entry_is_written(book, job_id, content, name):
    before = load_job(book, job_id).entries
    with pytest.raises(BadInputError) as refused:
        keep_recording(book, job_id, io.BytesIO(content), name, stage="working")
    assert refused.value.problems[0].where == name
    assert load_job(book, job_id).entries == before


def test_a_recording_of_another_job_is_not_found(book, job_id, sound):
    entry = keep_recording(book, job_id, io.BytesIO(sound), "x.wav", stage="working")
    other = open_job(book, camera=Camera(model="Practice Nine")).id
    with pytest.raises(NotFoundError):
        recording_of(book, other, entry.id)


def test_what_was_measured_need_not_be_measured_again(book, job_id, sound):
    entry = keep_recording(book, job_id, io.BytesIO(sound), "two shots.wav", stage="working")
    body, path = recording_of(book, job_id, entry.id)
    sha256 = body.attachment.sha256
    how = How(kind="light", aperture=3.5, whole_pupil=True, response_s=2e-5, region=(0.1, 0.2, 0.3, 0.4))
    assert found_in(book, sha256, how) is None
    found = run(path, name=body.attachment.name, how=how, keep_in=kept_at(book, sha256, how))
    # The truth is the simulator's own.
    assert [firing.effective_s for firing in found.firings] == pytest.approx(TRUTH_S, rel=0.005)
    assert found_in(book, sha256, how) == found
    assert found_in(book, sha256, How()) is None
    assert found.aperture == 3.5


@pytest.mark.parametrize("damage", ["", "{}", '{"sha256": "00", "kept": "{}"}', "[1]", "\x00"])
def test_a_damaged_result_is_as_good_as_none(book, damage):
    path = kept_at(book, "ab" * 32, How())
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(damage, "utf-8")
    assert found_in(book, "ab" * 32, How()) is None


def test_a_stopped_measuring_is_a_stop_and_nothing_of_it_is_kept(book, job_id, sound):
    entry = keep_recording(book, job_id, io.BytesIO(sound), "x.wav", stage="working")
    body, path = recording_of(book, job_id, entry.id)
    kept = kept_at(book, body.attachment.sha256, How())
    with pytest.raises(StoppedError) as stopped:
        measure(path, progress=lambda _: None, cancelled=lambda: True, keep_in=kept)
    assert isinstance(stopped.value, CancelledError)
    assert not kept.exists()


def test_a_recording_without_a_firing_is_named_by_its_file(book, job_id):
    stream = io.BytesIO()
    soundfile.write(stream, np.zeros(48_000), 48_000, format="WAV", subtype="PCM_16")
    stream.seek(0)
    entry = keep_recording(book, job_id, stream, "dark.wav", stage="working")
    body, path = recording_of(book, job_id, entry.id)
    with pytest.raises(BadInputError, match=r"dark\.wav: no firing was found"):
        run(path, name=body.attachment.name)


@pytest.mark.skipif(shutil.which("ffmpeg") is None, reason="ffmpeg is not here: on Debian, apt install ffmpeg")
@pytest.mark.parametrize("ending", ["m4a", "flac"])
def test_a_telephones_file_written_by_an_independent_program_is_kept_and_measured(
    book, job_id, sound, tmp_path, ending
):
    (tmp_path / "in.wav").write_bytes(sound)
    out = tmp_path / f"out.{ending}"
    # At 256 kbit/s: at 64 kbit/s the coding itself spoils a light trace, and the firings are flagged as misfits.
    command = ["ffmpeg", "-loglevel", "error", "-i", tmp_path / "in.wav", "-b:a", "256k", out]
    subprocess.run(command, check=True)
    entry = keep_recording(book, job_id, io.BytesIO(out.read_bytes()), f"shots.{ending}", stage="working")
    body, path = recording_of(book, job_id, entry.id)
    found = run(path, name=body.attachment.name, how=How(kind="light"))
    assert len(found.firings) == 2
    assert [f.effective_s for f in found.firings] == pytest.approx(TRUTH_S, rel=0.02)
    assert ("lossy audio" in found.firings[0].flags) == (ending == "m4a")


@pytest.mark.parametrize("name", ["../../etc/passwd", "C:\\shots\\one.wav", "a" * 300 + ".wav", "..", "", "a\x00b.wav"])
def test_a_name_never_leads_out_of_its_folder(tmp_path, name):
    (tmp_path / "kept").write_text("x")
    with under_its_name(tmp_path / "kept", name) as shown:
        assert shown.read_text() == "x"
        assert ".." not in shown.parts
    assert not shown.exists()


def test_notes_are_said_without_the_command_lines_words():
    assert "--" not in without_options("Taken for light by its course; say --kind if it is not.")


def test_a_table_rests_on_the_adjusters_so_that_moving_one_makes_it_stale(book, job_id):
    made = make_dial(told(0.044, 0.022), DialAsked(marked="1/25, 1/50", shots=1))
    entry = write_dial(book, job_id, made.dial, recording=None, stage="as found", remarks=made.remarks)
    assert isinstance(entry.body, ShutterTable)
    assert {*RESTS_ON, "bend 1/25"} <= set(entry.body.depends_on)
    assert load_job(book, job_id).tables[0].stale_by is None
    (moved,) = write_move(book, job_id, adjuster="pallet", direction="deeper", amount="", before="", after="")
    assert load_job(book, job_id).tables[0].stale_by == moved.id


# --- the dial as asked


def test_a_struck_shot_keeps_its_place_and_counts_for_nothing():
    dial = make_dial(told(0.04, 0.9, 0.02, 0.02), DialAsked(marked="1/25, 1/50", shots=2, struck=frozenset({2}))).dial
    assert dial.rows[0].shots_s == (0.04,)
    assert dial.rows[0].struck_s == (0.9,)
    assert dial.rows[1].shots_s == (0.02, 0.02)


def test_a_misfire_left_out_takes_no_place_and_struck_numbers_stay_those_of_the_recording():
    asked = DialAsked(marked="1/25, 1/50", shots=2, left_out=frozenset({1}), struck=frozenset({5}))
    dial = make_dial(told(7.0, 0.04, 0.041, 0.02, 0.9), asked).dial
    assert [row.shots_s for row in dial.rows] == [(0.04, 0.041), (0.02,)]


def test_a_struck_shot_after_rested_ones_is_the_one_that_was_named():
    asked = DialAsked(marked="1/25, 1/50", shots=2, rested=True, struck=frozenset({6}))
    made = make_dial(told(0.08, 0.04, 0.041, 0.03, 0.02, 0.9), asked)
    assert [row.shots_s for row in made.dial.rows] == [(0.04, 0.041), (0.02,)]
    assert any(remark.startswith("Rested first shot at 1/25: +0.9") for remark in made.remarks)  # log2(80/40.5) = 0.98


def test_firings_shot_in_any_order_go_to_the_nearest_speed():
    dial = make_dial(told(0.02, 0.041, 0.021, 0.04), DialAsked(marked="1/25, 1/50", nearest=True)).dial
    assert [row.shots_s for row in dial.rows] == [(0.041, 0.04), (0.02, 0.021)]


def test_a_firing_half_way_between_two_speeds_is_doubted():
    (doubt,) = make_dial(told(0.0283), DialAsked(marked="1/25, 1/50", nearest=True)).doubts
    assert doubt.where == "firing 1"


def test_a_speed_is_judged_by_its_own_tolerance():
    shots = told(0.050, 0.050, 0.0501, 0.02, 0.02, 0.0201)  # log2(50/40) = 0.32
    asked = {"marked": "1/25, 1/50", "shots": 3, "tolerance_stops": 0.2}
    assert make_dial(shots, DialAsked(**asked)).dial.rows[0].verdict == "outside"
    own = make_dial(shots, DialAsked(**asked, own_stops={"1/25": 0.5})).dial
    assert (own.rows[0].verdict, own.rows[0].tolerance_stops) == ("within", 0.5)
    assert own.rows[1].tolerance_stops == 0.2


def test_drift_and_an_uneven_step_are_remarked_on():
    made = make_dial(told(0.040, 0.042, 0.044, 0.013, 0.0136, 0.0143), DialAsked(marked="1/25, 1/50", shots=3))
    said = " ".join(made.remarks)
    assert "From shot to shot the times grow" in said
    assert "Uneven: from 1/25 to 1/50" in said


@pytest.mark.parametrize(
    ("asked", "where"),
    [
        (DialAsked(marked="quick", shots=1), "marked"),
        (DialAsked(marked="", shots=1), "marked"),
        (DialAsked(marked="1/25", shots=2), "shots"),
        (DialAsked(marked="1/25", shots=1, struck=frozenset({9})), "struck"),
        (DialAsked(marked="1/25", shots=1, left_out=frozenset({0})), "leave_out"),
        (DialAsked(marked="1/25", shots=1, own_stops={"1/50": 0.5}), "own"),
        (DialAsked(marked="1/25", shots=1, own_stops={"soon": 0.5}), "own"),
        (DialAsked(marked="1/25", nearest=True, rested=True), "rested"),
    ],
)
def test_what_cannot_be_asked_of_a_dial_is_refused_at_its_field(asked, where):
    with pytest.raises(BadInputError) as refused:
        make_dial(told(0.04), asked)
    assert refused.value.problems[0].where.partition(",")[0] == where


# --- the moves between dials


def dial_entry(book, job_id, *times_s: float) -> None:
    made = make_dial(told(*times_s), DialAsked(marked="1/25, 1/50", shots=1))
    write_dial(book, job_id, made.dial, recording=None, stage="working")


def move(book, job_id, adjuster: str, direction: str = "deeper", amount: str = "") -> None:
    write_move(book, job_id, adjuster=adjuster, direction=direction, amount=amount, before="", after="")


def test_a_move_stands_between_its_dials_and_the_log_can_be_read(book, job_id):
    dial_entry(book, job_id, 0.050, 0.024)
    move(book, job_id, "pallet", amount="0.25")
    dial_entry(book, job_id, 0.045, 0.024)
    so_far = moves_so_far(load_job(book, job_id))
    assert so_far.log.splitlines() == [
        "1/25: 50.00 ms", "1/50: 24.00 ms", "move pallet deeper by 0.25", "1/25: 45.00 ms", "1/50: 24.00 ms",
    ]  # fmt: skip
    adjusters, _ = read_adjusters(", ".join(so_far.adjusters))
    log, problems = read_log(so_far.log, adjusters=adjusters)
    assert problems == ()
    assert log is not None
    assert log.moves[0].amount == 0.25


def test_two_moves_without_a_dial_between_them_are_not_told_apart(book, job_id):
    dial_entry(book, job_id, 0.050, 0.024)
    move(book, job_id, "pallet")
    move(book, job_id, "engagement")
    dial_entry(book, job_id, 0.045, 0.024)
    assert moves_so_far(load_job(book, job_id)).log.splitlines() == ["1/25: 45.00 ms", "1/50: 24.00 ms"]


def test_what_was_moved_since_the_last_dial_is_said_and_other_adjusters_do_not_count(book, job_id):
    dial_entry(book, job_id, 0.050, 0.024)
    move(book, job_id, "front cell")
    assert moves_so_far(load_job(book, job_id)).since == ()
    move(book, job_id, "bend 1/25", "out")
    assert moves_so_far(load_job(book, job_id)).since == ("move bend 1/25 out",)


def test_cleaning_between_two_dials_is_no_move_of_an_adjuster(book, job_id):
    dial_entry(book, job_id, 0.080, 0.040)
    move(book, job_id, "pallet")
    book.write(job_id, [PartCondition(part="shutter", condition="dry")])
    dial_entry(book, job_id, 0.045, 0.024)
    assert "move" not in moves_so_far(load_job(book, job_id)).log


def test_a_dial_from_before_cleaning_is_not_set_against_one_after_it(book, job_id):
    dial_entry(book, job_id, 0.080, 0.040)
    book.write(job_id, [PartCondition(part="shutter", condition="dry")])
    move(book, job_id, "pallet")
    dial_entry(book, job_id, 0.045, 0.024)
    assert moves_so_far(load_job(book, job_id)).log.splitlines() == ["1/25: 45.00 ms", "1/50: 24.00 ms"]


def test_the_shutter_is_as_clean_as_its_parts_were_last_said_to_be(book, job_id):
    assert condition_of(load_job(book, job_id)) == "not said"
    book.write(job_id, [PartCondition(part="Shutter", condition="dirty")])
    assert condition_of(load_job(book, job_id)) == "dirty"
    book.write(job_id, [PartCondition(part="shutter", condition="dry")])
    assert condition_of(load_job(book, job_id)) == "clean"
