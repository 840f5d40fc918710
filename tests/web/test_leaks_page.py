"""Light leaks on their page: a photograph sent in, searched in the pool, its spots ringed, the proof written."""

import io
import re
from typing import Any
from urllib.parse import parse_qs, urlsplit

import numpy as np
import pytest
from PIL import Image

PLACES = ((80, 90), (200, 60), (150, 180))


def photograph(places: Any, seed: int = 0) -> bytes:
    """Return a JPEG of folds in the dark with spots of 6 pixels at half height."""
    y, x = np.mgrid[:240, :320].astype(float)
    grey = 25 + 30 * np.abs((y + 20 * np.abs(x / 80 % 2 - 1)) / 30 % 1 - 0.5)
    for at_x, at_y in places:
        grey += 180 * np.exp(-((x - at_x) ** 2 + (y - at_y) ** 2) * 4 * np.log(2) / 36)
    grey += 2 * np.random.default_rng(seed).standard_normal(grey.shape)
    kept = io.BytesIO()
    Image.fromarray(np.clip(grey, 0, 255).astype(np.uint8)).save(kept, "JPEG", quality=88)
    return kept.getvalue()


@pytest.fixture
def leaks(job_path: str) -> str:
    return f"{job_path}/shape/leaks"


def send(
    bench: Any, leaks: str, content: bytes, typed: dict[str, str] | None = None, as_: str = "photo"
) -> dict[str, str]:
    """Send a photograph in, and return what stands in the form then."""
    files = {"file": ("leak.jpg", content, "image/jpeg")}
    answer = bench.client.post(f"{leaks}/photos", data={"token": bench.token, "as": as_, **(typed or {})}, files=files)
    assert answer.status_code == 303, answer.text
    query = parse_qs(urlsplit(answer.headers["location"]).query, keep_blank_values=True)
    return {name: values[0] for name, values in query.items()}


def searched(bench: Any, leaks: str, pool: Any, typed: dict[str, str]) -> tuple[Any, dict[str, str]]:
    """Press the button, wait, and return the page, with what its forms send."""
    answer = bench.post(f"{leaks}/search", **typed)
    assert answer.status_code == 303, answer.text
    task = re.search(r"task=([\w-]+)", answer.headers["location"])
    assert task is not None
    pool.wait(task[1], 240)
    return bench.get(answer.headers["location"]), {**typed, "task": task[1]}


def test_one_photograph_is_searched_and_the_proof_written(
    bench: Any, leaks: str, pool: Any, practice_book: Any
) -> None:
    typed = send(bench, leaks, photograph(PLACES))
    assert "light leaks" in typed["photo"]
    page, sent = searched(bench, leaks, pool, {**typed, "ends": "10,100 310,100", "apart": "60"})
    assert "3 spots of light." in page.text
    assert re.search(r"16\.0, 18\.0 mm \(80, 90 px\)", page.text)
    assert page.text.count("<circle") == 2 * 2 * 3
    answer = bench.post(leaks, **sent, stage="as found")
    told = bench.follow(answer).text
    assert "Written." in told
    assert "bellows light-tight" in told
    job = practice_book.job(practice_book.jobs()[0].id)
    proof = job.proofs[-1].body
    assert (proof.what, proof.verdict, proof.stage) == ("bellows light-tight", "outside", "as found")
    assert proof.depends_on == ("bellows",)


def test_two_photographs_are_compared(bench: Any, leaks: str, pool: Any) -> None:
    typed = send(bench, leaks, photograph(PLACES))
    typed = send(bench, leaks, photograph(PLACES[:1], 1), typed, "after")
    assert typed["photo"] != typed["after"]
    page, _ = searched(bench, leaks, pool, typed)
    assert "1 spot of light: 1 still there, 2 closed." in page.text
    assert "Ring: still there; broken ring: closed." in page.text
    assert "by what both show" in page.text


def test_a_dark_photograph_is_no_proof_by_itself(bench: Any, leaks: str, pool: Any) -> None:
    typed = send(bench, leaks, photograph(()))
    page, _ = searched(bench, leaks, pool, typed)
    assert "cannot tell" in page.text
    assert "nothing shows yet that this exposure would have shown one" in page.text


def test_a_film_strip_proves_the_back(bench: Any, leaks: str, pool: Any, practice_book: Any) -> None:
    typed = send(bench, leaks, photograph(PLACES))
    page, sent = searched(bench, leaks, pool, {**typed, "of": "film strip, positive"})
    assert "Write it as a proof: back light-tight" in page.text
    bench.follow(bench.post(leaks, **sent, stage="as left"))
    proof = practice_book.job(practice_book.jobs()[0].id).proofs[-1].body
    assert (proof.what, proof.depends_on) == ("back light-tight", ("back",))


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"photo": ""}, "no photograph is chosen"),
        ({"ends": "10,100 310,100"}, "a scale is two points and their distance"),
        ({"ends": "here there", "apart": "60"}, "is no place in pixels"),
        ({"marks": "120,80"}, "names one place"),
        ({"of": "a cat"}, "is none of the choices"),
    ],
)
def test_what_is_wrong_is_said_beside_its_field_and_nothing_typed_is_lost(
    bench: Any, leaks: str, more: dict[str, str], words: str
) -> None:
    typed = send(bench, leaks, photograph(()))
    answer = bench.post(f"{leaks}/search", **{**typed, "depends": "my bellows", **more})
    assert answer.status_code == 422
    assert words in answer.text
    assert 'value="my bellows"' in answer.text


def test_the_same_photograph_twice_is_refused(bench: Any, leaks: str) -> None:
    typed = send(bench, leaks, photograph(()))
    answer = bench.post(f"{leaks}/search", **{**typed, "after": typed["photo"]})
    assert "it is the first photograph again" in answer.text


def test_what_is_no_photograph_is_refused(bench: Any, leaks: str) -> None:
    answer = bench.client.post(
        f"{leaks}/photos", data={"token": bench.token}, files={"file": ("x.jpg", b"no", "image/jpeg")}
    )
    assert answer.status_code == 422
    assert "photograph" in answer.text


def test_a_photograph_too_small_is_named_by_its_entry(bench: Any, leaks: str, pool: Any, photograph: bytes) -> None:
    typed = send(bench, leaks, photograph)
    page, _ = searched(bench, leaks, pool, typed)
    assert re.search(r"photograph \d+:</b> <span>64 by 48 pixels are too few", page.text)


def test_a_search_that_is_forgotten_is_asked_for_again(bench: Any, leaks: str) -> None:
    typed = send(bench, leaks, photograph(()))
    page = bench.client.get(leaks, params={**typed, "task": "gone"})
    assert page.status_code == 200
    assert "what was found is not known any more" in page.text
    answer = bench.post(leaks, **typed, task="gone", stage="as left")
    assert answer.status_code == 404
    assert "look for spots again" in answer.text.lower()


def test_the_proof_list_leads_here(bench: Any, job_path: str) -> None:
    assert f"{job_path}/shape/leaks" in bench.get(f"{job_path}/proofs").text
