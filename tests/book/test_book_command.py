"""asfound book, as typed."""

import json
from pathlib import Path

import pytest

from asfound.book import Book, in_folder
from asfound.cli.main import main
from asfound.job.bodies import Camera


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    with Book.open(in_folder(tmp_path / "book")) as book:
        book.open_job(Camera(model="Otter"))
    return tmp_path / "book"


def run(*arguments: object) -> int:
    try:
        main([str(argument) for argument in arguments])
    except SystemExit as stop:
        return int(stop.code or 0)
    return 0


def test_where_says_where(shelf: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("book", "where", "--book", shelf, "--json") == 0
    said = json.loads(capsys.readouterr().out)
    assert (said["book"], said["jobs"], said["open_jobs"], said["entries"]) == (str(shelf), 1, 1, 1)


def test_backup_and_restore_make_the_book_again(
    shelf: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("book", "backup", tmp_path / "b.zip", "--book", shelf) == 0
    assert run("book", "restore", tmp_path / "b.zip", "--book", tmp_path / "again") == 0
    assert run("book", "rebuild", "--book", tmp_path / "again") == 0
    assert run("book", "check", "--book", tmp_path / "again") == 0
    assert "nothing is wrong" in capsys.readouterr().out


def test_check_ends_with_status_1_where_something_is_wrong(shelf: Path, capsys: pytest.CaptureFixture[str]) -> None:
    import sqlite3
    from contextlib import closing

    with closing(sqlite3.connect(shelf / "book.sqlite")) as connection, connection:
        connection.execute("UPDATE job_line SET ticket = 'other'")
    assert run("book", "check", "--book", shelf) == 1
    assert "run: asfound book rebuild" in capsys.readouterr().out


def test_a_damaged_backup_is_one_line_and_status_2(
    shelf: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "b.zip").write_bytes(b"PK")
    assert run("book", "restore", tmp_path / "b.zip", "--book", tmp_path / "again") == 2
    error = capsys.readouterr().err
    assert error.startswith("asfound: ")
    assert error.count("\n") == 1


def test_a_file_in_the_way_of_the_book_is_status_3(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "file").write_text("")
    assert run("book", "where", "--book", tmp_path / "file") == 3
    assert capsys.readouterr().err.startswith("asfound: ")
