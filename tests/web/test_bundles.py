"""A job goes out of one bench's pages and into another's."""

import errno
import os
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI

from asfound.book import Book, in_folder


@pytest.fixture
def elsewhere(app_of: Callable[[Book], FastAPI], open_book: Callable[..., Book], tmp_path: Path, bench: Any) -> Any:
    """Give the pages of another bench, over an empty book."""
    other = type(bench)(app_of(open_book(in_folder(tmp_path / "elsewhere"))))
    other.book = other.client.app.state.desk.book
    return other


def sent(content: bytes, name: str = "job-1.bundle.zip") -> dict[str, Any]:
    return {"file": (name, content, "application/zip")}


def test_a_job_given_out_by_one_bench_is_taken_in_by_another(
    bench: Any, elsewhere: Any, job_path: str, practice_book: Book, words: Callable[[str], str]
) -> None:
    answer = bench.get(f"{job_path}/bundle")
    assert answer.headers["content-disposition"] == 'attachment; filename="job-1.bundle.zip"'
    page = elsewhere.follow(elsewhere.post("/bundles", files=sent(answer.content)))
    entries = len(practice_book.entries(practice_book.jobs()[0].id))
    assert f"{entries} new entries, 0 known already" in words(page.text)
    assert elsewhere.get(job_path).status_code == 200
    assert elsewhere.book.jobs() == practice_book.jobs()
    again = elsewhere.follow(elsewhere.post("/bundles", files=sent(answer.content)))
    assert "nothing in it is new" in words(again.text)
    assert elsewhere.book.jobs() == practice_book.jobs()


def test_nothing_of_a_bundle_stays_behind_where_it_was_made(
    bench: Any, job_path: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    before = set(tmp_path.iterdir())
    assert bench.get(f"{job_path}/bundle").status_code == 200
    assert set(tmp_path.iterdir()) == before


@pytest.mark.parametrize(
    ("content", "said"),
    [(b"a letter", "File is not a zip file"), (b"PK\x05\x06" + b"\0" * 18, "is no bundle of a job")],
)
def test_what_is_no_bundle_is_said_beside_the_form(
    elsewhere: Any, content: bytes, said: str, words: Callable[[str], str]
) -> None:
    answer = elsewhere.post("/bundles", files=sent(content))
    assert answer.status_code == 422
    assert said in words(answer.text)
    assert "the bundle:" in words(answer.text)
    assert "/tmp" not in answer.text
    assert elsewhere.book.jobs() == ()


def test_no_file_chosen_is_said(elsewhere: Any) -> None:
    assert "no file was chosen" in elsewhere.post("/bundles").text


def test_a_bundle_of_no_job_is_not_found(bench: Any) -> None:
    assert bench.get("/job/00000000-0000-0000-0000-000000000001/bundle").status_code == 404


def test_the_ways_there_are_on_the_pages(bench: Any, job_path: str) -> None:
    assert f'href="{job_path}/bundle"' in bench.get(job_path).text
    assert 'href="/bundles"' in bench.get("/").text
    assert re.search(rf'href="{job_path}/bundle"[^>]*>Bundle<', bench.get("/bundles").text)


def test_a_full_disk_is_answered_with_507_and_nothing_is_taken_in(
    bench: Any, elsewhere: Any, job_path: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    content = bench.get(f"{job_path}/bundle").content

    def full(_handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    answer = elsewhere.post("/bundles", files=sent(content))
    assert answer.status_code == 507
    assert "the disk is full" in answer.text
    assert elsewhere.book.jobs() == ()
