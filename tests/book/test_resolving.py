"""What somebody types leads to the one job that is meant, or to a helpful refusal."""

from collections.abc import Callable
from pathlib import Path

import pytest

from asfound.book import Book, in_folder
from asfound.job.bodies import Camera
from asfound.problems import ConflictError, NotFoundError


@pytest.fixture
def shelf(open_book: Callable[..., Book], tmp_path: Path) -> Book:
    book = open_book(in_folder(tmp_path))
    for ticket in ("1", "2", "Mill Lane 3"):
        book.open_job(Camera(model=f"Otter {ticket}"), ticket=ticket)
    return book


def test_a_ticket_is_enough_in_any_case(shelf: Book) -> None:
    assert shelf.line(shelf.resolve(" mill lane  3")).ticket == "Mill Lane 3"


def test_an_id_is_found_with_or_without_hyphens_or_cut_short(shelf: Book) -> None:
    job = shelf.resolve("2")
    for name in (str(job), job.hex.upper(), job.hex[:28], str(job)[:30]):
        assert shelf.resolve(name) == job


def test_the_beginning_of_several_ids_names_them_all(shelf: Book) -> None:
    # Ids begin with the time, so that jobs opened together begin alike.
    with pytest.raises(ConflictError, match=r"Otter 1.*give the whole id"):
        shelf.resolve(str(shelf.resolve("1"))[:6])


def test_a_ticket_goes_before_an_id(shelf: Book) -> None:
    prefix = shelf.resolve("1").hex[:4]
    named = shelf.open_job(Camera(model="Heron"), ticket=prefix)[0].job
    assert shelf.resolve(prefix) == named


def test_a_near_miss_is_offered_the_nearest(shelf: Book) -> None:
    with pytest.raises(NotFoundError, match="nearest: Mill Lane 3"):
        shelf.resolve("Mil Lane 3")


@pytest.mark.parametrize("name", ["", "%", "____", "zzzz", "0000", "'; --"])
def test_anything_else_is_refused(shelf: Book, name: str) -> None:
    with pytest.raises(NotFoundError):
        shelf.resolve(name)


def test_an_empty_book_says_that_it_is_empty(open_book: Callable[..., Book], tmp_path: Path) -> None:
    with pytest.raises(NotFoundError, match="the book is empty"):
        open_book(in_folder(tmp_path)).resolve("1")
