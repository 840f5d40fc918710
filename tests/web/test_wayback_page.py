"""The way back ticked off: the next action, the order that stays, what belongs to each step."""

import re
from typing import Any
from uuid import UUID

from hypothesis import given
from hypothesis import strategies as st

from asfound.web.wayback_page import hold_order

steps = st.lists(st.uuids(), unique=True, max_size=12)


def wayback(bench: Any, job_path: str) -> dict[str, Any]:
    found: dict[str, Any] = bench.get("/api" + job_path.replace("/job/", "/jobs/") + "/wayback").json()
    return found


def next_step(page: str) -> str:
    found = re.search(r'data-advance>.*?name="step" value="([^"]+)"', page, re.DOTALL)
    assert found is not None
    return found[1]


def order_on(page: str) -> list[str]:
    return re.findall(r'name="step" value="([^"]+)"', page.split("The whole way")[1])


def test_each_step_is_ticked_until_everything_is_back(bench: Any, job_path: str) -> None:
    page = bench.get(job_path + "/wayback").text
    left = sum(not step["done"] for step in wayback(bench, job_path)["steps"])
    for _ in range(left):
        assert "Done, next" in page
        page = bench.follow(bench.post(job_path + "/wayback/tick", step=next_step(page))).text
    assert "Everything is back" in page
    assert all(step["done"] for step in wayback(bench, job_path)["steps"])


def test_a_tick_sent_twice_is_one_entry_and_can_be_taken_back(bench: Any, job_path: str, practice_book: Any) -> None:
    job_id = practice_book.jobs()[0].id
    step = next_step(bench.get(job_path + "/wayback").text)
    before = len(practice_book.entries(job_id))
    for _ in range(2):
        bench.post(job_path + "/wayback/tick", step=step)
    assert len(practice_book.entries(job_id)) == before + 1
    page = bench.follow(bench.post(job_path + "/wayback/tick", step=step, done="no")).text
    assert next_step(page) == step


def test_the_order_shown_stays_when_a_part_begins_to_wait_and_a_better_one_is_offered(
    bench: Any, job_path: str
) -> None:
    bench.post(job_path + "/line", text="off first test piece, tray X1, freed by nothing")
    bench.post(job_path + "/line", text="off second test piece, tray X2, freed by nothing")
    shown = bench.get(job_path + "/wayback").text
    bench.post(job_path + "/line", text="soaking second test piece in water")
    later = bench.get(job_path + "/wayback").text
    assert order_on(later) == order_on(shown)
    assert "Take the new order" in later
    taken = bench.follow(bench.post(job_path + "/wayback/order")).text
    assert order_on(taken) != order_on(shown)
    assert "Take the new order" not in taken


def test_a_step_shows_where_it_lies_its_fasteners_marks_and_caution(bench: Any, job_path: str, words: Any) -> None:
    bench.post(job_path + "/line", text="off test spring, 2 screws M1.4 x 2.5 1 chewed, tray Y7, freed by nothing")
    bench.post(job_path + "/line", text="mark test spring: long leg to the left")
    text = words(bench.get(job_path + "/wayback").text).split("The whole way")[0]
    for wanted in ("Put back test spring", "Y7", "M1.4 × 2.5 mm", "1 damaged", "long leg to the left"):
        assert wanted in text, wanted
    assert "Caution, spring under load." in text
    assert "Local rules and licensed practice come first." in text


def test_a_step_shows_the_photographs_that_belong_to_it(bench: Any, job_path: str, photograph: bytes) -> None:
    bench.post(job_path + "/line", text="off test piece, tray Y7")
    bench.post(job_path + "/photos", files={"file": ("piece.jpg", photograph, "image/jpeg")}, caption="as it lay")
    page = bench.get(job_path + "/wayback").text.split("The whole way")[0]
    assert 'alt="as it lay"' in page


def test_a_part_that_nobody_said_the_place_of_is_not_accounted_for(bench: Any, job_path: str, words: Any) -> None:
    bench.post(job_path + "/line", text="off test piece")
    text = words(bench.get(job_path + "/wayback").text)
    assert "Not accounted for" in text
    assert "where test piece lies was not said" in text


def test_a_job_with_nothing_off_says_how_the_way_back_begins(empty_bench: Any) -> None:
    path = empty_bench.post("/jobs", model="Invented").headers["location"]
    assert "Nothing came off yet" in empty_bench.get(path + "/wayback").text


def test_a_step_of_no_job_is_not_found(bench: Any, job_path: str) -> None:
    assert bench.post(job_path + "/wayback/tick", step=str(UUID(int=1))).status_code in (404, 409)
    assert bench.post(job_path + "/wayback/tick", step="7").status_code == 422


@given(steps, steps)
def test_the_order_held_has_exactly_the_steps_there_are(shown: list[UUID], fresh: list[UUID]) -> None:
    assert sorted(hold_order(shown, fresh)) == sorted(fresh)


@given(st.permutations(range(8)), st.permutations(range(8)))
def test_the_order_held_is_the_order_shown(shown: list[int], fresh: list[int]) -> None:
    ids = [UUID(int=n) for n in range(8)]
    held = hold_order([ids[n] for n in shown], [ids[n] for n in fresh])
    assert held == tuple(ids[n] for n in shown)


@given(steps)
def test_without_an_order_shown_the_fresh_one_is_taken(fresh: list[UUID]) -> None:
    assert hold_order((), fresh) == tuple(fresh)


@given(steps, st.data())
def test_new_steps_leave_the_others_in_their_order(shown: list[UUID], data: st.DataObject) -> None:
    new = data.draw(steps.map(lambda more: [one for one in more if one not in shown]))
    fresh = data.draw(st.permutations([*shown, *new]))
    held = hold_order(shown, fresh)
    assert [one for one in held if one in shown] == shown
