"""The list of jobs: an empty book, opening a job, search."""

from typing import Any

import pytest

from asfound.job.bodies import Camera
from asfound.web.camera_form import CameraForm, read_camera_form


def test_an_empty_book_offers_the_practice_job_by_one_button(empty_bench: Any) -> None:
    page = empty_bench.get("/").text
    assert page.count('action="/practice"') == 1
    shown = empty_bench.follow(empty_bench.post("/practice"))
    assert shown.status_code == 200
    assert "entries, newest first" in shown.text
    assert "waits for" in empty_bench.get("/").text


def test_a_job_is_opened_by_the_form(empty_bench: Any) -> None:
    answer = empty_bench.post(
        "/jobs",
        model="Invented Six",
        focal_length_mm="105",
        largest_aperture="f/3,5",
        marked_speeds="1, 1/2",
        complaint="It <sticks>",
    )
    page = empty_bench.follow(answer).text
    assert "Invented Six" in page
    assert "105 mm f/3.5" in page
    assert "It &lt;sticks&gt;" in page
    line = empty_bench.get("/api/jobs").json()[0]
    assert (line["camera"], line["handed_over"]) == ("Invented Six", False)


def test_a_form_with_a_fault_comes_back_as_typed_with_its_message_beside_the_field(empty_bench: Any) -> None:
    answer = empty_bench.post("/jobs", model="", maker="Somebody", focal_length_mm="long", complaint="my words")
    assert answer.status_code == 422
    assert "nothing is said of the camera" in answer.text
    assert "&#39;long&#39; is no number" in answer.text
    for typed in ('value="Somebody"', 'value="long"', "my words"):
        assert typed in answer.text
    assert empty_bench.get("/api/jobs").json() == []


def test_a_taken_job_number_is_said_at_its_field(bench: Any) -> None:
    ticket = bench.get("/api/jobs").json()[0]["ticket"]
    answer = bench.post("/jobs", model="Another", ticket=ticket)
    assert answer.status_code == 409
    assert "Take 2." in answer.text
    assert f'name="ticket" value="{ticket}" autocomplete="off" aria-invalid="true"' in answer.text


def test_texts_longer_than_an_entry_takes_are_said_and_kept(empty_bench: Any) -> None:
    answer = empty_bench.post("/jobs", model="x", ticket="9" * 300, complaint="w" * 21_000)
    assert answer.status_code == 422
    assert "longer than the 200 characters" in answer.text
    assert "w" * 21_000 in answer.text
    assert empty_bench.get("/api/jobs").json() == []


def test_search_finds_an_entry_and_leads_to_it(bench: Any, job_path: str) -> None:
    page = bench.get("/?q=pallet").text
    assert f"{job_path}?whole=yes#entry-" in page
    assert "No entry has these words" in bench.get("/?q=zeppelin").text


def test_the_list_says_what_a_job_waits_for(bench: Any, words: Any) -> None:
    line = bench.get("/api/jobs").json()[0]
    text = words(bench.get("/").text)
    assert line["waits_for"] in text
    assert f"{line['off']} part" in text


@pytest.mark.parametrize("value", ["0", "-1", "99999", "1/0", "1e999"])
def test_an_impossible_focal_length_is_a_problem_and_no_crash(value: str) -> None:
    camera, problems = read_camera_form(CameraForm(model="x", focal_length_mm=value))
    assert camera is None
    assert list(problems) == ["focal_length_mm"]


def test_the_form_as_it_stands_needs_only_the_camera() -> None:
    camera, problems = read_camera_form(CameraForm(model="x"))
    assert problems == {}
    assert camera is not None
    assert camera.marked_speeds == ("1", "1/2", "1/5", "1/10", "1/25", "1/50", "1/100", "1/250")


def test_a_long_list_shows_those_touched_last_and_offers_the_rest(empty_bench: Any, empty_book: Any) -> None:
    for n in range(60):
        empty_book.open_job(Camera(model=f"Invented {n}"))
    page = empty_bench.get("/").text
    assert page.count('class="jobrow"') == 50
    assert "Invented 59" in page
    assert "Show the 10 touched longer ago" in page
    assert empty_bench.get("/?whole=yes").text.count('class="jobrow"') == 60


def test_what_is_not_there_is_said_plainly(bench: Any) -> None:
    for path in ("/job/nothing", "/job/00000000-0000-0000-0000-000000000000", "/nothing"):
        answer = bench.get(path)
        assert answer.status_code == 404
        assert "Traceback" not in answer.text
    assert bench.get("/jobs").headers["location"] == "/"
