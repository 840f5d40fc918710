"""Books of every earlier schema open and give the same job; a newer one is refused and left to the byte.

`books/entries-1.txt` holds a job as the first schema of entries stored it, a line to an entry after its hash. The lines
are never made anew: they stand for the books that are out there.
"""

import hashlib
import json
from collections.abc import Callable
from pathlib import Path

import pytest
import sqlalchemy as sa
from alembic import command
from alembic.config import Config
from alembic.script import ScriptDirectory

from asfound.book import Book, Location, Stored, in_folder
from asfound.book.appending import columns_of
from asfound.book.engine import WRITE, make_engine, writing
from asfound.book.tables import SCHEMA
from asfound.job import entry_hash, fold, read_entry
from asfound.job.bodies import Camera, Note
from asfound.problems import AsfoundError, StorageError

OpenBook = Callable[..., Book]
BOOKS = Path(__file__).parent / "books"
# The tables of entries as each schema had them; a book of that time had no more of what must not be lost.
FIRST_COLUMNS = ("id", "origin", "sequence", "job", "wall_ms", "counter", "hash", "stored")


def migrations() -> Config:
    config = Config()
    config.set_main_option("script_location", "asfound.book:migrations")
    config.set_main_option("path_separator", "os")
    return config


SCHEMAS = sorted(script.revision for script in ScriptDirectory.from_config(migrations()).walk_revisions())


def old_entries() -> list[Stored]:
    lines = (BOOKS / "entries-1.txt").read_bytes().splitlines()
    return [Stored(line[:64].decode(), line[65:]) for line in lines]


def make_book(location: Location, schema: str) -> None:
    """Make a book as a program of that schema would have left it, lists and all."""
    location.folder.mkdir(parents=True, exist_ok=True)
    engine = make_engine(location)
    try:
        with engine.connect() as connection:
            config = migrations()
            config.attributes["connection"] = connection.execution_options(**{WRITE: True})
            command.upgrade(config, schema)
        names = ", ".join(FIRST_COLUMNS)
        values = ", ".join(f":{name}" for name in FIRST_COLUMNS)
        with writing(engine, location) as connection:
            for item in old_entries():
                row = columns_of(read_entry(item.content)) | {"hash": item.hash, "stored": item.content}
                connection.execute(sa.text(f"INSERT INTO entry ({names}) VALUES ({values})"), row)  # noqa: S608
            # Lists of that time, of other columns than today's.
            connection.execute(sa.text("CREATE TABLE job_line (id VARCHAR(36) PRIMARY KEY, ticket TEXT)"))
            connection.execute(sa.text("INSERT INTO about (name, value) VALUES ('projections', '0')"))
    finally:
        engine.dispose()


def test_the_entries_of_old_are_as_they_were_written() -> None:
    stored = old_entries()
    assert len(stored) == 106
    assert all(entry_hash(item.content) == item.hash for item in stored)
    assert {json.loads(item.content)["schema_version"] for item in stored} == {1}


@pytest.mark.parametrize("schema", SCHEMAS)
def test_a_book_of_any_schema_opens_to_the_same_job(location: Location, open_book: OpenBook, schema: str) -> None:
    make_book(location, schema)
    book = open_book(location)
    expected = fold([read_entry(item.content) for item in old_entries()])
    line = book.jobs()[0]
    assert book.job(line.id) == expected
    assert book.stored(line.id) == tuple(old_entries()), "what is stored is never written anew"
    assert (line.ticket, line.camera, line.entries) == ("1", "Tarnbeck Merle Six-Nine", 106)
    assert [problem for problem in book.check().problems if "the attachment" not in problem.what] == []
    assert book.search("strut")
    assert book.write(line.id, [Note(text="years later")])


def test_the_job_of_old_says_what_it_said() -> None:
    """What somebody would notice if it changed: written down by reading the job's own lines."""
    job = fold([read_entry(item.content) for item in old_entries()])
    assert (job.ticket, job.camera.serial) == ("1", "04417")
    assert job.complaint.startswith("The long times drag")
    assert len(job.steps) == 25
    assert "paper shim" in {step.part for step in job.steps} | {part.name for part in job.parts.values()}
    assert len(job.photos) == 6


def files(folder: Path) -> dict[str, str]:
    found = (path for path in folder.rglob("*") if path.is_file())
    return {str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest() for path in found}


@pytest.mark.parametrize(
    "newer",
    ["UPDATE alembic_version SET version_num = '9001'", "UPDATE about SET value = '9001' WHERE name = 'projections'"],
)
def test_a_newer_book_is_left_to_the_byte(tmp_path: Path, newer: str) -> None:
    location = in_folder(tmp_path)
    with Book.open(location) as book:
        book.open_job(Camera(model="Otter"))
    engine = make_engine(location)
    with writing(engine, location) as connection:
        connection.execute(sa.text(newer))
    engine.dispose()
    before = files(tmp_path)
    for _ in range(2):
        with pytest.raises(StorageError, match="newer asfound; it was left untouched"):
            Book.open(location)
    assert files(tmp_path) == before


def test_an_entry_of_a_newer_schema_is_told_and_kept(location: Location, open_book: OpenBook) -> None:
    make_book(location, SCHEMA)
    engine = make_engine(location)
    last = json.loads(old_entries()[-1].content)
    newer = last | {"schema_version": 9001, "sequence": last["sequence"] + 1, "id": last["id"][:-1] + "0"}
    content = json.dumps(newer, sort_keys=True, separators=(",", ":")).encode()
    row = columns_of(read_entry(old_entries()[-1].content))
    row |= {"id": newer["id"], "sequence": newer["sequence"], "hash": entry_hash(content), "stored": content}
    with writing(engine, location) as connection:
        connection.execute(
            sa.text("INSERT INTO entry VALUES (:id, :origin, :sequence, :job, :wall_ms, :counter, :hash, :stored)"), row
        )
    engine.dispose()
    book = open_book(location)
    line = book.jobs()[0]
    with pytest.raises(AsfoundError, match=r"schema 9001.*newer asfound"):
        book.job(line.id)
    assert book.stored(line.id)[-1].content == content
