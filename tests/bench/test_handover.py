"""A camera leaves the bench with its papers, and with a word on whatever is still open."""

import io

import pypdf
import pytest

from asfound.bench.handover import card, hand_over, labels, report
from asfound.bench.jobs import load_job, open_job
from asfound.bench.proofs import answer_proof
from asfound.job.bodies import Camera
from asfound.job.proving import proof_list
from asfound.problems import ConflictError


def text_of(pdf):
    return "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)


@pytest.fixture
def job(practice_book):
    return load_job(practice_book, "1")


def test_with_something_open_it_is_asked_why_and_that_is_kept(practice_book, job):
    with pytest.raises(ConflictError, match="say in a few words why"):
        hand_over(practice_book, job.id)
    assert load_job(practice_book, job.id).handed_over is None
    hand_over(practice_book, job.id, why_open="the owner fetches it for a journey")
    assert load_job(practice_book, job.id).handed_over.body.why_open == "the owner fetches it for a journey"
    assert "the owner fetches it for a journey" in text_of(report(practice_book, job.id)).replace("\n", " ")


def test_it_is_handed_over_once(practice_book, job):
    hand_over(practice_book, job.id, why_open="x")
    with pytest.raises(ConflictError, match="handed over already"):
        hand_over(practice_book, job.id, why_open="x")


def test_with_nothing_open_no_reason_is_asked(practice_book):
    job = open_job(practice_book, camera=Camera(model="Practice Six"))
    for line in proof_list(job):
        answer_proof(practice_book, job.id, name=line.name, answer="within")
    assert hand_over(practice_book, job.id).body.why_open == ""


def test_the_card_fits_a_camera_bag_and_tells_the_real_speeds(practice_book, job):
    pdf = card(practice_book, job.id)
    # ID-1, 85.60 x 53.98 mm (ISO/IEC 7810, memory); a point is 1/72 inch.
    page = pypdf.PdfReader(io.BytesIO(pdf)).pages[0]
    assert float(page.mediabox.width) * 25.4 / 72 == pytest.approx(85.60, abs=0.05)
    assert float(page.mediabox.height) * 25.4 / 72 == pytest.approx(53.98, abs=0.05)
    assert "1/250" in text_of(pdf)


def test_the_labels_name_the_job_and_every_cell_in_use(practice_book, job):
    pdf = labels(practice_book, job.id, address="http://127.0.0.1:8642/job/x")
    text = " ".join(text_of(pdf).split())
    for words in ("Merle Six-Nine", "A1", "D6", "finder cover"):
        assert words in text
