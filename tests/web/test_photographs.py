"""Photographs on the pages: several at once, at their steps, with numbered pins that name fasteners and lengths."""

import io
import re
from typing import Any
from uuid import UUID

import pillow_heif
import pytest
from PIL import Image

from asfound.book import Book
from asfound.job.bodies import Photo
from asfound.problems import BadInputError
from asfound.web.photographs.fields import read_pin
from asfound.web.settings import MEBIBYTE, Settings


def job_of(book: Book) -> Any:
    return book.job(book.jobs()[0].id)


@pytest.fixture
def photo_page(bench: Any, job_path: str, photograph: bytes, practice_book: Book) -> str:
    """Give the page of a photograph that belongs to a step with fasteners."""
    step = next(step for step in job_of(practice_book).steps if step.fasteners)
    answer = bench.post(job_path + "/photos", files={"file": ("cover.jpg", photograph)}, step=str(step.id))
    return f"{job_path}/photo/{answer.headers['location'].partition('wrote=')[2]}"


def fastener_of(book: Book, page: str) -> str:
    photo_id = UUID(page.rpartition("/")[2])
    photo = next(body for id_, body in job_of(book).photos if id_ == photo_id)
    return f"{photo.step}/0"


def pins_of(book: Book) -> list[Any]:
    return list(job_of(book).pins)


def test_several_photographs_are_kept_at_once(
    bench: Any, job_path: str, photograph: bytes, practice_book: Book
) -> None:
    before = len(job_of(practice_book).photos)
    files = [("file", ("1.jpg", photograph)), ("file", ("2.jpg", photograph))]
    answer = bench.client.post(job_path + "/photos", data={"token": bench.token}, files=files)
    page = bench.follow(answer).text
    assert "1.jpg" in page
    assert "2.jpg" in page
    assert len(job_of(practice_book).photos) == before + 2


def test_the_step_that_a_photograph_went_to_is_told_back(
    bench: Any, job_path: str, photograph: bytes, practice_book: Book
) -> None:
    step = job_of(practice_book).steps[0]
    answer = bench.post(job_path + "/photos", files={"file": ("a.jpg", photograph)}, step=str(step.id))
    assert f"photograph: a.jpg, with step {step.number}, {step.part}" in bench.follow(answer).text


def test_too_many_at_once_are_refused_and_none_is_kept(
    bench: Any, job_path: str, photograph: bytes, practice_book: Book
) -> None:
    before = len(job_of(practice_book).photos)
    files = [("file", (f"{n}.jpg", photograph)) for n in range(41)]
    answer = bench.client.post(job_path + "/photos", data={"token": bench.token}, files=files)
    assert answer.status_code == 422
    assert "send 40 or fewer" in answer.text.replace("Send", "send")
    assert len(job_of(practice_book).photos) == before


def test_a_heic_is_shown_as_jpeg_and_handed_out_as_it_came(bench: Any, job_path: str, practice_book: Book) -> None:
    held = io.BytesIO()
    pillow_heif.from_pillow(Image.new("RGB", (640, 480), "white")).save(held)
    answer = bench.post(job_path + "/photos", files={"file": ("IMG_1.HEIC", held.getvalue())})
    entry = answer.headers["location"].partition("wrote=")[2]
    body = next(e.body for e in job_of(practice_book).entries if str(e.id) == entry)
    assert isinstance(body, Photo)
    shown = bench.get(f"/photo/{body.attachment.sha256}/1280")
    assert shown.headers["content-type"] == "image/jpeg"
    assert shown.content[:2] == b"\xff\xd8"
    original = bench.get(f"{job_path}/file/{entry}")
    assert original.content == held.getvalue()
    assert original.headers["content-type"] == "image/heic"
    assert original.headers["content-disposition"].startswith("attachment")
    assert original.headers["content-security-policy"] == "default-src 'none'; sandbox"
    assert original.headers["x-content-type-options"] == "nosniff"


def test_what_came_as_something_else_is_handed_out_without_a_type(bench: Any, job_path: str, photograph: bytes) -> None:
    page = b"<script>alert(1)</script>"
    answer = bench.post(job_path + "/photos", files={"file": ("x.jpg", page, "text/html")})
    assert answer.status_code == 422
    assert "no photograph" in answer.text
    # Its own type counts for nothing where the content is a photograph.
    kept = bench.post(job_path + "/photos", files={"file": ("x.html", photograph, "text/html")})
    entry = kept.headers["location"].partition("wrote=")[2]
    assert bench.get(f"{job_path}/file/{entry}").headers["content-type"] == "image/jpeg"


def test_a_pin_is_a_fastener_of_the_job_with_its_own_length(bench: Any, photo_page: str, practice_book: Book) -> None:
    chosen = fastener_of(practice_book, photo_page)
    answer = bench.post(photo_page + "/pins", x="25", y="50,5", fastener=chosen, length="2.2 mm", label="by the hinge")
    assert answer.status_code == 303
    [now] = pins_of(practice_book)
    assert (now.number, now.pin.x, now.pin.y) == (1, 0.25, 0.505)
    assert now.pin.fastener.count == 1
    assert now.pin.fastener.length_mm == pytest.approx(2.2)
    assert str(now.pin.step) == chosen.partition("/")[0]
    page = bench.get(photo_page).text
    assert 'cx="25%"' in page
    assert "2.2 mm" in page
    assert "by the hinge" in page


def test_a_length_may_be_said_in_thou(bench: Any, photo_page: str, practice_book: Book) -> None:
    bench.post(photo_page + "/pins", x="1", y="1", length="100 thou", label="set screw")
    [now] = pins_of(practice_book)
    # 1 thou = 0.0254 mm exactly (the international inch, 1959).
    assert now.pin.fastener.length_mm == pytest.approx(2.54)


def test_a_fastener_is_typed_as_on_the_quick_line(bench: Any, photo_page: str, practice_book: Book) -> None:
    bench.post(photo_page + "/pins", x="1", y="1", label="screw M1.4x2.5 slot")
    bench.post(photo_page + "/pins", x="2", y="2", label="where the light leaks in")
    first, second = pins_of(practice_book)
    assert (first.pin.fastener.thread, first.pin.fastener.length_mm, first.pin.label) == ("M1.4", 2.5, "")
    assert (second.pin.fastener, second.pin.label) == (None, "where the light leaks in")


def test_an_arrow_has_a_tip(bench: Any, photo_page: str, practice_book: Book) -> None:
    bench.post(photo_page + "/pins", x="10", y="20", tip_x="30", tip_y="40", label="dent")
    [now] = pins_of(practice_book)
    assert (now.pin.tip_x, now.pin.tip_y) == (0.3, 0.4)
    assert 'x2="30%"' in bench.get(photo_page).text


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"x": "", "y": ""}, "where the pin goes is not said"),
        ({"x": "101", "y": "5"}, "is no place on the photograph"),
        ({"x": "nan", "y": "5"}, "is no place on the photograph"),
        ({"x": "left", "y": "5"}, "is no place on the photograph"),
        ({"x": "5", "y": "5", "tip_x": "5"}, "needs both its numbers"),
        ({"x": "5", "y": "5", "length": "long"}, "does not begin with a number"),
        ({"x": "5", "y": "5", "length": "9 m"}, "is no length of a fastener"),
        ({"x": "5", "y": "5", "length": "-1"}, "is no length of a fastener"),
        ({"x": "5", "y": "5", "fastener": "made/up"}, "not among the job&#39;s fasteners"),
    ],
)
def test_a_pin_that_cannot_be_read_is_told_beside_its_field(
    bench: Any, photo_page: str, practice_book: Book, fields: dict[str, str], said: str
) -> None:
    answer = bench.post(photo_page + "/pins", **fields)
    assert answer.status_code == 422
    assert said in answer.text
    assert pins_of(practice_book) == []


def test_every_fault_of_a_pin_is_told_at_once(practice_book: Book) -> None:
    with pytest.raises(BadInputError) as refused:
        read_pin(job_of(practice_book), {"x": "200", "y": "-1", "length": "x"})
    assert [problem.where for problem in refused.value.problems] == ["x", "y", "length"]


def test_a_pin_moved_keeps_its_number_and_its_fastener(bench: Any, photo_page: str, practice_book: Book) -> None:
    chosen = fastener_of(practice_book, photo_page)
    for x in ("10", "20"):
        bench.post(photo_page + "/pins", x=x, y="5", fastener=chosen)
    first, second = pins_of(practice_book)
    answer = bench.post(f"{photo_page}/pins/{first.id}", x="90", y="5", fastener="as it is", length="3")
    assert answer.status_code == 303
    moved, other = pins_of(practice_book)
    assert (moved.number, moved.pin.x, moved.pin.fastener.length_mm) == (1, 0.9, 3.0)
    assert moved.pin.fastener.thread == first.pin.fastener.thread
    assert other == second


def test_a_pin_taken_off_can_be_restored(bench: Any, job_path: str, photo_page: str, practice_book: Book) -> None:
    for x in ("10", "20"):
        bench.post(photo_page + "/pins", x=x, y="5", label="screw")
    first, _ = pins_of(practice_book)
    assert bench.post(f"{photo_page}/pins/{first.id}/remove").status_code == 303
    assert [now.number for now in pins_of(practice_book)] == [2]
    assert bench.post(f"{photo_page}/pins/{first.id}/remove").status_code == 404
    bench.post(f"{job_path}/entry/{first.id}/restore")
    assert [now.number for now in pins_of(practice_book)] == [1, 2]


def test_one_tap_moves_a_photograph_to_the_next_step(bench: Any, photo_page: str, practice_book: Book) -> None:
    page = bench.get(photo_page).text
    near = re.findall(r'name="step" value="([0-9a-f-]{36})" form="near"', page)
    assert near
    assert bench.post(photo_page + "/step", step=near[0]).status_code == 303
    assert str(job_of(practice_book).photos[-1][1].step) == near[0]
    assert bench.post(photo_page + "/step", step="").status_code == 303
    assert job_of(practice_book).photos[-1][1].step is None
    assert bench.post(photo_page + "/step", step="seven").status_code == 422


def test_pins_are_shown_on_the_small_picture_too(
    bench: Any, job_path: str, photo_page: str, practice_book: Book
) -> None:
    bench.post(photo_page + "/pins", x="12.5", y="5", length="2.5", label="screw")
    page = bench.get(job_path).text
    assert 'cx="12.5%"' in page
    assert ", with 1 pin" in page


def test_words_on_a_pin_are_shown_as_words(bench: Any, job_path: str, photo_page: str) -> None:
    bench.post(photo_page + "/pins", x="1", y="1", label='"><script>alert(1)</script>')
    for path in (photo_page, job_path):
        assert "<script>alert" not in bench.get(path).text


def test_a_photograph_that_is_not_there_is_not_found(bench: Any, job_path: str) -> None:
    nowhere = f"{job_path}/photo/{UUID(int=0)}"
    assert bench.get(nowhere).status_code == 404
    assert bench.post(nowhere + "/pins", x="1", y="1").status_code == 404
    assert bench.get(f"{job_path}/photo/x").status_code == 404


@pytest.mark.parametrize("name", ["../../etc/passwd", "..%2f..%2fbook.sqlite", "0" * 63, "G" * 64, "0" * 64])
def test_no_address_leads_to_another_file(bench: Any, name: str) -> None:
    assert bench.get(f"/photo/{name}/320").status_code in (404, 422)


def test_photographs_sent_together_are_limited_together() -> None:
    settings = Settings(secret=b"x" * 32)
    assert settings.largest_body("/job/1/photos") == settings.largest_body("/api/jobs/1/photos") == 256 * MEBIBYTE
