"""A model's notes gathered from its jobs, exported, taken in; the published schema."""

import json
from pathlib import Path

import jsonschema
import pytest

from asfound.bench.jobs import open_job
from asfound.bench.notes import (
    cameras_seen,
    jobs_on,
    models,
    notes_file,
    notes_on,
    read_notes,
    take_in,
    warnings_against,
    write_notes,
)
from asfound.job.bodies import Camera, ReadingTaken, StepTaken
from asfound.job.observing import NotesFile, observe
from asfound.problems import BadInputError, NotFoundError, StorageError
from asfound.quantity import Reading

SCHEMA = Path(__file__).parents[2] / "docs" / "service-notes.schema.json"


def camera(book, gap, *, model="Otter", serial=""):
    """Open a job on a camera whose plate came off and whose gap was measured; return it."""
    job = open_job(book, camera=Camera(model=model, serial=serial), complaint="for A. Nobody")
    reading = Reading(value=gap, unit="mm", standard_uncertainty=0.01)
    book.write(job.id, [StepTaken(action="off", part="plate"), ReadingTaken(quantity="gap", reading=reading)])
    return book.job(job.id)


def test_the_published_schema_is_that_of_the_file():
    published = json.loads(SCHEMA.read_text(encoding="utf-8"))
    ours = NotesFile.model_json_schema()
    assert {name: published[name] for name in ours} == ours
    assert set(published) - set(ours) <= {"$schema", "$id", "title", "description"}


def refused_by_schema(text):
    """Ask the library that knows the standard of the schemas (JSON Schema 2020-12), not our own reader."""
    schema = json.loads(SCHEMA.read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    return [error.message for error in jsonschema.Draft202012Validator(schema).iter_errors(json.loads(text))]


@pytest.mark.parametrize("more", [{}, {"serials": True}, {"serials": True, "photos": True}])
def test_an_exported_file_is_valid_by_the_published_schema(practice_book, more):
    model = next(iter(models(practice_book)))
    assert refused_by_schema(notes_file(model, cameras_seen(practice_book, model, **more))) == []


def _without_model(data):
    del data["model"]


def _named_otherwise(data):
    data["format"] = "notes of another kind"


def _with_an_owner(data):
    data["cameras"][0]["owner"] = "A. Nobody"


def _turns_in_words(data):
    data["cameras"][0]["steps"][0]["turns"] = "half a turn"


def _stage_unknown(data):
    data["cameras"][0]["readings"][0]["stage"] = "next week"


def _camera_named_plainly(data):
    data["cameras"][0]["camera"] = "number 1"


@pytest.mark.parametrize(
    "spoil",
    [_without_model, _named_otherwise, _with_an_owner, _turns_in_words, _stage_unknown, _camera_named_plainly],
)
def test_a_malformed_file_is_refused_by_the_schema_and_by_the_book(book, tmp_path, spoil):
    data = json.loads(notes_file("Otter", [observe(camera(book, 0.3))]))
    assert refused_by_schema(json.dumps(data)) == []
    spoil(data)
    assert refused_by_schema(json.dumps(data))
    file = tmp_path / "notes.json"
    file.write_text(json.dumps(data), encoding="utf-8")
    with pytest.raises(BadInputError):
        take_in(book, file)


def test_models_are_counted_and_found_whatever_case_and_spacing(book):
    for model in ("Otter", "OTTER ", "Heron"):
        open_job(book, camera=Camera(model=model.strip()))
    assert {name.casefold(): count for name, count in models(book).items()} == {"otter": 2, "heron": 1}
    assert len(jobs_on(book, " otter")) == 2


def test_notes_exported_by_one_book_and_taken_in_by_another_count_its_cameras_once(practice_book, book, tmp_path):
    model = next(iter(models(practice_book)))
    file = tmp_path / "notes.json"
    write_notes(file, notes_file(model, cameras_seen(practice_book, model)))
    assert take_in(book, file) == (model, 1)
    assert take_in(book, file) == (model, 0)
    assert cameras_seen(book, model) == cameras_seen(practice_book, model)
    assert notes_on(book, model) == notes_on(practice_book, model)


def test_a_book_that_takes_in_its_own_notes_is_not_changed(book, tmp_path):
    camera(book, 0.4)
    before, file = notes_on(book, "Otter"), tmp_path / "notes.json"
    write_notes(file, notes_file("Otter", cameras_seen(book, "Otter")))
    take_in(book, file)
    take_in(book, file)
    assert notes_on(book, "Otter") == before


def test_no_owner_serial_or_photograph_leaves_the_book_unless_asked(practice_book):
    model = next(iter(models(practice_book)))
    job = jobs_on(practice_book, model)[0]
    shut = notes_file(model, cameras_seen(practice_book, model))
    asked = notes_file(model, cameras_seen(practice_book, model, serials=True, photos=True))
    assert job.complaint not in shut
    assert '"photos": []' in shut
    assert len(asked) > len(shut)
    assert len(json.loads(asked)["cameras"][0]["photos"]) == len(job.photos) > 0
    assert NotesFile.model_validate_json(asked)


def test_a_reading_outside_those_of_other_cameras_is_warned_of(book):
    for n in range(7):
        camera(book, 0.40 + 0.01 * (n % 3))
    sound, odd = camera(book, 0.41), camera(book, 0.80)
    assert warnings_against(notes_on(book, "Otter", without=sound), sound) == ()
    (line,) = warnings_against(notes_on(book, "Otter", without=odd), odd)
    assert "lies outside" in line


def test_an_unknown_model_is_told_with_the_nearest(book):
    camera(book, 0.4)
    with pytest.raises(NotFoundError, match="did you mean 'Otter'"):
        notes_on(book, "Oter")


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"\xff\xfe", "no text"),
        (b"a letter", "no JSON"),
        (b'{"format": "something else", "model": "X", "cameras": []}', "format"),
        (b'{"format": "asfound service notes", "model": "X", "cameras": [], "owner": "A. Nobody"}', "owner"),
    ],
)
def test_what_is_no_file_of_notes_is_refused_at_its_first_fault(tmp_path, content, said):
    (tmp_path / "odd.json").write_bytes(content)
    with pytest.raises(BadInputError, match=said):
        read_notes(tmp_path / "odd.json")


def test_a_file_that_is_not_there_is_told_plainly(tmp_path):
    with pytest.raises(StorageError, match="cannot be read"):
        read_notes(tmp_path / "none.json")
