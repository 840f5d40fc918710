"""Opening: begun, brought up to date, shared, refused."""

import re
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from uuid_utils.compat import uuid7

from asfound.book import Book, Location, in_folder, server_lock
from asfound.book.engine import _use_wal, make_engine, reading, writing
from asfound.book.projections import PROJECTION_VERSION
from asfound.book.tables import METADATA, SCHEMA
from asfound.job.bodies import Camera, Note
from asfound.problems import ConflictError, StorageError

OTTER = Camera(model="Otter 6x9")
OpenBook = Callable[..., Book]


def run(location: Location, *statements: str) -> None:
    engine = make_engine(location)
    try:
        with writing(engine, location) as connection:
            for statement in statements:
                connection.execute(sa.text(statement))
    finally:
        engine.dispose()


def test_the_number_of_the_schema_is_that_of_the_last_migration() -> None:
    config = Config()
    config.set_main_option("script_location", "asfound.book:migrations")
    config.set_main_option("path_separator", "os")
    assert ScriptDirectory.from_config(config).get_current_head() == SCHEMA


def test_migrations_make_the_tables_that_the_program_uses(book: Book) -> None:
    engine = make_engine(book.location)
    ours = set(METADATA.tables)

    def ours_alone(_item: object, name: str | None, kind: str, _reflected: bool, _other: object) -> bool:
        return kind != "table" or name in ours

    try:
        with reading(engine, "test") as connection:
            context = MigrationContext.configure(connection, opts={"include_object": ours_alone, "compare_type": True})
            assert compare_metadata(context, METADATA) == []
    finally:
        engine.dispose()


def test_a_newer_book_is_refused_untouched(location: Location, open_book: OpenBook) -> None:
    with Book.open(location) as book:
        job = book.open_job(OTTER)[0].job
    run(location, "UPDATE alembic_version SET version_num = '9001'")
    with pytest.raises(StorageError, match=r"schema 9001.*newer asfound"):
        Book.open(location)
    run(location, "UPDATE alembic_version SET version_num = '9001'".replace("9001", SCHEMA))
    assert len(open_book(location).entries(job)) == 1


def test_a_book_with_newer_lists_is_refused(location: Location, open_book: OpenBook) -> None:
    open_book(location).close()
    run(location, "UPDATE about SET value = '9001' WHERE name = 'projections'")
    with pytest.raises(StorageError, match="version 9001"):
        Book.open(location)


def test_lists_of_an_older_program_are_made_again(location: Location, open_book: OpenBook) -> None:
    with Book.open(location) as book:
        line = book.line(book.open_job(OTTER, complaint="sticks")[0].job)
    run(location, "DELETE FROM job_line", "UPDATE about SET value = '0' WHERE name = 'projections'")
    book = open_book(location)
    assert book.jobs() == (line,)
    assert PROJECTION_VERSION > 0


def test_lists_rebuilt_are_those_written_entry_by_entry(book: Book) -> None:
    for complaint in ("sticks", "pinholes"):
        job = book.open_job(OTTER, complaint=complaint)[0].job
        book.write(job, [Note(text=f"{complaint} seen"), Note(text="bellows")])
    before = book.jobs(), book.search("bellows"), book.search("sticks")
    assert book.check().problems == ()
    book.rebuild()
    assert (book.jobs(), book.search("bellows"), book.search("sticks")) == before
    assert book.check().problems == ()


@pytest.mark.parametrize("change", ["UPDATE entry SET job = 'x'", "DELETE FROM entry"])
def test_the_database_itself_refuses_to_change_an_entry(book: Book, change: str) -> None:
    job = book.open_job(OTTER)[0].job
    with pytest.raises((ConflictError, StorageError)):
        run(book.location, change)
    assert len(book.entries(job)) == 1


def test_a_sqlite_book_survives_a_power_cut(open_book: OpenBook, tmp_path: Path) -> None:
    engine = make_engine(open_book(in_folder(tmp_path)).location)
    try:
        with reading(engine, "test") as connection:
            asked = [connection.exec_driver_sql(f"PRAGMA {name}").scalar() for name in ("journal_mode", "synchronous")]
            assert asked == ["wal", 2]
            assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar() == 1
    finally:
        engine.dispose()


def test_a_bench_keeps_its_name_and_a_copied_folder_gets_another(open_book: OpenBook, tmp_path: Path) -> None:
    first, again = open_book(in_folder(tmp_path / "a")), open_book(in_folder(tmp_path / "a"))
    job = first.open_job(OTTER)[0].job
    assert first.origin == again.origin
    first.close()
    again.close()
    shutil.copytree(tmp_path / "a", tmp_path / "b")
    copied, kept = open_book(in_folder(tmp_path / "b")), open_book(in_folder(tmp_path / "a"))
    assert copied.origin != kept.origin
    copied.write(job, [Note(text="in the copy")])
    kept.write(job, [Note(text="in the first")])
    kept.merge(copied.stored(job))
    assert kept.check().problems == ()
    assert len(kept.entries(job)) == 3


def test_a_second_server_on_one_folder_is_refused(tmp_path: Path) -> None:
    location = in_folder(tmp_path)
    with server_lock(location):
        with pytest.raises(ConflictError, match="another server has this book open"), server_lock(location):
            pass
        with Book.open(location) as book:
            assert book.open_job(OTTER)
    with server_lock(location):
        pass


PROGRAM = """
import sys
from pathlib import Path
from uuid import UUID
from asfound.book import Book, Location
from asfound.job.bodies import Camera, Note, Opened
from asfound.problems import ConflictError

url, folder, attachments, job, name = sys.argv[1:]
with Book.open(Location(url=url, folder=Path(folder), attachments=Path(attachments))) as book:
    try:
        book.write(UUID(job), [Opened(ticket="shared", camera=Camera(model=name))], expect_new=True)
        print("opened")
    except ConflictError:
        pass
    for number in range(12):
        book.write(UUID(job), [Note(text=f"{name} {number}")])
"""


def test_programs_that_begin_a_book_at_once_open_one_job_and_lose_and_double_nothing(
    location: Location, open_book: OpenBook
) -> None:
    job = uuid7()
    place = [location.url, str(location.folder), str(location.attachments), str(job)]
    programs = [
        subprocess.Popen([sys.executable, "-c", PROGRAM, *place, name], stdout=subprocess.PIPE, text=True)
        for name in ("bench", "counter")
    ]
    said = [program.communicate(timeout=60)[0] for program in programs]
    assert [program.returncode for program in programs] == [0, 0]
    assert "".join(said) == "opened\n"
    book = open_book(location)
    entries = book.entries(job)
    assert [e.sequence for e in entries] == list(range(1, 26))
    texts = [e.body.text for e in entries if isinstance(e.body, Note)]
    for name in ("bench", "counter"):
        assert [text for text in texts if text.startswith(name)] == [f"{name} {n}" for n in range(12)]
    assert book.check().problems == ()


class Beginning:
    """A connection to a file that other programs are turning into a book: busy twice, then free."""

    def __init__(self, errorcode: int) -> None:
        self.asked = 0
        self.error = sqlite3.OperationalError("database is locked")
        self.error.sqlite_errorcode = errorcode

    def execute(self, _statement: str) -> "Beginning":
        self.asked += 1
        if self.asked < 3:
            raise self.error
        return self

    def fetchall(self) -> list[tuple[str]]:
        return [("wal",)]


def test_a_book_that_others_are_just_beginning_is_waited_for() -> None:
    beginning = Beginning(sqlite3.SQLITE_BUSY)
    _use_wal(beginning)  # type: ignore[arg-type]
    assert beginning.asked == 3


def test_another_error_is_not_waited_for() -> None:
    beginning = Beginning(sqlite3.SQLITE_NOTADB)
    with pytest.raises(sqlite3.OperationalError):
        _use_wal(beginning)  # type: ignore[arg-type]
    assert beginning.asked == 1


def test_a_book_that_may_only_be_read_is_told_plainly(tmp_path: Path, open_book: OpenBook) -> None:
    book = open_book(in_folder(tmp_path))
    sa.event.listen(book._engine, "begin", _let_nothing_be_written)
    with pytest.raises(StorageError, match="may not be written to"):
        book.open_job(OTTER)
    assert book.jobs() == ()


def _let_nothing_be_written(connection: sa.Connection) -> None:
    connection.exec_driver_sql("PRAGMA query_only = ON")


def test_a_full_disk_is_told_plainly_and_the_book_is_as_it_was(tmp_path: Path, open_book: OpenBook) -> None:
    book = open_book(in_folder(tmp_path))
    job = book.open_job(OTTER)[0].job
    sa.event.listen(book._engine, "begin", _let_the_file_grow_no_more)
    with pytest.raises(StorageError, match=re.escape("the disk is full") + ".*make room"):
        book.write(job, [Note(text="word " * 3_000) for _ in range(40)])
    sa.event.remove(book._engine, "begin", _let_the_file_grow_no_more)
    book._engine.dispose()
    assert len(book.entries(job)) == 1
    assert book.check().problems == ()
    assert book.write(job, [Note(text="room again")])


def _let_the_file_grow_no_more(connection: sa.Connection) -> None:
    pages = connection.exec_driver_sql("PRAGMA page_count").scalar()
    connection.exec_driver_sql(f"PRAGMA max_page_count = {pages}")


def test_a_file_that_is_no_book_is_told_plainly(tmp_path: Path) -> None:
    (tmp_path / "book.sqlite").write_bytes(b"this is a letter, not a book" * 200)
    with pytest.raises(StorageError, match="damaged"):
        Book.open(in_folder(tmp_path))


def test_a_folder_that_cannot_be_made_is_told_plainly(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(StorageError, match="file"):
        Book.open(in_folder(tmp_path / "file" / "book"))


def test_a_database_that_does_not_answer_is_told_without_its_password(tmp_path: Path) -> None:
    from asfound.book import on_postgresql

    url = f"postgresql://bench:sesame@/book?host={tmp_path}"
    location = on_postgresql(url, folder=tmp_path / "bench", attachments=tmp_path / "files")
    with pytest.raises(StorageError, match="cannot be reached") as caught:
        Book.open(location)
    assert "sesame" not in str(caught.value) + repr(location) + str(location)
