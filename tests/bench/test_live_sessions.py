"""Two servers of one user at one book: each live session is written by one of them."""

from collections.abc import Callable
from pathlib import Path
from uuid import UUID

import pytest

from asfound.bench.live import LivePlan, Sessions, throw_away
from asfound.bench.measured import How
from asfound.book import Book, in_folder
from asfound.job.bodies import Camera
from asfound.problems import ConflictError
from asfound.shutter import read_marked


@pytest.fixture
def book(tmp_path: Path, open_book: Callable[..., Book]) -> Book:
    return open_book(in_folder(tmp_path / "book"))


def plan_of(job: UUID) -> LivePlan:
    speeds, _ = read_marked("1/25")
    how = How(kind="light")
    return LivePlan(job=job, sample_rate_hz=48_000.0, how=how, speeds=speeds, tolerance_stops=1 / 3, stage="working")


def test_what_one_server_writes_the_other_neither_goes_on_with_nor_throws_away(book: Book) -> None:
    here, there = Sessions(), Sessions()
    job = book.open_job(Camera(model="Six-Nine"))[0].job
    name = here.begin(book, plan_of(job)).plan.session
    assert [left.running for left in here.left(book, job)] == [True]
    assert there.left(book, job) == ()
    with pytest.raises(ConflictError, match="another server"):
        there.find(book, job, name)
    with pytest.raises(ConflictError, match="another server"):
        throw_away(there, book, job, name)
    here.close()
    assert [left.running for left in there.left(book, job)] == [False]
    assert there.find(book, job, name).plan.job == job
    there.close()
