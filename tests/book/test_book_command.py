"""asfound book, as typed."""

import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

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


DEEDS = st.lists(st.sampled_from(["seen", "fault sticks", "condition pallet dry", "undo"]), max_size=3)


def deed(place: Path, job: str, what: str) -> None:
    # Undoing an empty job is refused: that, too, leaves the benches alike.
    run(*(("undo", job) if what == "undo" else ("write", job, "--as-note", what)), "--book", place)


@settings(max_examples=6, deadline=None)
@given(home=DEEDS, away=DEEDS)
def test_two_benches_on_one_job_come_to_the_same_by_commands_in_either_order(
    tmp_path_factory: pytest.TempPathFactory, home: list[str], away: list[str]
) -> None:
    folder = tmp_path_factory.mktemp("benches")
    benches = {name: folder / name for name in ("home", "away", "third", "fourth")}
    assert run("open", "Otter", "--ticket", "7", "--book", benches["home"]) == 0
    assert run("book", "bundle", "7", "-o", folder / "begun.zip", "--book", benches["home"]) == 0
    assert run("book", "take-in", folder / "begun.zip", "--book", benches["away"]) == 0
    for name, deeds in (("home", home), ("away", away)):
        for what in deeds:
            deed(benches[name], "7", what)
        assert run("book", "bundle", "7", "-o", folder / f"{name}.zip", "--book", benches[name]) == 0
    for name, order in (("home", "home away"), ("away", "away home"), ("third", "home away"), ("fourth", "away home")):
        for sent in order.split():
            assert run("book", "take-in", folder / f"{sent}.zip", "--book", benches[name]) == 0
    jobs = []
    for place in benches.values():
        with Book.open(in_folder(place)) as book:
            jobs.append(book.job(book.resolve("7")))
            assert book.check().problems == ()
    assert all(job == jobs[0] for job in jobs)


def test_a_bundle_says_what_was_new_and_the_second_time_nothing(
    shelf: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run("book", "bundle", "1", "--book", shelf) == 0
    assert "job-1.bundle.zip: job 1, 1 entry, 0 attachments, verified" in capsys.readouterr().out
    for said in ("job 1: 1 new entry, 0 known already", "job 1: nothing in it is new"):
        assert run("book", "take-in", "job-1.bundle.zip", "--book", tmp_path / "again") == 0
        assert said in capsys.readouterr().out
    assert run("book", "take-in", "job-1.bundle.zip", "--book", tmp_path / "again", "--json") == 0
    assert json.loads(capsys.readouterr().out)["ticket"] == "1"


def test_a_job_of_the_same_number_is_told_apart_by_its_id(
    shelf: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("book", "bundle", "1", "-o", tmp_path / "one.zip", "--book", shelf) == 0
    assert run("open", "Heron", "--ticket", "1", "--book", tmp_path / "again") == 0
    assert run("book", "take-in", tmp_path / "one.zip", "--book", tmp_path / "again") == 0
    assert "another job is 1 here too: name this one by its id" in capsys.readouterr().out
    assert run("show", "1", "--book", tmp_path / "again") == 2


def test_a_damaged_bundle_is_one_line_and_status_2(
    shelf: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("book", "bundle", "1", "-o", tmp_path / "one.zip", "--book", shelf) == 0
    content = bytearray((tmp_path / "one.zip").read_bytes())
    content[60] ^= 1
    (tmp_path / "one.zip").write_bytes(content)
    capsys.readouterr()
    assert run("book", "take-in", tmp_path / "one.zip", "--book", tmp_path / "again") == 2
    error = capsys.readouterr().err
    assert error.startswith("asfound: ")
    assert "nothing was taken in" in error
    assert error.count("\n") == 1


def test_a_backup_or_bundle_is_verified_without_a_book(
    shelf: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("book", "bundle", "1", "-o", tmp_path / "one.zip", "--book", shelf) == 0
    assert run("book", "backup", tmp_path / "all.zip", "--book", shelf) == 0
    for name in ("one.zip", "all.zip"):
        assert run("book", "verify", tmp_path / name) == 0
        assert "nothing is wrong" in capsys.readouterr().out.splitlines()[-1]
        content = bytearray((tmp_path / name).read_bytes())
        content[60] ^= 1
        (tmp_path / name).write_bytes(content)
        assert run("book", "verify", tmp_path / name) == 2
        assert capsys.readouterr().err.startswith("asfound: ")
