"""What is said of a recording and of its dial: arrangement, struck shots, tolerances, grouping."""

import math
import re
import shutil
import time
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from asfound.bench.measured import How
from asfound.bench.said import how_of
from asfound.web.shutter.how import FIELDS, read_how, typed_of

NOT_SAID = {one.name: "" for one in FIELDS}
DIAL = {"marked": "1/25, 1/50, 1/100", "shots": "1", "tolerance": "1/3", "stage": "working"}


@pytest.fixture
def measured(bench: Any, job_path: str, wav_file: Path) -> str:
    """Keep and measure three shots at 1/25, 1/50 and 1/100 s, each a tenth long; give the entry."""
    files = {"file": ("three shots.wav", wav_file.read_bytes(), "audio/wav")}
    answer = bench.post(f"{job_path}/recordings", files=files, stage="working")
    entry = answer.headers["location"].split("recording=")[1]
    settled(bench, f"{job_path}/shutter?recording={entry}")
    return str(entry)


def settled(bench: Any, address: str) -> str:
    """Return the page once the measuring is done."""
    for _ in range(600):
        page: str = bench.get(address).text
        if "Stop measuring" not in page:
            return page
        time.sleep(0.05)
    raise TimeoutError


def field(page: str, name: str) -> str:
    return next(part for part in re.split(r'<(?:label|fieldset) class="field', page) if f'name="{name}"' in part)


def table(job_path: str, practice_book: Any) -> Any:
    return practice_book.job(practice_book.jobs()[0].id).tables[-1].body


def test_how_it_was_recorded_is_kept_and_goes_with_every_time(
    bench: Any, job_path: str, measured: str, practice_book: Any
) -> None:
    assert "aperture in use was not said" in bench.get(f"{job_path}/shutter?recording={measured}").text
    said = NOT_SAID | {"aperture": "3.5", "pupil": "whole", "response": "20 us", "slow_motion": "1"}
    answer = bench.post(f"{job_path}/shutter/measure", recording=measured, **said)
    page = settled(bench, answer.headers["location"])
    assert "Shot at f/3.5; the sensor sees the whole pupil" in page
    assert 'value="3.5"' in field(page, "aperture")
    assert bench.post(f"{job_path}/shutter/dial", recording=measured, **DIAL).status_code == 303
    assert "Shot at f/3.5" in table(job_path, practice_book).note
    job = practice_book.job(practice_book.jobs()[0].id)
    how = how_of(job, job.recordings[-1][0])
    assert (how.aperture, how.whole_pupil, how.kind) == (3.5, True, None)
    assert how.response_s == pytest.approx(20e-6)


@pytest.mark.parametrize(
    ("name", "typed", "told"),
    [
        ("aperture", "0.1", "out of all proportion"),
        ("channel", "1.5", "is no channel"),
        ("region", "0.6, 0, 0.4, 1", "is no rectangle"),
        ("response", "3 s", "out of all proportion"),
        ("pupil", "half", "none of the choices"),
    ],
)
def test_what_is_wrong_with_the_arrangement_stands_beside_its_field(
    bench: Any, job_path: str, measured: str, name: str, typed: str, told: str
) -> None:
    answer = bench.post(f"{job_path}/shutter/measure", recording=measured, **(NOT_SAID | {name: typed}))
    assert answer.status_code == 422
    assert told in field(answer.text, name)
    assert '<details class="group" id="how" open>' in answer.text


def test_a_file_that_is_no_video_is_told_in_words_of_the_page(bench: Any, job_path: str, measured: str) -> None:
    answer = bench.post(f"{job_path}/shutter/measure", recording=measured, **(NOT_SAID | {"kind": "video"}))
    page = settled(bench, answer.headers["location"])
    assert 'role="alert"' in page
    assert "--" not in re.sub(r"<[^>]+>", "", page)
    again = bench.post(f"{job_path}/shutter/measure", recording=measured, **NOT_SAID)
    assert "Firing 1" in settled(bench, again.headers["location"])


def test_every_arrangement_comes_back_as_typed() -> None:
    how = How(
        kind="sound", channel=1, aperture=4.5, whole_pupil=False, diffuse=True, agrees_when_dimmed=False,
        sensor_mm=3.0, distance_mm=12.5, response_s=5e-5, click_offset_s=-1.2e-3, u_click_offset_s=2e-4,
        slow_motion=8.0, region=(0.1, 0.2, 0.6, 0.75),
    )  # fmt: skip
    again = read_how(typed_of(how))
    assert again.response_s == pytest.approx(how.response_s)
    assert again.click_offset_s == pytest.approx(how.click_offset_s)
    assert again.u_click_offset_s == pytest.approx(how.u_click_offset_s)
    assert (again.region, again.kind, again.channel, again.slow_motion) == (how.region, "sound", 1, 8.0)
    assert read_how(typed_of(How())) == How()


def test_a_bad_shot_is_struck_by_its_box(bench: Any, job_path: str, measured: str, practice_book: Any) -> None:
    page = bench.get(f"{job_path}/shutter?recording={measured}").text
    assert page.count('name="struck"') == 3
    assert page.count('form="set-form"') == 3
    bench.follow(bench.post(f"{job_path}/shutter/dial", recording=measured, struck="2", **DIAL))
    body = table(job_path, practice_book)
    assert [row.marked for row in body.rows] == ["1/25", "1/100"]
    assert "Struck through as bad shots: 1 at 1/50." in body.note
    refused = bench.post(f"{job_path}/shutter/dial", recording=measured, struck="2", **(DIAL | {"shots": "2"}))
    assert refused.status_code == 422
    assert re.search(r'name="struck" value="2"[^>]* checked', refused.text)
    assert "3 firings are there" in field(refused.text, "shots")


def test_firings_may_go_to_the_nearest_speed(bench: Any, job_path: str, measured: str, practice_book: Any) -> None:
    form = DIAL | {"marked": "1/100, 1/50, 1/25", "grouping": "nearest speed", "shots": "3"}
    bench.follow(bench.post(f"{job_path}/shutter/dial", recording=measured, **form))
    rows = {row.marked: row for row in table(job_path, practice_book).rows}
    for row in rows.values():
        assert row.error_stops == pytest.approx(math.log2(1.1), abs=0.01)  # each was made a tenth long
    wrong = bench.post(f"{job_path}/shutter/dial", recording=measured, **(form | {"rested": "yes"}))
    assert "a rested shot is told by its place in the order" in field(wrong.text, "rested")


def test_tolerances_are_wider_on_the_top_speed_and_ones_own_where_given(
    bench: Any, job_path: str, measured: str, practice_book: Any
) -> None:
    form = DIAL | {"marked": "1/25, 1/50, 1/250", "top_tolerance": "1/2", "own": "1/50: 1/10"}
    bench.follow(bench.post(f"{job_path}/shutter/dial", recording=measured, **form))
    body = table(job_path, practice_book)
    assert [row.tolerance_stops for row in body.rows] == pytest.approx([1 / 3, 0.1, 0.5])
    assert body.tolerance_source == "given by the user, no source"
    unknown = bench.post(f"{job_path}/shutter/dial", recording=measured, **(DIAL | {"own": "1/500: 1/2"}))
    assert "is none of the speeds of this dial" in field(unknown.text, "own")


def test_what_was_said_outlives_the_cache_and_the_server(
    bench: Any, bench_over: Any, job_path: str, measured: str, practice_book: Any
) -> None:
    said = NOT_SAID | {"aperture": "3.5", "pupil": "whole"}
    settled(bench, bench.post(f"{job_path}/shutter/measure", recording=measured, **said).headers["location"])
    form = DIAL | {"shots": "1", "tolerance": "1/4", "own": "1/50: 1/10", "marks": "face value"}
    bench.follow(bench.post(f"{job_path}/shutter/dial", recording=measured, struck="2", **form))
    rows = table(job_path, practice_book).rows
    shutil.rmtree(practice_book.location.folder / "measured")
    anew = bench_over(practice_book)
    page = settled(anew, f"{job_path}/shutter?recording={measured}")
    assert "Shot at f/3.5; the sensor sees the whole pupil" in page
    assert 'value="1/4"' in field(page, "tolerance")
    assert 'value="1/50: 1/10"' in field(page, "own")
    assert re.search(r'name="struck" value="2"[^>]* checked', page)
    assert len(re.findall(r'name="struck" value="[0-9]+"[^>]* checked', page)) == 1
    again = {name: unescape(value) for name, value in re.findall(r'name="(\w+)" value="([^"]*)"', field_set(page))}
    anew.follow(anew.post(f"{job_path}/shutter/dial", recording=measured, struck="2", **(form | again)))
    assert table(job_path, practice_book).rows == rows


def field_set(page: str) -> str:
    """Return the form of the dial, but for what names the recording and the form itself."""
    part = page[page.index('id="set-form"') :]
    return re.sub(r'<input type="(?:hidden|radio)"[^>]*>', "", part[: part.index("</form>")])


def test_what_was_said_is_undone_and_what_was_found_before_is_shown_again(
    bench: Any, job_path: str, measured: str
) -> None:
    said = NOT_SAID | {"aperture": "3.5"}
    settled(bench, bench.post(f"{job_path}/shutter/measure", recording=measured, **said).headers["location"])
    bench.post(f"{job_path}/wayback/undo")
    page = bench.get(f"{job_path}/shutter?recording={measured}").text
    assert "aperture in use was not said" in page
    assert "Firing 1" in page
    assert 'value=""' in field(page, "aperture") or 'value="3.5"' not in field(page, "aperture")


def test_what_was_said_stands_among_the_entries(bench: Any, job_path: str, measured: str) -> None:
    said = NOT_SAID | {"aperture": "3.5", "channel": "1"}
    settled(bench, bench.post(f"{job_path}/shutter/measure", recording=measured, **said).headers["location"])
    page = bench.get(job_path).text
    assert "channel 1, shot at f/3.5" in page
