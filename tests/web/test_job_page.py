"""One job's page: the quick line, striking and restoring, photographs, the tray."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.bench.line import preview_line
from asfound.problems import Problem
from asfound.web.line_form import EXAMPLES, pieces


def entries(bench: Any, job_path: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = bench.get("/api" + job_path.replace("/job/", "/jobs/")).json()["entries"]
    return found


def test_a_line_is_written_and_told_back(bench: Any, job_path: str) -> None:
    answer = bench.post(job_path + "/line", text="off viewfinder frame, 2 screws M1.4 x 2.5, tray E1")
    page = bench.follow(answer).text
    assert "Written:" in page
    assert page.count("viewfinder frame") >= 3  # told back, as an entry, in the tray
    assert '<span class="label">E1</span>' in page


def test_a_line_that_is_not_understood_stays_in_the_field_and_can_be_kept_as_a_note(bench: Any, job_path: str) -> None:
    before = len(entries(bench, job_path))
    answer = bench.post(job_path + "/line", text="spacer paper shim 0.05 mm after 99")
    assert answer.status_code == 422
    assert 'value="spacer paper shim 0.05 mm after 99"' in answer.text
    assert "<mark>99</mark>" in answer.text
    assert len(entries(bench, job_path)) == before
    bench.follow(bench.post(job_path + "/line", text="spacer paper shim 0.05 mm after 99", as_note="1"))
    assert entries(bench, job_path)[-1]["text"] == "spacer paper shim 0.05 mm after 99"


def test_an_empty_line_writes_nothing(bench: Any, job_path: str) -> None:
    before = len(entries(bench, job_path))
    assert bench.post(job_path + "/line", text="   ").status_code == 422
    assert len(entries(bench, job_path)) == before


def test_undo_strikes_the_latest_and_restore_brings_it_back(bench: Any, job_path: str) -> None:
    bench.post(job_path + "/line", text="note: a slip of the pen")
    page = bench.follow(bench.post(job_path + "/undo")).text
    assert "Undone:" in page
    assert "<s>a slip of the pen</s>" in page
    struck = next(e for e in entries(bench, job_path) if e["text"] == "a slip of the pen")
    assert struck["struck"]
    page = bench.follow(bench.post(f"{job_path}/entry/{struck['id']}/restore")).text
    assert "<s>a slip of the pen</s>" not in page
    assert not next(e for e in entries(bench, job_path) if e["id"] == struck["id"])["struck"]


def test_the_opening_of_a_job_offers_no_strike_and_refuses_one(bench: Any, job_path: str) -> None:
    first = entries(bench, job_path)[0]
    assert f"/entry/{first['id']}/strike" not in bench.get(job_path + "?whole=yes").text
    assert bench.post(f"{job_path}/entry/{first['id']}/strike").status_code == 409


def test_a_photograph_is_kept_and_shown_small(bench: Any, job_path: str, photograph: bytes) -> None:
    files = {"file": ("IMG 1.jpg", photograph, "image/jpeg")}
    page = bench.follow(bench.post(job_path + "/photos", files=files, caption="the <ring>")).text
    assert "the &lt;ring&gt;" in page
    address = page.split('src="/photo/')[1].split('"')[0]
    small = bench.get("/photo/" + address)
    assert small.headers["content-type"] == "image/jpeg"
    assert "sandbox" in small.headers["content-security-policy"]


def test_what_is_no_photograph_is_refused_and_the_book_is_as_it_was(bench: Any, job_path: str) -> None:
    before = len(entries(bench, job_path))
    for content in (b"", b"<svg onload=alert(1)>", b"GIF89a"):
        answer = bench.post(job_path + "/photos", files={"file": ("x.jpg", content, "image/jpeg")})
        assert answer.status_code == 422, content
    assert bench.post(job_path + "/photos").status_code == 422
    assert len(entries(bench, job_path)) == before


def test_older_entries_are_asked_for(bench: Any, job_path: str) -> None:
    count = len(entries(bench, job_path))
    assert bench.get(job_path).text.count('<li class="entry') == 40
    assert bench.get(job_path + "?whole=yes").text.count('<li class="entry') == count


def test_what_can_be_written_is_understood(practice_book: Any) -> None:
    job = practice_book.job(practice_book.jobs()[0].id)
    for text, _ in EXAMPLES:
        understood = preview_line(job, text)
        assert not understood.problems, text
        assert not understood.as_note, text


def test_the_page_stays_small(bench: Any, job_path: str) -> None:
    for path in ("", "/wayback", "/shutter", "/findings", "/handover"):
        assert len(bench.get(job_path + path).content) < 300_000


def marked(text: str, *spans: tuple[int, int]) -> list[tuple[str, bool]]:
    problems = tuple(Problem("line", "wrong", "mend it", span) for span in spans)
    return [(piece.text, piece.marked) for piece in pieces(text, problems)]


def test_what_is_wrong_in_a_line_is_marked_at_its_place() -> None:
    assert marked("off x tray", (4, 5)) == [("off ", False), ("x", True), (" tray", False)]
    assert marked("abc", (3, 3)) == [("abc", False)]
    assert marked("abc") == [("abc", False)]
    assert marked("") == []


@given(st.text(max_size=40), st.lists(st.tuples(st.integers(0, 50), st.integers(0, 50)), max_size=4))
def test_marking_loses_no_character(text: str, spans: list[tuple[int, int]]) -> None:
    assert "".join(piece for piece, _ in marked(text, *spans)) == text


@pytest.mark.parametrize("path", ["/line", "/photos"])
def test_loading_a_refused_form_again_shows_the_job(bench: Any, job_path: str, path: str) -> None:
    assert bench.get(job_path + path).headers["location"] == job_path
