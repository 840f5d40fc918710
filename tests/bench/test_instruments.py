"""Instruments: their checks are kept, and one found wrong takes its readings with it, in every job."""

import datetime
import io

import numpy as np
import pytest
import soundfile

from asfound.bench.handover import hand_over
from asfound.bench.instruments import (
    Check,
    affected_by,
    checks_of,
    clock_of,
    found_wrong,
    instruments_file,
    known_names,
    latest_checks,
    names_in_use,
    read_check,
    write_check,
    write_clock,
)
from asfound.bench.jobs import load_job, open_job
from asfound.bench.line import write_line
from asfound.bench.proofs import answer_proof
from asfound.bench.recordings import write_dial
from asfound.bench.shutter import DialAsked, make_dial
from asfound.book import Book, in_folder, restore
from asfound.job.bodies import Camera, Recording
from asfound.job.instruments import SOUND_INPUT
from asfound.job.staleness import taken_with
from asfound.problems import BadInputError
from asfound.shutter import Firing

TODAY = datetime.datetime.now().astimezone().date()
DAY = datetime.timedelta(days=1)
TODAY_MS = round(datetime.datetime.combine(TODAY, datetime.time.min).astimezone().timestamp() * 1000)
DAY_MS = 86_400_000


@pytest.fixture
def empty(tmp_path, open_book):
    return open_book(in_folder(tmp_path / "book"))


def gauged(book, model):
    job = open_job(book, camera=Camera(model=model))
    write_line(book, job.id, "height tl 0.35 mm with depth gauge")
    write_line(book, job.id, "read pull 40 gf with spring balance")
    return job


def stale(book, job):
    return [kept.body.quantity for kept in load_job(book, job.id).readings if kept.stale_by is not None]


def test_a_check_is_kept_as_written_and_the_latest_counts(empty):
    first = Check(name="depth gauge", against="gauge block 5.000 mm", standard_uncertainty=0.01, unit="mm")
    later = Check(name="Depth  gauge", checked_on=datetime.date(2026, 3, 14), remark="with commas, and “quotes”")
    for check in (first, Check(name="balance"), later):
        write_check(empty, check)
    assert checks_of(empty)[0] == first
    assert [check.checked_on for check in latest_checks(empty)] == [None, later.checked_on]
    assert latest_checks(empty)[1].remark == later.remark


@pytest.mark.parametrize(
    "cells",
    [{"name": ""}, {"name": "x", "checked on": "last week"}, {"name": "x", "standard uncertainty": "-1"}],
)
def test_what_cannot_be_read_is_refused_and_the_table_stays(empty, cells):
    with pytest.raises(BadInputError):
        read_check(cells)


def test_a_line_spoilt_by_hand_is_named(empty):
    write_check(empty, Check(name="gauge"))
    with instruments_file(empty).open("a") as file:
        file.write("balance,,soon,,,,,\n")
    with pytest.raises(BadInputError, match="no day") as caught:
        checks_of(empty)
    assert caught.value.problems[0].where == "instruments.csv, line 3"


def test_readings_by_an_instrument_found_wrong_go_stale_in_every_job(empty):
    first, second = gauged(empty, "One"), gauged(empty, "Two")
    jobs = found_wrong(empty, name="depth gauge", since=TODAY, text="fell")
    assert {one.job for one in jobs} == {first.id, second.id}
    assert jobs[0].readings == ("height top left, as found",)
    assert [stale(empty, job) for job in (first, second)] == [["height"], ["height"]]
    assert latest_checks(empty)[0].wrong_since == TODAY


def test_what_was_handed_over_is_listed_apart(empty):
    gone, here = gauged(empty, "Gone"), gauged(empty, "Here")
    hand_over(empty, gone.id, why_open="tried out")
    jobs = {one.job: one.handed_over for one in found_wrong(empty, name="depth gauge", since=TODAY)}
    assert jobs == {gone.id: True, here.id: False}


def test_what_was_taken_before_that_day_stays(empty):
    job = gauged(empty, "One")
    assert found_wrong(empty, name="depth gauge", since=TODAY + DAY) == ()
    assert stale(empty, job) == []


def test_looking_writes_nothing_and_saying_it_twice_writes_once(empty):
    job = gauged(empty, "One")
    before = len(load_job(empty, job.id).entries)
    assert affected_by(empty, "depth gauge", TODAY)
    assert len(load_job(empty, job.id).entries) == before
    found_wrong(empty, name="depth gauge", since=TODAY)
    assert found_wrong(empty, name="depth gauge", since=TODAY - DAY) == ()
    assert len(load_job(empty, job.id).entries) == before + 1


def timed_dial(book, job, *, sort):
    file = book.attach(io.BytesIO(sort.encode()), name=f"shots.{sort}", media_type="x/y")
    kept = book.write(job.id, [Recording(attachment=file, sort=sort)])[0]
    return write_dial(book, job.id, DIAL, recording=kept.id, stage="as found")


SHOTS = tuple(
    Firing(start_s=n, effective_s=time_s, u_effective_s=time_s / 1000) for n, time_s in ((0.0, 0.04), (1.0, 0.02))
)
DIAL = make_dial(SHOTS, DialAsked(marked="1/25, 1/50", shots=1)).dial


def test_a_dial_names_the_sound_input_that_timed_its_recording_and_a_filmed_one_does_not(empty):
    timed, filmed = (open_job(empty, camera=Camera(model=sort)) for sort in ("light", "video"))
    assert timed_dial(empty, timed, sort="light").body.instrument == SOUND_INPUT
    assert timed_dial(empty, filmed, sort="video").body.instrument == ""
    assert [one.job for one in found_wrong(empty, name="Sound input", since=TODAY)] == [timed.id]
    assert load_job(empty, timed.id).tables[0].stale_by is not None


@pytest.fixture(scope="module")
def many(tmp_path_factory):
    """A book, to be read only, in which instruments are named in every way there is, in jobs of before and of now."""
    clock = [0]
    with Book.open(in_folder(tmp_path_factory.mktemp("many")), clock=lambda: clock[0]) as book:
        for when in (TODAY_MS - 90 * DAY_MS, TODAY_MS + 60_000):
            clock[0] = when
            jobs = [open_job(book, camera=Camera(model=f"Model {n}")) for n in range(9)]
            write_line(book, jobs[0].id, "height tl 0.35 mm with depth gauge")
            write_line(book, jobs[1].id, "read pull 40 gf with spring balance")
            write_line(book, jobs[2].id, "proof infinity within with Depth Gauge")
            answer_proof(book, jobs[3].id, name="infinity", answer="within", instrument="depth gauge")
            timed_dial(book, jobs[4], sort="light")
            timed_dial(book, jobs[5], sort="video")
            write_dial(book, jobs[6].id, DIAL, recording=None, stage="as found")
            write_line(book, jobs[7].id, "height tl 0.35 mm with depth gauge")
            write_line(book, jobs[7].id, "undo")
            write_line(book, jobs[8].id, "instrument depth gauge, sort depth gauge")
        yield book


@pytest.mark.parametrize("since", [TODAY, TODAY - 30 * DAY, TODAY - 120 * DAY, TODAY + DAY])
@pytest.mark.parametrize(("name", "jobs"), [("depth gauge", 3), ("spring  balance", 1), ("sound input", 2), ("no", 0)])
def test_only_the_jobs_that_name_it_are_folded_and_the_answer_is_that_of_folding_all(
    many, monkeypatch, name, jobs, since
):
    moment = round(datetime.datetime.combine(since, datetime.time.min).astimezone().timestamp() * 1000)
    expected = [line.id for line in many.jobs() if taken_with(many.job(line.id).live, name, moment)]
    folded = []
    fold_one = Book.job
    monkeypatch.setattr(Book, "job", lambda book, job: folded.append(job) or fold_one(book, job))
    assert [one.job for one in affected_by(many, name, since)] == expected
    assert folded == expected
    assert len(expected) == jobs * (0 if since > TODAY else 2 if since < TODAY - 60 * DAY else 1)


def test_what_is_in_use_is_told_without_folding_any_job(many, monkeypatch):
    monkeypatch.setattr(Book, "job", lambda *_: pytest.fail("a job was folded"))
    assert names_in_use(many) == {"Depth Gauge": 6, "sound input": 4, "spring balance": 2}
    assert known_names(many) == ("Depth Gauge", "sound input", "spring balance")


def test_the_list_of_instruments_follows_from_the_entries(many):
    assert many.check().problems == ()
    before = many.instruments_used()
    many.rebuild()
    assert many.instruments_used() == before


def test_names_that_readings_use_are_counted(empty):
    gauged(empty, "One")
    gauged(empty, "Two")
    assert names_in_use(empty) == {"depth gauge": 2, "spring balance": 2}


def test_the_table_goes_into_the_backup_and_comes_back(empty, tmp_path):
    open_job(empty, camera=Camera(model="One"))
    write_check(empty, Check(name="depth gauge"))
    empty.backup(tmp_path / "backup.zip")
    there = in_folder(tmp_path / "restored")
    restore(tmp_path / "backup.zip", there)
    assert (there.folder / "instruments.csv").read_text() == instruments_file(empty).read_text()


def test_the_clock_of_a_recording_is_found_and_written(empty, tmp_path):
    draw, rate, ppm = np.random.default_rng(4), 48_000, 60.0
    sound = draw.normal(0, 0.003, 25 * rate)
    true_s = np.arange(sound.size) / (rate * (1 + ppm * 1e-6))
    for n in range(25):
        since = true_s - (n + 0.4)
        near = (since > 0) & (since < 0.05)
        sound[near] += np.exp(-since[near] / 0.01) * np.sin(2 * np.pi * 1000 * since[near])
    soundfile.write(tmp_path / "tick.wav", 0.5 * sound, rate)
    found = clock_of(tmp_path / "tick.wav", period_s=1.0, u_period_ppm=0.0)
    assert abs(found.rate.value - ppm) < 4 * found.rate.standard_uncertainty
    write_clock(empty, found, against="a simulated tick", on=TODAY)
    kept = latest_checks(empty)[0]
    assert (kept.name, kept.unit, kept.against) == ("sound input", "ppm", "a simulated tick")
    assert "fast: times read long by 0.06" in kept.remark


@pytest.mark.parametrize(("period_s", "channel"), [(0.001, 0), (1.0, 3)])
def test_a_period_or_channel_that_cannot_be_is_refused(tmp_path, period_s, channel):
    soundfile.write(tmp_path / "tick.wav", np.zeros(8000), 8000)
    with pytest.raises(BadInputError):
        clock_of(tmp_path / "tick.wav", period_s=period_s, channel=channel)
