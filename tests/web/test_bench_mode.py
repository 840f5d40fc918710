"""One job at arm's length: the next action, timers that outlast the page, keys and pedals."""

import time
from typing import Any

import pytest
from playwright.sync_api import Page, Route, expect

from asfound.bench.line import write_line
from asfound.book import in_folder
from asfound.job.bodies import Camera, PartCondition, StepTaken

COVER = StepTaken(action="off", part="cover", lies="A1")
RING = StepTaken(action="off", part="front ring", lies="A2")


@pytest.fixture
def at_bench(bench: Any, job_path: str, words: Any) -> Any:
    """Give a function that returns the words of the practice job's page at arm's length."""
    return lambda query="": words(bench.get(f"{job_path}/bench{query}").text)


def test_the_next_step_of_the_way_back_is_at_hand(at_bench: Any, bench: Any, job_path: str) -> None:
    assert "Way back, step 23" in at_bench()
    assert "Put back finder cover" in at_bench()
    step = bench.get(f"{job_path}/bench").text.rpartition('name="step" value="')[2].partition('"')[0]
    answer = bench.post(f"{job_path}/bench/tick", step=step)
    assert "wrote=" in answer.headers["location"]
    text = bench.follow(answer).text
    assert "Put back finder cover</h2>" not in text
    assert "not done after all" in text
    bench.post(f"{job_path}/bench/tick", step=step, done="no")
    assert "Put back finder cover" in at_bench()


def test_a_line_is_written_and_undone_without_leaving(at_bench: Any, bench: Any, job_path: str) -> None:
    answer = bench.post(f"{job_path}/bench/line", text="mark finder cover: dot against the screw")
    assert answer.headers["location"].startswith(f"{job_path}/bench?wrote=")
    assert "Written: mark on finder cover" in at_bench(answer.headers["location"].partition("bench")[2])
    answer = bench.post(f"{job_path}/bench/undo")
    assert "Undone:" in at_bench(answer.headers["location"].partition("bench")[2])


def test_a_line_not_understood_comes_back_as_typed(bench: Any, job_path: str) -> None:
    answer = bench.post(f"{job_path}/bench/line", text="spacer shim 0.1 mm after 99")
    assert answer.status_code == 422
    assert "Keep it as a note" in answer.text
    assert 'value="spacer shim 0.1 mm after 99"' in answer.text


def test_a_timer_is_an_entry_and_is_ended_by_one(bench: Any, job_path: str, at_bench: Any) -> None:
    answer = bench.post(f"{job_path}/bench/timer", part="front cell", sort="soaks", using="benzine", minutes="20")
    assert answer.status_code == 303
    page = bench.get(f"{job_path}/bench").text
    assert 'max="1200000"' in page
    assert "soaking in benzine, 20 min" in at_bench()
    assert "front cell" in bench.get("/").text
    bench.post(f"{job_path}/bench/ended", part="Front cell")
    assert "soaking in benzine" not in at_bench()
    before = bench.get(job_path).text
    bench.post(f"{job_path}/bench/ended", part="front cell")
    assert bench.get(job_path).text == before


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"part": "ring", "minutes": "soon"}, "no number of minutes"),
        ({"part": "", "minutes": "20"}, "part"),
        ({"part": "ring", "minutes": "0"}, "minutes"),
        ({"part": "ring", "minutes": "1e9"}, "minutes"),
    ],
)
def test_a_timer_for_nothing_is_refused_and_stays_as_typed(
    bench: Any, job_path: str, typed: dict[str, str], said: str
) -> None:
    answer = bench.post(f"{job_path}/bench/timer", sort="cures", using="shellac", **typed)
    assert answer.status_code == 422
    assert said in answer.text
    assert 'value="shellac"' in answer.text
    assert 'class="timerform" open' in answer.text


def test_while_parts_come_off_the_line_is_at_hand_and_the_way_back_one_button_away(
    empty_book: Any, bench_over: Any, words: Any
) -> None:
    job = empty_book.open_job(Camera(model="Invented"), more=[COVER, RING])[0].job
    pages = bench_over(empty_book)
    text = words(pages.get(f"/job/{job}/bench").text)
    assert "Taking apart, 2 steps so far" in text
    assert "front ring off" in text
    assert "Put back front ring" in words(pages.get(f"/job/{job}/bench?do=back").text)


def test_once_all_is_back_what_is_left_comes_one_card_after_the_other(
    empty_book: Any, bench_over: Any, words: Any
) -> None:
    back = StepTaken(action="back", part="cover")
    job = empty_book.open_job(Camera(model="Invented"), more=[COVER, back])[0].job
    pages = bench_over(empty_book)
    first = pages.get(f"/job/{job}/bench").text
    assert "bench?at=1" in first
    assert "Hand it over" in pages.get(f"/job/{job}/bench?at=9999").text
    assert "bench?at=1" not in pages.get(f"/job/{job}/bench?at=9999").text


def test_a_job_just_opened_is_looked_over(empty_book: Any, bench_over: Any) -> None:
    job = empty_book.open_job(Camera(model="Invented"), complaint="It drags")[0].job
    page = bench_over(empty_book).get(f"/job/{job}/bench").text
    assert "Look it over" in page
    assert "It drags" in page


def test_a_bath_that_ended_while_nobody_looked_is_said_to_be_over(
    tmp_path: Any, open_book: Any, bench_over: Any
) -> None:
    book = open_book(in_folder(tmp_path / "slow"), clock=lambda: time.time_ns() // 1_000_000 - 600_000)
    bath = PartCondition(part="cover", condition="soaking", minutes=5)
    job = book.open_job(Camera(model="Invented"), more=[COVER, bath])[0].job
    page = bench_over(book).get(f"/job/{job}/bench").text
    assert "timer is-over" in page
    assert 'data-left="-' in page


@pytest.mark.browser
def test_a_pedal_goes_on_and_back_and_a_calliper_types_into_the_line(
    page: Page, practice_address: str, job_path: str
) -> None:
    page.goto(f"{practice_address}{job_path}/bench")
    title = page.locator("#do")
    expect(title).to_have_text("Put back finder cover")
    page.keyboard.press("PageDown")
    expect(title).not_to_have_text("Put back finder cover")
    expect(page.get_by_role("status")).to_contain_text("done")
    expect(title).to_be_focused()
    page.keyboard.press("PageUp")
    expect(title).to_have_text("Put back finder cover")
    page.keyboard.press("Space")
    expect(title).not_to_have_text("Put back finder cover")
    expect(title).to_be_focused()
    page.keyboard.type("0.38 drag")
    expect(page.locator("#line")).to_have_value("0.38 drag")
    expect(page.locator("#preview")).to_contain_text("thou")
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("0.3800")
    expect(page.locator("#line")).to_have_value("")


@pytest.mark.browser
def test_a_number_typed_before_the_page_has_come_belongs_to_that_page(page: Page, serve: Any, empty_book: Any) -> None:
    job = empty_book.open_job(Camera(model="Invented"))[0].job
    for line in ("off cover", "gap at pointer 0.40, restore", "height at front 1.20, restore", "back cover"):
        write_line(empty_book, job, line)
    page.goto(f"{serve(empty_book)}/job/{job}/bench")
    expect(page.locator("#do")).to_have_text("Measure gap pointer")
    held: list[Route] = []
    page.route("**/bench/line", lambda route: route.continue_() if held else held.append(route))
    page.keyboard.type("0.40 mm\n1.20 mm\n")
    while not held:
        page.wait_for_timeout(20)
    held[0].continue_()
    expect(page.get_by_role("status")).to_contain_text("height at front: 1.2")
    taken = [entry.body for entry in empty_book.entries(job) if entry.kind == "reading"][-2:]
    said = [(body.quantity, body.place, body.reading.value) for body in taken]
    assert said == [("gap", "pointer", 0.4), ("height", "front", 1.2)]


@pytest.mark.browser
def test_a_timer_counts_down_and_is_heard_of_on_the_list(page: Page, practice_address: str, job_path: str) -> None:
    page.goto(f"{practice_address}{job_path}/bench")
    page.locator("summary", has_text="Start a timer").click()
    page.get_by_label("Part").fill("front cell")
    page.locator("input[name=using]").fill("benzine")
    page.get_by_label("Minutes").fill("20")
    page.get_by_role("button", name="Start it").click()
    clock = page.locator(".timer .clock")
    expect(clock).to_contain_text("19:")
    page.goto(practice_address)
    expect(page.locator(".area-dates .clock")).to_contain_text("19:")


@pytest.mark.browser
def test_without_scripts_the_page_at_arms_length_still_goes_on(
    plain_page: Page, practice_address: str, job_path: str
) -> None:
    plain_page.goto(f"{practice_address}{job_path}/bench")
    plain_page.get_by_role("button", name="Done, next").click()
    expect(plain_page.locator("#do")).not_to_have_text("Put back finder cover")
    plain_page.get_by_label("Quick line").fill("mark finder cover: a dot")
    plain_page.get_by_label("Quick line").press("Enter")
    expect(plain_page.get_by_role("status")).to_contain_text("Written: mark on finder cover")
