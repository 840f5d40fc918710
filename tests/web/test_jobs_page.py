"""The list of jobs: an empty book, opening a job, search."""

import datetime
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from asfound.book import in_folder
from asfound.job.bodies import Camera, PartCondition, PartOrdered, StepTaken
from asfound.web.camera_form import CameraForm, read_camera_form
from asfound.web.finding import marked


def test_an_empty_book_offers_the_practice_job_by_one_button(empty_bench: Any) -> None:
    page = empty_bench.get("/").text
    assert page.count('action="/practice"') == 1
    shown = empty_bench.follow(empty_bench.post("/practice"))
    assert shown.status_code == 200
    assert "entries, newest first" in shown.text
    assert "Could be done today" in empty_bench.get("/").text


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


def test_the_list_says_what_can_be_done_now(bench: Any, words: Any) -> None:
    line = bench.get("/api/jobs").json()[0]
    text = words(bench.get("/").text)
    assert "next put back" in text
    assert f"{line['off']} part" in text


BATH = PartCondition(part="retard train", condition="soaking", using="benzine", minutes=20)
COVER = StepTaken(action="off", part="cover", lies="A1")


@pytest.fixture
def book_and_list(tmp_path: Path, open_book: Any, bench_over: Any) -> tuple[Any, Callable[[], str]]:
    """Give a book whose clock is ten minutes slow, and a function that shows its list of jobs."""
    book = open_book(in_folder(tmp_path / "slow"), clock=lambda: time.time_ns() // 1_000_000 - 600_000)
    client = bench_over(book)
    return book, lambda: client.get("/").text


def test_a_camera_that_only_waits_is_not_among_those_that_could_be_done_today(
    book_and_list: Any, words: Callable[[str], str]
) -> None:
    book, show = book_and_list
    soaking = COVER.model_copy(update={"part": "retard train"})
    book.open_job(Camera(model="In the bath"), more=[soaking, BATH])
    book.open_job(Camera(model="Sent away"), more=[PartOrdered(part="bellows", expected=datetime.date(2999, 1, 1))])
    book.open_job(Camera(model="On the bench"), more=[COVER])
    text = words(show())
    today, waiting = text.index("Could be done today 1"), text.index("Waiting 2")
    assert today < text.index("On the bench", today) < waiting < text.index("In the bath", waiting)
    assert text.index("In the bath", waiting) < text.index("Sent away", waiting)
    assert "until " in text
    assert "expected Tuesday 1 January 2999" in text


def test_a_bath_that_is_over_brings_its_camera_to_the_front(book_and_list: Any, words: Callable[[str], str]) -> None:
    book, show = book_and_list
    book.open_job(
        Camera(model="Out of the bath"),
        more=[COVER.model_copy(update={"part": "retard train"}), BATH.model_copy(update={"minutes": 5})],
    )
    book.open_job(Camera(model="On the bench"), more=[COVER])
    text = words(show())
    assert text.index("Could be done today 2") < text.index("Out of the bath") < text.index("On the bench next")
    assert "over since" in text


def test_dates_stand_in_their_order_each_with_its_camera(book_and_list: Any, words: Callable[[str], str]) -> None:
    book, show = book_and_list
    today = datetime.datetime.now().astimezone().date()
    for days, model in ((9, "Third"), (-3, "First"), (0, "Second")):
        due = today + datetime.timedelta(days=days)
        book.open_job(Camera(model=model), more=[PartOrdered(part="felt", where="the maker", expected=due)])
    text = words(show()).partition("Dates")[2].partition("Waiting")[0]
    assert text.index("First") < text.index("Today") < text.index("Second") < text.index("Third")
    assert "was expected" in text.partition("First")[0]


def test_the_owners_word_is_waited_for_as_such(book_and_list: Any, words: Callable[[str], str]) -> None:
    book, show = book_and_list
    asked = PartOrdered(part="the owner's word on new bellows")
    book.open_job(Camera(model="Asked about"), more=[asked])
    assert "asked the owner's word on new bellows" in words(show()).replace("&#39;", "'")


def test_what_is_typed_is_looked_for_without_the_page_around_it(bench: Any, job_path: str) -> None:
    answer = bench.get("/search?q=pall")
    assert "<html" not in answer.text
    assert f"{job_path}?whole=yes#entry-" in answer.text
    assert "<mark>pallet</mark>" in answer.text
    assert "No entry has these words" in bench.get("/search?q=").text


def test_found_words_are_marked_whatever_their_accents_and_case() -> None:
    pieces = marked("Ölig: the PALLET, palette", "pal olig")
    assert [piece.text for piece in pieces if piece.marked] == ["Ölig", "PALLET", "palette"]
    assert "".join(piece.text for piece in pieces) == "Ölig: the PALLET, palette"


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
    assert "Show the 10 left out" in page
    assert empty_bench.get("/?whole=yes").text.count('class="jobrow"') == 60


def test_what_is_not_there_is_said_plainly(bench: Any) -> None:
    for path in ("/job/nothing", "/job/00000000-0000-0000-0000-000000000000", "/nothing"):
        answer = bench.get(path)
        assert answer.status_code == 404
        assert "Traceback" not in answer.text
    assert bench.get("/jobs").headers["location"] == "/"
