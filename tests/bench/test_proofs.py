"""Answering the proof list at the bench."""

import datetime

import pytest

from asfound.bench.instruments import found_wrong
from asfound.bench.jobs import load_job, open_job
from asfound.bench.line import write_line
from asfound.bench.proofs import ANSWERS, answer_proof
from asfound.job.bodies import Camera
from asfound.job.proving import line_called, proof_list
from asfound.problems import BadInputError


@pytest.fixture
def job(practice_book):
    return open_job(practice_book, camera=Camera(model="Practice Six"))


def standing(book, job, name):
    return line_called(proof_list(load_job(book, job.id)), name).standing


@pytest.mark.parametrize("answer", ANSWERS)
def test_each_answer_is_how_the_line_stands(practice_book, job, answer):
    answer_proof(practice_book, job.id, name="Struts", answer=answer, text="as it felt")
    assert standing(practice_book, job, "struts lock") == answer


def test_a_proof_by_hand_goes_stale_when_a_part_of_the_job_with_such_a_name_is_touched(practice_book, job):
    write_line(practice_book, job.id, "off left strut spring")
    write_line(practice_book, job.id, "back left strut spring")
    answer_proof(practice_book, job.id, name="struts lock", answer="within")
    assert standing(practice_book, job, "struts lock") == "within"
    write_line(practice_book, job.id, "adjust left strut spring 1/8 turn tighter")
    assert standing(practice_book, job, "struts lock") == "stale"


def test_the_quick_line_proves_by_the_same_names(practice_book, job):
    write_line(practice_book, job.id, "proof self-timer n/a: none on it")
    write_line(practice_book, job.id, "proof bellows light-tight within: lamp inside, dark room")
    assert standing(practice_book, job, "self-timer") == "not applicable"
    assert standing(practice_book, job, "bellows light-tight") == "within"


def test_a_proof_by_hand_goes_stale_with_the_instrument_it_names(practice_book, job):
    answer_proof(practice_book, job.id, name="infinity", answer="within", instrument=" ground  glass ")
    answer_proof(practice_book, job.id, name="parallelism", answer="within")
    (spoilt,) = found_wrong(practice_book, name="Ground glass", since=datetime.date(2020, 1, 1))
    assert spoilt.readings == ("proof of infinity, as left",)
    assert standing(practice_book, job, "infinity") == "stale"
    assert standing(practice_book, job, "parallelism") == "within"


@pytest.mark.parametrize("answer", ["not applicable", "later"])
def test_what_was_not_tried_was_tried_with_nothing(practice_book, job, answer):
    answer_proof(practice_book, job.id, name="self-timer", answer=answer, instrument="stop-watch")
    assert practice_book.jobs_with(instrument="stop-watch") == ()


def test_an_instrument_by_a_name_too_long_is_refused_at_its_field(practice_book, job):
    with pytest.raises(BadInputError) as refused:
        answer_proof(practice_book, job.id, name="infinity", answer="within", instrument="x" * 201)
    assert refused.value.problems[0].where == "instrument"


@pytest.mark.parametrize(("name", "answer"), [("infinity", "perhaps"), (" ", "within")])
def test_what_is_no_answer_is_refused(practice_book, job, name, answer):
    with pytest.raises(BadInputError):
        answer_proof(practice_book, job.id, name=name, answer=answer)
