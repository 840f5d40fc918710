"""The list of all pages knows every page that the application has: a new one cannot be forgotten."""

import re
from typing import Any

import pytest
from benchmarks._page_list import FIRST_OF_A_ROOM, OF_A_JOB, OF_A_PHOTOGRAPH, OF_EACH_KIND, OF_THE_BOOK

from asfound.book import Book
from asfound.web.job_head import TABS

LISTED = {*OF_THE_BOOK, *("/job/{job_id}" + path for path in (*OF_A_JOB, OF_A_PHOTOGRAPH))}
# Where the practice job and its own computer are told that there is nothing for them.
BESIDE = {
    "/pair",  # the page of a device that comes over the network and is not paired yet
    "/job/{job_id}/shutter/frames/{recording}/{number}",  # a picture out of a video
    "/job/{job_id}/focus/photos/task/{task_id}",  # how far a task has come, as JSON, while there is one
    "/job/{job_id}/shape/leaks/task/{task_id}",
}


@pytest.fixture
def known(practice_book: Book) -> dict[str, str]:
    """Give what may stand in an address, so that it leads somewhere."""
    job = practice_book.job(practice_book.jobs()[0].id)
    photo, body = job.photos[0]
    return {
        "job_id": str(job.id),
        "photo_id": str(photo),
        "pin_id": str(photo),
        "entry_id": str(photo),
        "sha256": body.attachment.sha256,
        "width": "320",
        "recording": str(job.recordings[0][0]),
        "number": "1",
        "device_id": str(job.id),
        "version": "0",
        "name": "style.css",
        "task_id": "none",
    }


def routes_that_show(bench: Any) -> list[str]:
    """Return the routes that answer a browser which looks at them."""
    paths = bench.get("/api/openapi.json").json()["paths"]
    return [path for path, methods in paths.items() if "get" in methods and not path.startswith("/api")]


def shows_a_page(bench: Any, path: str, known: dict[str, str]) -> bool:
    """Tell whether there is a whole page at a route, be it one that says what is missing."""
    named = re.findall(r"\{(\w+)\}", path)
    assert set(named) <= known.keys(), f"{path}: let this test know what may stand there"
    answer = bench.get(path.format(**{name: known[name] for name in named}))
    return "<!doctype html>" in answer.text.lower() and not path.endswith(".pdf")


def test_every_page_of_the_application_is_listed(bench: Any, known: dict[str, str]) -> None:
    routes = routes_that_show(bench)
    assert set(routes) >= LISTED | BESIDE
    forgotten = [path for path in routes if path not in LISTED | BESIDE and shows_a_page(bench, path, known)]
    assert forgotten == [], "to be added to benchmarks/_page_list.py"


def test_every_page_that_is_listed_is_there(bench: Any, known: dict[str, str]) -> None:
    assert [path for path in sorted(LISTED) if not shows_a_page(bench, path, known)] == []


def test_every_tab_of_a_job_leads_to_a_page_that_is_listed() -> None:
    assert [path for path, _ in TABS] == list(FIRST_OF_A_ROOM)
    assert set(OF_EACH_KIND) <= set(OF_A_JOB)
    assert len(set(OF_A_JOB)) == len(OF_A_JOB)
