"""Readings as rows: what they are held to, whether they still count, whether two can be compared."""

from typing import Any

import pytest

from asfound.job import readings_to_restore
from asfound.quantity.tolerance import Tolerance
from asfound.web.kept import restore_row, say_bounds, stale_rows


def job_of(book: Any) -> Any:
    return book.job(book.jobs()[0].id)


def write(bench: Any, job_path: str, *lines: str) -> None:
    for line in lines:
        assert bench.post(job_path + "/line", text=line).status_code == 303, line


def test_a_reading_as_left_is_stale_once_what_it_depends_on_is_touched(
    bench: Any, job_path: str, practice_book: Any
) -> None:
    write(bench, job_path, "read gap at test post 0.35 mm as left, depends on test piece")
    assert not any("test post" in row.name for row in stale_rows(job_of(practice_book)))
    write(bench, job_path, "off test piece, tray Z1")
    row = next(row for row in stale_rows(job_of(practice_book)) if "test post" in row.name)
    assert row.stale.startswith("stale since entry ")
    page = bench.get(job_path).text
    assert row.stale in page
    assert "to be measured again" in page


def test_how_the_camera_came_is_never_stale(bench: Any, job_path: str, practice_book: Any) -> None:
    write(bench, job_path, "read gap at test post 0.35 mm as found, depends on test piece", "off test piece, tray Z1")
    assert not any("test post" in row.name for row in stale_rows(job_of(practice_book)))


def test_two_readings_in_different_states_are_not_compared_without_saying_so(
    bench: Any, job_path: str, practice_book: Any
) -> None:
    write(
        bench,
        job_path,
        "state f/4.5",
        "read gap at test post 0.35 mm as found, depends on test piece, restore to ±0.05",
        "state f/11",
        "read gap at test post 0.36 mm as left, depends on test piece",
    )
    job = job_of(practice_book)
    item = next(item for item in readings_to_restore(job) if item.place == "test post")
    assert restore_row(job, item).differs == "not in one state: aperture 4.5, then 11.0"
    assert "aperture 4.5, then 11.0" in bench.get(job_path + "/findings").text


@pytest.mark.parametrize(
    ("lower", "upper", "said"),
    [
        (63.37, 63.47, "63.37 to 63.47 mm"),
        (0.3, 0.4, "0.30 to 0.40 mm"),
        (63.41, 63.42, "63.410 to 63.420 mm"),
        (10.0, 30.0, "10 to 30 mm"),
    ],
)
def test_bounds_are_printed_to_the_digit_that_tells_them_apart(lower: float, upper: float, said: str) -> None:
    assert say_bounds(Tolerance(unit="mm", source="a test", lower=lower, upper=upper)) == said


def test_a_bound_on_one_side_says_which() -> None:
    assert say_bounds(Tolerance(unit="mm", source="a test", upper=0.05)).startswith("at most")
    assert say_bounds(Tolerance(unit="mm", source="a test", lower=0.05)).startswith("at least")
