"""Photographs of the ground glass: kept with their settings, measured in the pool, their peak found."""

import io
import re
from typing import Any

import numpy as np
import pytest
from PIL import Image
from scipy import ndimage

SETTINGS = tuple(round(-0.4 + 0.1 * n, 2) for n in range(9))
PEAK = 0.03


@pytest.fixture(scope="module")
def series() -> list[bytes]:
    """Give photographs of a chequered field whose blur grows with the distance from the known peak."""
    scene = np.random.default_rng(5).random((60, 80)).repeat(4, 0).repeat(4, 1)
    return [photograph(ndimage.gaussian_filter(scene, 0.8 + 6 * abs(at - PEAK))) for at in SETTINGS]


def photograph(grey: Any) -> bytes:
    kept = io.BytesIO()
    Image.fromarray((40 + 160 * np.clip(grey, 0, 1)).astype(np.uint8)).save(kept, "PNG")
    return kept.getvalue()


def upload(bench: Any, focus: str, photographs: list[bytes], lines: str) -> Any:
    files = [("file", (f"glass-{n}.png", one, "image/png")) for n, one in enumerate(photographs)]
    return bench.client.post(f"{focus}/photos", data={"token": bench.token, "settings": lines}, files=files)


@pytest.fixture
def focus(job_path: str) -> str:
    return f"{job_path}/focus"


def measured(bench: Any, focus: str, pool: Any) -> Any:
    """Press the button that measures what is chosen, wait, and return where the page goes on to."""
    chosen = re.findall(r'name="photo" value="([^"]+)" checked', bench.get(f"{focus}/photos").text)
    answer = bench.client.post(f"{focus}/photos/measure", data={"token": bench.token, "photo": chosen})
    task = re.search(r"task=([\w-]+)", answer.headers["location"])
    assert task is not None
    pool.wait(task[1], 120)
    return bench.get(answer.headers["location"])


def test_the_peak_of_a_series_is_where_it_was_made(bench: Any, focus: str, pool: Any, series: list[bytes]) -> None:
    answer = upload(bench, focus, series, "\n".join(f"{at} mm" for at in SETTINGS))
    kept = bench.follow(answer).text
    assert "at <b>-0.4 mm</b>" in kept
    assert "at <b>0.4 mm</b>" in kept
    went = measured(bench, focus, pool)
    assert "/focus/infinity?" in went.headers["location"]
    page = bench.get(went.headers["location"])
    assert page.status_code == 200
    found = re.search(r"<dt>Sharpest at</dt><dd><b>(-?[\d.]+) ± ([\d.]+) mm", page.text)
    assert found is not None
    assert abs(float(found[1]) - PEAK) < 3 * float(found[2]) < 0.1


def test_as_many_settings_as_photographs_are_wanted_and_none_is_lost(
    bench: Any, focus: str, series: list[bytes], practice_book: Any
) -> None:
    before = len(practice_book.job(practice_book.jobs()[0].id).entries)
    answer = upload(bench, focus, series[:3], "0.1 mm\n0.2 mm")
    assert answer.status_code == 422
    assert "2 settings for 3 photographs" in answer.text
    assert ">0.1 mm\n0.2 mm</textarea>" in answer.text
    assert len(practice_book.job(practice_book.jobs()[0].id).entries) == before


def test_one_file_that_is_no_photograph_keeps_all_of_them_out(
    bench: Any, focus: str, series: list[bytes], practice_book: Any
) -> None:
    before = len(practice_book.job(practice_book.jobs()[0].id).entries)
    answer = upload(bench, focus, [series[0], b"not a photograph"], "0.1 mm\n0.2 mm")
    assert answer.status_code == 422
    assert "is no photograph" in answer.text
    assert len(practice_book.job(practice_book.jobs()[0].id).entries) == before


def test_photographs_of_different_sizes_are_refused_by_their_entry(
    bench: Any, focus: str, pool: Any, series: list[bytes]
) -> None:
    small = photograph(np.random.default_rng(1).random((100, 120)))
    bench.follow(upload(bench, focus, [*series[:6], small], "\n".join(f"{n / 10}" for n in range(7))))
    page = measured(bench, focus, pool)
    assert page.status_code == 200
    assert "120 x 100 pixels, the first 320 x 240" in page.text


def test_too_few_are_not_measured(bench: Any, focus: str, series: list[bytes]) -> None:
    bench.follow(upload(bench, focus, series[:2], "0.1\n0.2"))
    chosen = re.findall(r'name="photo" value="([^"]+)" checked', bench.get(f"{focus}/photos").text)
    answer = bench.client.post(f"{focus}/photos/measure", data={"token": bench.token, "photo": chosen})
    assert answer.status_code == 422
    assert "2 are too few for a peak" in answer.text


def test_once_the_stop_was_moved_the_old_series_is_not_chosen(bench: Any, focus: str, series: list[bytes]) -> None:
    bench.follow(upload(bench, focus, series[:2], "0.1\n0.2"))
    typed = {"measured": "63.5", "wanted": "63.6", "u": "0.02", "lead": "9"}
    bench.follow(bench.post(f"{focus}/datum", **typed, stage="working", choice="turn"))
    page = bench.get(f"{focus}/photos").text
    assert "something was moved since" in page
    assert not re.search(r'name="photo" value="[^"]+" checked', page)


def test_a_measuring_that_nobody_knows_any_more_is_said_to_be_so(bench: Any, focus: str) -> None:
    page = bench.get(f"{focus}/photos?task=gone&photos=1")
    assert page.status_code == 200
    assert "is not known any more" in page.text
    assert bench.get(f"{focus}/photos/task/gone").status_code == 404
