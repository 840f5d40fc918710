"""What is settled before firing live: the form, and the pilot speed with its band while an adjuster is moved."""

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from asfound.bench.live import Session
from asfound.bench.shutter import write_move
from asfound.book import Book, in_folder
from asfound.book.spool import SpooledBlock
from asfound.job import Job
from asfound.job.bodies import Camera, ShutterTable, SpeedRow
from asfound.problems import BadInputError
from asfound.shutter import SoundInput, exposure_lasting, simulate
from asfound.web.live.setup import FIRED, aim_of, live_fields, read_hello, read_plan_typed
from asfound.web.live.view import state_of
from asfound.web.room_form import typed_into

RATE = 48_000
SLOW = {"1": 1.35, "1/2": 0.66, "1/5": 0.26, "1/10": 0.128, "1/25": 0.051, "1/50": 0.0255, "1/100": 0.0102}


@pytest.fixture
def book(tmp_path: Any, open_book: Callable[..., Book]) -> Book:
    return open_book(in_folder(tmp_path / "book"))


def job_with(book: Book, times: dict[str, float]) -> Job:
    job = book.open_job(Camera(model="Six-Nine", marked_speeds=tuple(SLOW)))[0].job
    rows = tuple(row(mark, time_s) for mark, time_s in times.items())
    if rows:
        book.write(job, [ShutterTable(stage="working", rows=rows, tolerance_source="common practice")])
    return book.job(job)


def row(mark: str, time_s: float) -> SpeedRow:
    nominal = 1 / float(mark.partition("/")[2] or 1)
    error = math.log2(time_s / nominal)
    return SpeedRow(
        marked=mark,
        reference_s=nominal,
        times_s=(time_s, time_s * 1.01, time_s * 0.99),
        mean_s=time_s,
        error_stops=error,
        tolerance_stops=1 / 3,
        verdict="outside" if abs(error) > 1 / 3 else "within",
    )


def test_a_dial_that_is_off_gives_a_speed_to_watch(book: Book) -> None:
    job = job_with(book, SLOW)
    aim = aim_of(job)
    assert aim is not None
    assert aim.pilot in SLOW
    assert aim.low_s < aim.aim_s < aim.high_s < aim.now_s
    assert any(one.name == "fired" for one in live_fields(job))


def test_no_dial_and_a_move_since_the_last_dial_give_none(book: Book) -> None:
    assert aim_of(job_with(book, {})) is None
    job = job_with(book, SLOW)
    write_move(book, job.id, adjuster="engagement", direction="deeper", amount="", before="", after="")
    assert aim_of(book.job(job.id)) is None


def test_while_trimming_the_watched_speed_stays_and_each_shot_says_go_on_or_stop(book: Book, tmp_path: Any) -> None:
    job = job_with(book, SLOW)
    aim = aim_of(job)
    assert aim is not None
    typed = typed_into(live_fields(job), {}) | {"fired": FIRED[1], "stage": "working"}
    plan = read_plan_typed(job, typed, sample_rate_hz=float(RATE), aim=aim)
    times = (aim.now_s, aim.aim_s)
    line = SoundInput(sample_rate_hz=RATE, level=0.5, noise_rms=0.002)
    samples, _ = simulate([exposure_lasting(t) for t in times], line, gap_s=0.6, seed=1)
    session = Session.begin(tmp_path, plan)
    said = []
    for at in range(0, samples.size, 512):
        session.receive(SpooledBlock(1, at, False, np.asarray(samples[at : at + 512], np.float32)))
        for heard in session.listen():
            state = state_of(session)
            assert state["at"] == aim.pilot
            said += [state["shot"]["pilot"]] if heard.sort == "final" else []
    session.close()
    assert said[0].startswith("Go on, ")
    assert said[1].startswith("In the band")
    assert state["band"]["pilot"] == aim.pilot


def test_a_dial_that_is_in_order_has_no_speed_to_watch(book: Book) -> None:
    job = job_with(book, {"1/25": 0.04, "1/50": 0.02})
    typed = typed_into(live_fields(job), {}) | {"fired": FIRED[1], "stage": "working"}
    with pytest.raises(BadInputError, match="no move is asked for"):
        read_plan_typed(job, typed, sample_rate_hz=48_000.0, aim=aim_of(job))


def test_the_watched_speed_must_be_on_the_dial(book: Book) -> None:
    job = job_with(book, SLOW)
    aim = aim_of(job)
    typed = typed_into(live_fields(job), {}) | {"fired": FIRED[1], "stage": "working", "marked": "1/300"}
    with pytest.raises(BadInputError, match="the watched speed"):
        read_plan_typed(job, typed, sample_rate_hz=48_000.0, aim=aim)


@pytest.mark.parametrize("rate", [None, "48000", 48_000.5, 7999, 1e9, math.nan, True])
def test_a_sample_rate_that_is_none_is_refused(rate: Any) -> None:
    with pytest.raises(BadInputError, match="sample rate"):
        read_hello({"rate": rate})


@pytest.mark.parametrize("typed", [None, 3, ["kind"]])
def test_a_form_that_is_none_is_an_empty_one(typed: Any) -> None:
    assert read_hello({"rate": 44_100, "typed": typed}) == (44_100.0, {})
