"""Routes and schemas are published as the program has them, and real entries are valid by them."""

import importlib.util
import json
import re
import warnings
from functools import cache
from pathlib import Path

import jsonschema
import pytest

from asfound.bench import costs, drivers, instruments, stock
from asfound.bench.practice import write_practice_job
from asfound.book import Book, in_folder
from asfound.book.backup import FORMAT
from asfound.book.spool import FIRST_LINE
from asfound.job.entry import SCHEMA_VERSION
from asfound.web.app import create_app
from asfound.web.desk import Desk
from asfound.web.errors import STATUS
from asfound.web.settings import Settings

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"


with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # its notice about another library than the one it is used with
    from fastapi.testclient import TestClient


@cache
def tool(name):
    spec = importlib.util.spec_from_file_location(name, ROOT / "tools" / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize("name", tool("schemas").schemas())
def test_a_published_schema_is_what_the_program_reads_by(name):
    made = tool("schemas").schemas()[name]
    jsonschema.Draft202012Validator.check_schema(made)
    assert (DOCS / name).read_text("utf-8") == tool("schemas").text_of(made), "run: make docs"


@pytest.fixture(scope="module")
def stored(tmp_path_factory):
    """Give the practice job's entries as the book keeps them."""
    with Book.open(in_folder(tmp_path_factory.mktemp("book"))) as book:
        job = write_practice_job(book).id
        return [json.loads(entry.content) for entry in book.stored(job)]


@pytest.fixture(scope="module")
def entry_schema():
    return jsonschema.Draft202012Validator(
        json.loads((DOCS / "entry.schema.json").read_text("utf-8")),
        format_checker=jsonschema.Draft202012Validator.FORMAT_CHECKER,
    )


def test_every_entry_of_the_practice_job_is_valid_by_the_published_schema(stored, entry_schema):
    assert len({entry["body"]["kind"] for entry in stored}) > 12
    for entry in stored:
        entry_schema.validate(entry)
        assert entry["schema_version"] == SCHEMA_VERSION


@pytest.mark.parametrize(
    "spoil",
    [
        lambda entry: entry.pop("job"),
        lambda entry: entry.update(sequence=0),
        lambda entry: entry.update(clock="yesterday"),
        lambda entry: entry.update(id="7"),
        lambda entry: entry.update(more=1),
        lambda entry: entry["body"].update(kind="no such kind"),
        lambda entry: entry["body"].update(more=1),
    ],
)
def test_a_spoilt_entry_is_not_valid(stored, entry_schema, spoil):
    entry = json.loads(json.dumps(stored[3]))
    spoil(entry)
    assert not entry_schema.is_valid(entry)


def test_the_page_of_routes_is_as_the_routes_are():
    assert (DOCS / "routes.md").read_text("utf-8") == tool("routes").reference(), "run: make docs"


def test_every_status_that_an_error_may_have_is_told_in_the_description_of_each_route():
    pairing_only = {429}
    for path, methods in tool("routes").description()["paths"].items():
        if path.startswith("/api/"):
            for route in methods.values():
                told = {int(status) for status in route["responses"]} - {200}
                assert told == set(STATUS.values()) - pairing_only, path
                assert "HTTPValidationError" not in json.dumps(route["responses"]), path


@pytest.fixture(scope="module")
def bench(tmp_path_factory):
    with Book.open(in_folder(tmp_path_factory.mktemp("served"))) as book:
        write_practice_job(book)
        desk = Desk(book=book, pool=None, settings=Settings(secret=b"only for the tests" * 2))
        yield TestClient(create_app(desk), base_url="http://127.0.0.1:8642", client=("127.0.0.1", 5000))


def test_the_token_is_got_and_sent_as_the_page_of_routes_says(bench):
    token = bench.get("/api/token").json()["token"]
    path = f"/api/jobs/{bench.get('/api/jobs').json()[0]['id']}/line"
    assert bench.post(path, json={"text": "note it runs free"}).status_code == 403
    written = bench.post(path, json={"text": "note it runs free"}, headers={"X-Asfound-Token": token})
    assert len(written.json()["entries"]) == 1


def test_what_is_refused_is_answered_as_the_description_says(bench):
    said = tool("routes").description()
    token = {"X-Asfound-Token": bench.get("/api/token").json()["token"]}
    path = f"/api/jobs/{bench.get('/api/jobs').json()[0]['id']}/line"
    answers = [
        bench.post(path, json={"text": "x"}),
        bench.post(path, json={"text": []}, headers=token),
        bench.post(path, content=b"{", headers=token),
        bench.post(path, json={"text": "x" * 2_000_000}, headers=token),
        bench.get("/api/jobs/none"),
        bench.get(f"/api/jobs/{'0' * 8}-0000-7000-8000-{'0' * 12}"),
    ]
    assert [answer.status_code for answer in answers] == [403, 422, 422, 413, 404, 404]
    for answer in answers:
        schema = {"$ref": "#/components/schemas/ProblemsOut", "components": said["components"]}
        jsonschema.Draft202012Validator(schema).validate(answer.json())


def test_every_table_beside_the_book_is_told_with_its_columns():
    text = (DOCS / "formats.md").read_text("utf-8")
    told = dict(re.findall(r"^\| `(\w+\.csv)` \| ([^|(]+?)(?: \([^|]*)? \|$", text, re.MULTILINE))
    kept = {kind.file: kind.columns for kind in stock.KINDS.values()}
    kept |= {drivers.DRIVERS_FILE: drivers.COLUMNS, instruments.INSTRUMENTS_FILE: instruments.COLUMNS}
    kept |= {costs.PRICES_FILE: ("what", "price", "currency")}
    assert {name: tuple(columns.split(", ")) for name, columns in told.items()} == kept


def test_no_table_of_the_program_is_left_out():
    source = "\n".join(path.read_text("utf-8") for path in (ROOT / "src").rglob("*.py"))
    text = (DOCS / "formats.md").read_text("utf-8")
    assert [name for name in set(re.findall(r'"([a-z]+\.csv)"', source)) if f"`{name}`" not in text] == []


def test_what_is_versioned_has_the_version_that_is_told():
    text = (DOCS / "formats.md").read_text("utf-8")
    assert FIRST_LINE.decode().strip() in text
    assert f"`schema_version` is {SCHEMA_VERSION}." in text
    assert f"| `format` | {FORMAT}; a higher one is refused |" in text
