"""The way back ticked off: the next action, the order that stays, what belongs to each step."""

import re
from html import unescape
from typing import Any
from uuid import UUID

from asfound.job import way_back_of


def wayback(bench: Any, job_path: str) -> dict[str, Any]:
    found: dict[str, Any] = bench.get("/api" + job_path.replace("/job/", "/jobs/") + "/wayback").json()
    return found


def next_step(page: str) -> str:
    found = re.search(r'data-advance>.*?name="step" value="([^"]+)"', page, re.DOTALL)
    assert found is not None
    return found[1]


def order_on(page: str) -> list[str]:
    return re.findall(r'name="step" value="([^"]+)"', page.split("The whole way")[1].split("What freed what")[0])


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
    # The order worked by is kept with the first tick; then the tick itself.
    assert [entry.kind for entry in practice_book.entries(job_id)[before:]] == ["order", "tick"]
    page = bench.follow(bench.post(job_path + "/wayback/tick", step=step, done="no")).text
    assert next_step(page) == step


def test_the_order_shown_stays_when_a_part_begins_to_wait_and_a_better_one_is_offered(
    bench: Any, job_path: str
) -> None:
    for piece in ("first", "second", "third"):
        bench.post(job_path + "/line", text=f"off {piece} test piece, tray X1, freed by nothing")
    begun = next_step(bench.get(job_path + "/wayback").text)
    shown = bench.follow(bench.post(job_path + "/wayback/tick", step=begun)).text
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


def test_screws_are_started_before_any_is_tightened(bench: Any, job_path: str, words: Any) -> None:
    bench.post(job_path + "/line", text="off test cover, 4 screws M1.4 x 2, tray Y7, freed by nothing")
    text = words(bench.get(job_path + "/wayback").text).split("The whole way")[0]
    assert "Start all 4 before tightening any" in text


def test_fasteners_are_counted_before_something_is_shut_in(bench: Any, job_path: str, words: Any) -> None:
    text = words(bench.get(job_path + "/wayback").text).split("The whole way")[1]
    assert "Count on the tray before closing 1 × spanner holes ring" in text


def test_a_proof_stands_at_its_cheapest_step_with_what_failing_costs(bench: Any, job_path: str, words: Any) -> None:
    text = words(bench.get(job_path + "/wayback").text).split("Put back distance ring")[1]
    assert "Gap pointer: missing, before leather disc goes back; failing costs 1 step here, 3 at the end" in text


def test_a_better_order_says_what_it_saves_and_the_book_keeps_it(
    bench: Any, job_path: str, words: Any, practice_book: Any
) -> None:
    for piece, tool in (("first", "fine blade"), ("second", "spanner"), ("third", "fine blade")):
        bench.post(job_path + "/line", text=f"off {piece} piece, tray X1, freed by nothing, with {tool}")
    assert "changes of tool" in words(bench.get(job_path + "/wayback").text)
    taken = order_on(bench.follow(bench.post(job_path + "/wayback/order")).text)
    job = practice_book.job(practice_book.jobs()[0].id)
    assert [str(step.step.id) for step in way_back_of(job).steps] == taken
    assert bench.post(job_path + "/wayback/order").status_code == 409
    assert "order of the way back" in bench.get(job_path).text


def test_the_order_somebody_works_by_is_kept_with_the_next_tick(bench: Any, job_path: str, practice_book: Any) -> None:
    for piece in ("first", "second"):
        bench.post(job_path + "/line", text=f"off {piece} test piece, tray X1, freed by nothing")
    bench.post(job_path + "/line", text="soaking second test piece in water")
    page = bench.get(job_path + "/wayback").text
    shown = order_on(page)
    bench.post(job_path + "/wayback/tick", step=next_step(page))
    bench.post(job_path + "/line", text="dry second test piece")
    job = practice_book.job(practice_book.jobs()[0].id)
    assert [str(step.step.id) for step in way_back_of(job).steps] == shown


def test_the_order_is_the_same_before_the_first_tick_whoever_shows_it(
    bench: Any, bench_over: Any, job_path: str, practice_book: Any
) -> None:
    for piece in ("first", "second"):
        bench.post(job_path + "/line", text=f"off {piece} test piece, tray X1, freed by nothing")
    bench.post(job_path + "/line", text="soaking second test piece in water")
    shown = order_on(bench.get(job_path + "/wayback").text)
    entries = practice_book.job(practice_book.jobs()[0].id).entries
    anew = bench_over(practice_book)  # a server that remembers nothing
    for server in (anew, bench):
        assert order_on(server.get(job_path + "/wayback").text) == shown
    job = practice_book.job(practice_book.jobs()[0].id)
    assert [str(step.step.id) for step in way_back_of(job).steps] == list(dict.fromkeys(shown))
    assert job.entries == entries  # looking writes nothing


def chips(page: str) -> list[str]:
    return [unescape(text) for text in re.findall(r'aria-label="Loosen: ([^"]+)"', page)]


def tapped(page: str, label: str) -> dict[str, str]:
    """Return the hidden fields of the form whose button is called so."""
    form = page[: page.index(f'aria-label="{label}"')].rpartition("<form")[2]
    return dict(re.findall(r'name="(step|freed_by|what)" value="([^"]*)"', form))


def test_an_assumed_freeing_is_loosened_by_one_tap_and_comes_back_by_one_key(
    bench: Any, job_path: str, words: Any
) -> None:
    for piece in ("first", "second", "third"):
        bench.post(job_path + "/line", text=f"off {piece} piece, tray X1")
    page = bench.get(job_path + "/wayback").text
    label = next(
        label for label in chips(page) if re.match(r"\d+ third piece was not freed by \d+ second piece", label)
    )
    page = bench.follow(bench.post(job_path + "/wayback/loosen", **tapped(page, f"Loosen: {label}"))).text
    assert label not in chips(page)
    assert any(re.match(r"\d+ third piece was not freed by \d+ first piece", other) for other in chips(page))
    assert re.search(r"Written: step \d+ third piece not freed by \d+ second piece", words(page))
    page = bench.follow(bench.post(job_path + "/wayback/undo")).text
    assert label in chips(page)
    assert "Undone:" in words(page)


def test_a_step_said_free_from_the_start_has_no_chip(bench: Any, job_path: str) -> None:
    bench.post(job_path + "/line", text="off test piece, tray X1")
    page = bench.get(job_path + "/wayback").text
    (label,) = re.findall(r'aria-label="(\d+ test piece was free from the start)"', page)
    page = bench.follow(bench.post(job_path + "/wayback/free", **tapped(page, label))).text
    assert not any("test piece was not freed" in chip for chip in chips(page))


def test_what_is_loosened_already_is_told(bench: Any, job_path: str) -> None:
    bench.post(job_path + "/line", text="off test piece, tray X1")
    page = bench.get(job_path + "/wayback").text
    label = next(label for label in chips(page) if "test piece was not freed by" in label)
    fields = tapped(page, f"Loosen: {label}")
    assert bench.post(job_path + "/wayback/loosen", **fields).status_code == 303
    assert bench.post(job_path + "/wayback/loosen", **fields).status_code == 409


def test_a_check_whose_place_is_past_is_due_until_it_is_put_off(bench: Any, job_path: str, words: Any) -> None:
    bench.post(job_path + "/line", text="off test piece, tray X1, freed by nothing")
    bench.post(job_path + "/line", text="gap test mark 0.40 as found needs test piece needs off nothing restore +-0.05")
    page = bench.get(job_path + "/wayback").text
    assert "To prove now" not in page
    page = bench.follow(bench.post(job_path + "/wayback/tick", step=next_step(page))).text
    assert "Gap test mark missing" in words(page)
    page = bench.follow(bench.post(job_path + "/wayback/later", **tapped(page, "Later: gap test mark"))).text
    assert "put off: proof of gap test mark" in words(page).lower()
    assert "To prove now" not in page
    assert "gap test mark not restored, put off" in words(bench.get(job_path + "/handover").text)
    assert bench.post(job_path + "/wayback/later", what="nothing of the sort").status_code == 404


def test_the_order_worked_by_outlives_the_server(bench: Any, job_path: str, practice_book: Any) -> None:
    for piece in ("first", "second"):
        bench.post(job_path + "/line", text=f"off {piece} piece, tray X1, freed by nothing")
    page = bench.get(job_path + "/wayback").text
    bench.post(job_path + "/wayback/tick", step=next_step(page))
    shown = order_on(bench.get(job_path + "/wayback").text)
    bench.post(job_path + "/line", text="soaking first piece in water")
    job = practice_book.job(practice_book.jobs()[0].id)
    # What another server would show that remembers nothing.
    assert [str(step.step.id) for step in way_back_of(job).steps] == list(dict.fromkeys(shown))
