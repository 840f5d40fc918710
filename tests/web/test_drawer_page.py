"""The drawer's page: put in, look for, take out; and the jobs' pages that lead to it."""

from typing import Any

import pytest

SCREW = {"kind": "screws", "thread": "M1.4", "length": "2.5", "head": "cheese", "drive": "slot", "count": "3"}


def test_an_empty_drawer_says_what_goes_into_it(bench: Any, words: Any) -> None:
    text = words(bench.get("/drawer").text)
    for title in ("Springs 0", "Screws 0", "Felt, plush and foam 0", "Donors 0"):
        assert title in text


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (SCREW, "cheese slot screw M1.4 × 2.5 mm"),
        ({"kind": "felt", "thickness": "1.2", "colour": "black"}, "felt 1.2 mm, black"),
        ({"kind": "donors", "camera": "Ostrel Junior", "has": "bellows"}, "Ostrel Junior, has bellows"),
    ],
)
def test_what_is_put_in_is_shown_and_can_be_taken_out(bench: Any, words: Any, typed: dict[str, str], said: str) -> None:
    page = bench.follow(bench.post("/drawer/put", **typed)).text
    assert f"In: {said}" in words(page)
    text = page.partition('name="text" value="')[2].partition('"')[0].replace("&#34;", '"')
    answer = bench.post("/drawer/take", kind=typed["kind"], number="1", text=text)
    assert f"Out: {said}" in words(bench.follow(answer).text)
    assert "Take out" not in bench.get("/drawer").text


def test_what_cannot_be_kept_comes_back_as_typed_with_its_problem(bench: Any) -> None:
    answer = bench.post("/drawer/put", **(SCREW | {"length": "long", "head": "<pan>"}))
    assert answer.status_code == 422
    assert "&lt;pan&gt;" in answer.text
    assert "long" in answer.text.partition('class="problem"')[2][:200]
    assert bench.post("/drawer/put", kind="lenses").status_code == 404


def test_screws_are_taken_out_by_number(bench: Any, words: Any) -> None:
    bench.post("/drawer/put", **SCREW)
    line = "M1.4,2.5,cheese,slot,3,,"
    assert bench.post("/drawer/take", kind="screws", number="1", text=line, count="2").status_code == 303
    assert "1 cheese slot screw" in words(bench.get("/drawer").text)
    for count in ("9", "some"):
        answer = bench.post("/drawer/take", kind="screws", number="1", text="M1.4,2.5,cheese,slot,1,,", count=count)
        assert answer.status_code == 422
    assert bench.post("/drawer/take", kind="screws", number="1", text=line).status_code == 404


def test_a_screw_that_is_looked_for_is_answered_with_what_differs(bench: Any, words: Any) -> None:
    bench.post("/drawer/put", **SCREW)
    text = words(bench.get("/drawer?thread=M1.4&length=2.8").text)
    assert "Looked for: screw M1.4 × 2.8 mm" in text
    assert "0.3 mm shorter" in text
    assert "None of this thread" in bench.get("/drawer?thread=M2").text
    for odd in ("length=-3", "length=1e9", "length=x"):
        assert bench.get(f"/drawer?thread=M2&{odd}").status_code == 200


def test_a_damaged_screw_of_a_job_leads_to_the_drawer(bench: Any, job_path: str, words: Any) -> None:
    bench.post(f"{job_path}/line", text="off rear plate, 4 cheese screws M1.4 x 2.5, 1 chewed, tray E1")
    assert "In the drawer" not in bench.get(f"{job_path}/teardown/ledger").text
    bench.post("/drawer/put", **SCREW)
    page = bench.get(f"{job_path}/teardown/ledger").text
    assert "In the drawer: 3 of these" in page
    assert "/drawer?thread=M1.4&amp;length=2.5&amp;head=cheese" in page


def test_a_loose_screw_that_was_told_by_its_thread_is_looked_for_too(bench: Any, job_path: str) -> None:
    bench.post("/drawer/put", **SCREW)
    page = bench.get(f"{job_path}/teardown/screw?diameter=1.37&pitch=0.3&length=2.5&head=cheese&sure=0.02").text
    assert "In the drawer: 3 of these" in page


def test_a_lost_spring_is_offered_what_the_drawer_holds_with_its_caution(bench: Any, job_path: str, words: Any) -> None:
    bench.post(f"{job_path}/line", text="lost left strut spring")
    assert "The drawer holds nothing for it" in words(bench.get(f"{job_path}/teardown/ledger").text)
    spring = {"wire": "0.5", "outside_diameter": "5.5", "turns": "6.25", "leg_1": "10", "leg_2": "10"}
    bench.post("/drawer/put", kind="springs", name="bag 7", hand="right", **spring)
    for page in ("teardown/ledger", "springs/drawer"):
        text = words(bench.get(f"{job_path}/{page}").text)
        assert "Left strut spring is lost" in text
        assert "bag 7: 0.5 mm wire" in text
        assert "wear eye protection" in text
