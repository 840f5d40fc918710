"""A photograph is what its content says, belongs to the step at hand, and is shown small and upright."""

import io

import pytest
from PIL import Image

from asfound.bench.jobs import load_job, open_job
from asfound.bench.line import write_line
from asfound.bench.photographs import add_photo, thumbnail
from asfound.job.bodies import Camera
from asfound.problems import BadInputError


@pytest.fixture
def job_id(book):
    return open_job(book, camera=Camera(model="Practice Six")).id


def photograph(size=(1600, 800), kind="JPEG", orientation=None):
    exif = Image.Exif()
    if orientation:
        exif[0x0112] = orientation
    stream = io.BytesIO()
    Image.new("RGB", size, "white").save(stream, kind, exif=exif)
    stream.seek(0)
    return stream


def test_it_belongs_to_the_step_at_hand(book, job_id):
    (step,) = write_line(book, job_id, "off cover").entries
    photo = add_photo(book, job_id, photograph(), "cover.jpg")
    assert photo.body.step == step.id


def test_its_content_says_what_it_is_whatever_its_name(book, job_id):
    photo = add_photo(book, job_id, photograph(kind="PNG"), "picture.jpg")
    assert photo.body.attachment.media_type == "image/png"


@pytest.mark.parametrize("content", [b"", b"not a picture", b"\xff\xd8\xff\xe0 broken"])
def test_what_is_no_photograph_is_refused_and_the_book_stays_as_it_was(book, job_id, content):
    before = book.entries(job_id)
    with pytest.raises(BadInputError, match="photograph"):
        add_photo(book, job_id, io.BytesIO(content), "x.jpg")
    assert book.entries(job_id) == before


def test_a_thumbnail_is_small_and_the_right_way_up(book, job_id):
    photo = add_photo(book, job_id, photograph(orientation=6), "upright.jpg")
    with Image.open(thumbnail(book, photo.body.attachment.sha256, width=320)) as small:
        assert small.format == "JPEG"
        assert (small.width, small.height) == (320, 640)
    assert load_job(book, job_id).photos[0][1].attachment.name == "upright.jpg"
