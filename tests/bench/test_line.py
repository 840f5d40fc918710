"""A line typed at the bench is written down whole, or not at all."""

import pytest

from asfound.bench.jobs import load_job
from asfound.bench.line import preview_line, write_line
from asfound.problems import BadInputError


@pytest.fixture
def job_id(practice_book):
    return load_job(practice_book, "1").id


def entries(book, job_id):
    return len(book.entries(job_id))


def test_a_line_becomes_an_entry_and_is_echoed(practice_book, job_id):
    written = write_line(practice_book, job_id, "off film gate, 2 screws M1.4x2, in tray D7")
    assert [entry.kind for entry in written.entries] == ["step"]
    assert "film gate off" in written.understood.echo
    assert load_job(practice_book, job_id).parts["film gate"].lies == "D7"


def test_a_preview_writes_nothing(practice_book, job_id):
    before = entries(practice_book, job_id)
    assert preview_line(load_job(practice_book, job_id), "off film gate").bodies
    assert entries(practice_book, job_id) == before


def test_a_repeat_is_one_number(practice_book, job_id):
    write_line(practice_book, job_id, 'read height at "12 o\'clock" 0.35 mm')
    write_line(practice_book, job_id, "0.36")
    *_, before, last = load_job(practice_book, job_id).readings
    assert last.body.reading.value == 0.36
    assert (last.body.quantity, last.body.place) == (before.body.quantity, before.body.place)


def test_what_is_not_understood_writes_nothing_until_kept_as_a_note(practice_book, job_id):
    line = "off cover freed by 99"
    before = entries(practice_book, job_id)
    with pytest.raises(BadInputError, match="99"):
        write_line(practice_book, job_id, line)
    assert entries(practice_book, job_id) == before
    (entry,) = write_line(practice_book, job_id, line, as_note=True).entries
    assert entry.body.text == line
