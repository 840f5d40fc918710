"""A photograph is what its content says, belongs to the step at hand, and is shown small and upright."""

import datetime
import io
from uuid import uuid4

import pillow_heif
import pytest
from PIL import Image

from asfound.bench.jobs import load_job, open_job
from asfound.bench.line import write_line
from asfound.bench.marking import tick
from asfound.bench.photographs import add_photo, add_photos, place_photo, step_at, thumbnail
from asfound.book import in_folder
from asfound.job.bodies import Camera
from asfound.problems import BadInputError, NotFoundError


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


NOW = 1_700_000_000_000
MINUTE = 60_000


@pytest.fixture
def clocked(tmp_path, open_book):
    """Give a book whose clock a test sets, with a job on which two parts came off, an hour apart."""
    now = [NOW]
    book = open_book(in_folder(tmp_path / "clocked"), clock=lambda: now[0])
    job_id = open_job(book, camera=Camera(model="Practice Six")).id
    steps = []
    for part in ("cover", "plate"):
        now[0] += 60 * MINUTE
        steps.append(write_line(book, job_id, f"off {part}").entries[0].id)
    return book, job_id, now, steps


def taken_at(at_ms, offset="+00:00"):
    exif = Image.Exif()
    fields = exif.get_ifd(0x8769)
    fields[0x9003] = f"{datetime.datetime.fromtimestamp(at_ms / 1000, datetime.UTC):%Y:%m:%d %H:%M:%S}"
    fields[0x9011] = offset
    stream = io.BytesIO()
    Image.new("RGB", (64, 48), "white").save(stream, "JPEG", exif=exif)
    stream.seek(0)
    return stream


@pytest.mark.parametrize(("minutes", "step"), [(30, None), (61, 0), (119, 0), (121, 1), (125, 1)])
def test_it_belongs_to_the_step_at_hand_when_it_was_taken(clocked, minutes, step):
    book, job_id, _, steps = clocked
    (entry,) = add_photos(book, job_id, [(taken_at(NOW + minutes * MINUTE), "p.jpg")], now_ms=NOW + 200 * MINUTE)
    assert entry.body.step == (None if step is None else steps[step])
    assert entry.body.taken_ms == NOW + minutes * MINUTE


def test_the_offset_of_its_clock_counts(clocked):
    book, job_id, _, steps = clocked
    stream = taken_at(NOW + (90 + 120) * MINUTE, offset="+02:00")
    (entry,) = add_photos(book, job_id, [(stream, "p.jpg")], now_ms=NOW + 200 * MINUTE)
    assert entry.body.step == steps[0]


@pytest.mark.parametrize("days", [-400, -2, 30])
def test_a_clock_that_was_never_set_is_not_believed(clocked, days):
    book, job_id, _, steps = clocked
    stream = taken_at(NOW + days * 24 * 60 * MINUTE)
    (entry,) = add_photos(book, job_id, [(stream, "p.jpg")], now_ms=NOW + 200 * MINUTE)
    assert (entry.body.step, entry.body.taken_ms) == (steps[1], None)


def test_on_the_way_back_the_step_at_hand_is_the_one_ticked_last(clocked):
    book, job_id, now, steps = clocked
    now[0] += 60 * MINUTE
    tick(book, job_id, steps[1], done=True)
    now[0] += 60 * MINUTE
    tick(book, job_id, steps[0], done=True)
    job = load_job(book, job_id)
    assert step_at(job, NOW + 190 * MINUTE) == steps[1]
    assert step_at(job, NOW + 250 * MINUTE) == steps[0]


def test_several_are_kept_at_once_or_none(clocked):
    book, job_id, _, _ = clocked
    before = book.entries(job_id)
    with pytest.raises(BadInputError, match=r"second\.jpg"):
        add_photos(book, job_id, [(photograph(), "first.jpg"), (io.BytesIO(b"no picture"), "second.jpg")])
    assert book.entries(job_id) == before
    assert len(add_photos(book, job_id, [(photograph(), "1.jpg"), (photograph((40, 30)), "2.jpg")])) == 2


def test_a_damaged_one_is_refused_by_its_own_name(clocked):
    book, job_id, _, _ = clocked
    stream = io.BytesIO()
    Image.effect_noise((200, 200), 90).save(stream, "JPEG")
    with pytest.raises(BadInputError, match=r"half\.jpg: the photograph is damaged"):
        add_photo(book, job_id, io.BytesIO(stream.getvalue()[:4000]), "half.jpg")


def test_it_is_moved_to_another_step_or_to_none(clocked):
    book, job_id, _, steps = clocked
    photo = add_photo(book, job_id, photograph(), "p.jpg").id
    place_photo(book, job_id, photo, steps[0])
    assert load_job(book, job_id).photos[0][1].step == steps[0]
    place_photo(book, job_id, photo, None)
    assert load_job(book, job_id).photos[0][1].step is None
    for wrong in ((uuid4(), steps[0]), (photo, uuid4())):
        with pytest.raises(NotFoundError):
            place_photo(book, job_id, *wrong)


def test_a_heic_is_kept_as_it_came_and_shown_as_jpeg(book, job_id):
    stream = io.BytesIO()
    pillow_heif.from_pillow(Image.new("RGB", (640, 480), "white")).save(stream)
    content = stream.getvalue()
    stream.seek(0)
    body = add_photo(book, job_id, stream, "IMG_0001.HEIC").body
    assert body.attachment.media_type == "image/heic"
    assert book.attachment_path(body.attachment.sha256).read_bytes() == content
    with Image.open(thumbnail(book, body.attachment.sha256, width=1280)) as shown:
        assert (shown.format, shown.size) == ("JPEG", (640, 480))
