"""Opening: begun, brought up to date, shared, refused."""

import multiprocessing
import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory

from asfound.book import Book, Location, in_folder, server_lock
from asfound.book.engine import make_engine, reading, writing
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
    run(location, "UPDATE alembic_version SET version_num = '0001'")
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


def _write_notes(location: Location, ticket: str, count: int) -> None:
    with Book.open(location) as book:
        job = book.resolve(ticket)
        for number in range(count):
            book.write(job, [Note(text=f"note {number}")])


def test_several_programs_write_to_one_book_at_once(book: Book) -> None:
    job = book.open_job(OTTER, ticket="shared")[0].job
    context = multiprocessing.get_context("spawn")
    programs = [context.Process(target=_write_notes, args=(book.location, "shared", 8)) for _ in range(2)]
    for program in programs:
        program.start()
    for program in programs:
        program.join(60)
    assert [program.exitcode for program in programs] == [0, 0]
    assert [e.sequence for e in book.entries(job)] == list(range(1, 18))
    assert len(book.job(job).entries) == 17
    assert book.check().problems == ()


def _open(location: Location) -> None:
    Book.open(location).close()


def test_several_programs_begin_one_book_at_once(location: Location, open_book: OpenBook) -> None:
    context = multiprocessing.get_context("spawn")
    programs = [context.Process(target=_open, args=(location,)) for _ in range(2)]
    for program in programs:
        program.start()
    for program in programs:
        program.join(60)
    assert [program.exitcode for program in programs] == [0, 0]
    assert open_book(location).jobs() == ()


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
