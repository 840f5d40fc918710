"""The page of the instruments: checks, the clock, and what a wrong one has spoilt."""

import io
from typing import Any

import numpy as np
import soundfile

from asfound.bench.instruments import latest_checks


def test_a_check_is_written_and_shown(bench: Any, practice_book: Any) -> None:
    page = bench.get("/instruments").text
    assert "Never checked:" in page
    assert "depth gauge" in page
    told = bench.post(
        "/instruments/check",
        name="depth gauge",
        checked_on="2026-03-14",
        against="gauge block <5 mm>",
        standard_uncertainty="0.01",
        unit="mm",
    )
    page = bench.follow(told).text
    assert "is written down as checked" in page
    assert "gauge block &lt;5 mm&gt;" in page
    assert "± 0.01 mm" in page
    assert latest_checks(practice_book)[0].name == "depth gauge"


def test_what_cannot_be_read_is_told_and_nothing_is_written(bench: Any, practice_book: Any) -> None:
    refused = bench.post("/instruments/check", name="depth gauge", checked_on="soon")
    assert refused.status_code == 422
    assert "is no day" in refused.text
    assert latest_checks(practice_book) == ()


def test_the_readings_of_a_wrong_instrument_are_listed_before_anything_is_written(
    bench: Any, practice_book: Any
) -> None:
    job_id = practice_book.jobs()[0].id
    before = len(practice_book.entries(job_id))
    listed = bench.post("/instruments/wrong", name="depth gauge", since="2020-01-01", because="fell")
    assert "corner depth top left, as found" in listed.text
    assert len(practice_book.entries(job_id)) == before
    went = bench.post("/instruments/wrong", name="depth gauge", since="2020-01-01", because="fell", seen="yes")
    assert "Stale now: readings of 1 job" in bench.follow(went).text
    job = practice_book.job(job_id)
    assert all(kept.stale_by for kept in job.readings if kept.body.instrument == "depth gauge")
    assert "depth gauge read wrongly then" in bench.get(f"/job/{job_id}/proofs").text


def test_the_clock_is_found_from_a_recording(bench: Any, practice_book: Any) -> None:
    rate = 48_000
    sound = np.zeros(15 * rate)
    for n in range(15):
        sound[n * rate + 9_000 : n * rate + 9_300] = 0.5 * np.hanning(300)
    held = io.BytesIO()
    soundfile.write(held, sound, rate, format="WAV")
    token = bench.get("/instruments").text.split('name="asfound-token" content="')[1].split('"')[0]
    answer = bench.client.post(
        "/instruments/clock",
        data={"token": token, "against": "a perfect tick", "period": "1", "source_ppm": "0.1"},
        files={"file": ("tick.wav", held.getvalue(), "audio/wav")},
        follow_redirects=False,
    )
    assert answer.status_code == 303, answer.text[:500]
    kept = latest_checks(practice_book)[0]
    assert (kept.name, kept.against, kept.unit) == ("sound input", "a perfect tick", "ppm")
    assert kept.remark.startswith(("clock +0.00", "clock -0.00"))


def test_a_clock_without_its_source_is_refused(bench: Any) -> None:
    assert bench.post("/instruments/clock", period="1", source_ppm="1").status_code == 422
