"""Leak photographs searched as the pool does it, and what they prove written into the job."""

import io

import numpy as np
import pytest
from PIL import Image

from asfound.bench.jobs import load_job, open_job
from asfound.bench.leaks import LeakQuestion, numbered, search_leaks, write_leaks
from asfound.bench.line import write_line
from asfound.bench.photographs import add_photo
from asfound.book import in_folder
from asfound.job.bodies import Annotation, Camera, Proof
from asfound.problems import BadInputError, NotFoundError, StoppedError
from asfound.shape.leaks import coded, linear

PLACES = ((80, 90), (200, 60), (150, 180))


def photograph(path, places, *, seed=0, negative=False):
    """Write a photograph of folds in the dark with spots of 6 pixels at half height."""
    y, x = np.mgrid[:240, :320].astype(float)
    folds = np.abs((y + 20 * np.abs(x / 80 % 2 - 1)) / 30 % 1 - 0.5)
    light = linear(((25 + 30 * folds) / 255).astype(np.float32)).astype(float)
    for at_x, at_y in places:
        light += 0.5 * np.exp(-((x - at_x) ** 2 + (y - at_y) ** 2) * 4 * np.log(2) / 36)
    grey = 255 * coded(light.astype(np.float32)) + 2 * np.random.default_rng(seed).standard_normal((240, 320))
    grey = np.clip(255 - grey if negative else grey, 0, 255)
    Image.fromarray(grey.astype(np.uint8)).save(path, quality=88)
    return path


def searched(paths, **question):
    names = tuple(path.name for path in paths)
    return search_leaks(tuple(paths), names, LeakQuestion(**question), progress=lambda _: None, cancelled=lambda: False)


@pytest.fixture
def before(tmp_path):
    return photograph(tmp_path / "before.jpg", PLACES)


@pytest.fixture
def dark(tmp_path):
    return photograph(tmp_path / "dark.jpg", (), seed=1)


def test_spots_are_found_in_the_file_with_their_size_in_millimetres(before):
    found = searched([before], scale=((0, 0), (300, 0), 60.0))
    assert (found.told.verdict, found.told.words) == ("outside", "3 spots of light")
    assert [n for n, _ in numbered(found)] == [1, 2, 3]
    assert found.last.spots[0].fwhm_px * found.last.mm_per_px == pytest.approx(1.2, rel=0.1)


def test_a_dark_photograph_proves_nothing_until_a_pinhole_is_known_to_show(dark):
    assert searched([dark]).told.verdict == "cannot tell"
    assert searched([dark], shown_to_show=True).told.verdict == "within"


def test_leaks_that_closed_at_one_exposure_prove_the_repair(before, dark):
    found = searched([before, dark])
    assert {one.state for one in found.compared} == {"closed"}
    assert found.told.verdict == "within"
    assert searched([before, dark], same_exposure=False).told.verdict == "cannot tell"


def test_one_that_is_still_there_is_outside(before, tmp_path):
    found = searched([before, photograph(tmp_path / "after.jpg", PLACES[:1], seed=2)])
    assert sorted(one.state for one in found.compared) == ["closed", "closed", "still there"]
    assert found.told.verdict == "outside"


def test_two_that_cannot_be_laid_over_one_another_are_searched_all_the_same(before, tmp_path):
    other = tmp_path / "other.jpg"
    Image.fromarray(np.random.default_rng(3).integers(0, 30, (240, 320)).astype(np.uint8)).save(other)
    found = searched([before, other])
    assert found.laid is None
    assert found.compared == ()
    assert "cannot be laid over one another" in found.unlaid[0].what
    marked = searched([before, other], marks=(((0, 0), (5, 5)), ((300, 0), (305, 5)), ((0, 200), (5, 205))))
    assert marked.laid is not None
    assert marked.laid.at(10, 10) == pytest.approx((15, 15))


def test_large_photographs_are_compared_reduced_and_told_so(before, tmp_path, monkeypatch):
    after = photograph(tmp_path / "after.jpg", PLACES[:1], seed=2)
    whole = searched([before, after])
    monkeypatch.setattr("asfound.shape.leaks.MOST_PIXELS", 25_000)
    reduced = searched([before, after])
    assert any("2 by 2 pixels were taken together" in one for one in reduced.told.remarks)
    assert [one.state for one in reduced.compared] == [one.state for one in whole.compared]
    for x, y in PLACES:
        assert reduced.laid.at(x, y) == pytest.approx(whole.laid.at(x, y), abs=1)


def test_on_a_negative_leaks_are_dark(tmp_path):
    path = photograph(tmp_path / "strip.jpg", PLACES, negative=True)
    assert len(searched([path], dark_spots=True).last.spots) == 3
    assert searched([path]).last.spots == ()


def test_it_stops_when_asked_and_names_the_photograph_that_is_wrong(before, tmp_path):
    with pytest.raises(StoppedError):
        search_leaks((before,), ("x",), LeakQuestion(), progress=lambda _: None, cancelled=lambda: True)
    small = tmp_path / "small.png"
    Image.new("L", (20, 20)).save(small)
    with pytest.raises(BadInputError, match=r"small\.png: 20 by 20 pixels are too few"):
        searched([small])
    with pytest.raises(BadInputError, match="scale: its two points are 1 pixels apart"):
        searched([before], scale=((0, 0), (1, 0), 10.0))


def test_progress_of_two_photographs_runs_once_from_nothing_to_all(before, dark):
    told = []
    search_leaks((before, dark), ("a", "b"), LeakQuestion(), progress=told.append, cancelled=lambda: False)
    assert told == sorted(told)
    assert told[0] < 0.1
    assert told[-1] == pytest.approx(1)


@pytest.fixture
def kept(open_book, tmp_path, before):
    book = open_book(in_folder(tmp_path / "book"))
    job = open_job(book, camera=Camera(model="Practice Six")).id
    write_line(book, job, "off bellows")
    photo = add_photo(book, job, io.BytesIO(before.read_bytes()), "before.jpg")
    return book, job, photo.id


def test_the_proof_is_written_with_its_spots_as_pins_and_goes_stale_with_the_bellows(kept, before):
    book, job_id, photo = kept
    found = searched([before])
    entries = write_leaks(
        book, load_job(book, job_id), found, of="bellows", photograph=photo, stage="as left", depends_on=("bellows",)
    )
    proof, pins = (entry.body for entry in entries)
    assert isinstance(proof, Proof)
    assert (proof.what, proof.verdict, proof.stage) == ("bellows light-tight", "outside", "as left")
    assert "3 spots of light. 1: at" in proof.text
    assert isinstance(pins, Annotation)
    assert {(round(320 * pin.x - 0.5), round(240 * pin.y - 0.5)) for pin in pins.pins} == set(PLACES)
    assert load_job(book, job_id).proofs[-1].stale_by is None
    write_line(book, job_id, "back bellows")
    assert load_job(book, job_id).proofs[-1].stale_by is not None


def test_a_film_strip_proves_the_back_and_one_without_spots_has_no_pins(kept, dark):
    book, job_id, photo = kept
    found = searched([dark], shown_to_show=True)
    entries = write_leaks(
        book, load_job(book, job_id), found, of="back", photograph=photo, stage="as left", depends_on=("back",)
    )
    assert [(entry.body.what, entry.body.verdict) for entry in entries] == [("back light-tight", "within")]


def test_a_photograph_of_another_job_is_not_written_on(kept, before):
    book, job_id, _ = kept
    with pytest.raises(NotFoundError):
        write_leaks(
            book, load_job(book, job_id), searched([before]), of="bellows", photograph=job_id, stage="as left",
            depends_on=(),
        )  # fmt: skip
