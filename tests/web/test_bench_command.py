"""Starting the bench book: a port that is taken, a book that is open already, a secret that stays."""

import socket
from pathlib import Path

import pytest

from asfound.book import in_folder, server_lock
from asfound.cli.bench import listen, read_secret
from asfound.cli.main import main
from asfound.problems import ConflictError, StorageError


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int | str | None, str]:
    with pytest.raises(SystemExit) as stop:
        main(["bench", *arguments])
    return stop.value.code, capsys.readouterr().err


def test_a_taken_port_is_one_line_that_says_what_to_do(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        status, said = run(capsys, "--book", str(tmp_path / "book"), "--port", str(port))
    assert status == 2
    assert said.count("\n") == 1
    assert f"port {port} is taken" in said
    assert "--port" in said.split(";")[1]


def test_a_second_server_on_one_book_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    with server_lock(in_folder(tmp_path)):
        status, said = run(capsys, "--book", str(tmp_path), "--port", str(port))
    assert status == 2
    assert "another server has this book open" in said


def test_an_address_of_another_machine_is_refused() -> None:
    with pytest.raises(ConflictError, match="cannot be listened on"):
        listen("192.0.2.1", 0)  # RFC 5737: an address kept for documentation


def test_the_secret_is_made_once_and_for_its_owner_alone(tmp_path: Path) -> None:
    secret = read_secret(tmp_path)
    assert len(secret) >= 32
    assert read_secret(tmp_path) == secret
    assert (tmp_path / "web-secret").stat().st_mode & 0o077 == 0


def test_a_damaged_secret_is_made_anew(tmp_path: Path) -> None:
    (tmp_path / "web-secret").write_bytes(b"short")
    assert len(read_secret(tmp_path)) >= 32


def test_a_folder_that_cannot_be_used_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("no folder")
    with pytest.raises(StorageError, match="cannot be kept"):
        read_secret(tmp_path / "file")
