"""Starting the bench book: a port that is taken, a book that is open already, a secret that stays."""

import json
import socket
from pathlib import Path

import pytest

from asfound.book import Book, in_folder, server_lock
from asfound.cli.bench import address_of, listen, places, read_secret, settings_for, show_pairing
from asfound.cli.main import main
from asfound.cli.network import own_names
from asfound.problems import BadInputError, ConflictError, StorageError
from asfound.web.codes import Codes


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


def test_by_default_it_listens_to_this_computer_alone() -> None:
    assert places(None, lan=False) == ("127.0.0.1", "")


@pytest.mark.parametrize("host", ["0.0.0.0", "192.0.2.7", "::", "bench.example"])
def test_an_address_that_others_reach_is_opened_on_request_only(
    host: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    status, said = run(capsys, "--book", str(tmp_path / "book"), "--host", host)
    assert status == 2
    assert "add --lan" in said
    assert not (tmp_path / "book").exists()


def test_the_network_is_opened_beside_this_computer_not_in_its_place() -> None:
    assert places("192.0.2.7", lan=True) == ("127.0.0.1", "192.0.2.7")
    assert places("0.0.0.0", lan=True) == ("", "0.0.0.0")


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost", "::1"])
def test_an_address_that_nobody_else_reaches_cannot_be_opened_to_the_network(host: str) -> None:
    with pytest.raises(BadInputError, match="no other device reaches"):
        places(host, lan=True)


def test_without_a_network_that_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise OSError("Network is unreachable")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    with pytest.raises(ConflictError, match="on no network"):
        places(None, lan=True)


def test_opened_to_the_network_it_answers_to_its_address_there_and_its_names(tmp_path: Path) -> None:
    settings = settings_for(in_folder(tmp_path), "127.0.0.1", "192.0.2.7", 8642)
    assert settings.address == "http://192.0.2.7:8642"
    assert {"192.0.2.7", "127.0.0.1"} <= settings.hosts
    assert own_names() <= settings.hosts
    closed = settings_for(in_folder(tmp_path), "127.0.0.1", "", 8642)
    assert closed.address == ""
    assert not own_names() & closed.hosts


def test_the_pairing_code_is_shown_with_what_the_network_sees(capsys: pytest.CaptureFixture[str]) -> None:
    codes = Codes()
    show_pairing("http://192.0.2.7:8642", codes)
    said = capsys.readouterr().out
    code = codes.now()
    assert code is not None
    assert code.text in said
    assert "http://192.0.2.7:8642" in said
    assert "not encrypted" in said
    assert said.count("█") > 50


def test_an_address_of_six_parts_is_written_as_a_browser_takes_it() -> None:
    assert address_of("fd00::2", 8642) == "http://[fd00::2]:8642"


@pytest.fixture
def two_devices(tmp_path: Path) -> Path:
    with Book.open(in_folder(tmp_path)) as book:
        book.add_device(name="telephone", secret="s1")
        book.add_device(name="tablet", secret="s2")
    return tmp_path


def devices(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    main(["devices", *arguments])
    return capsys.readouterr().out


def test_devices_are_listed_and_removed_by_name(two_devices: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = ("--book", str(two_devices))
    listed = json.loads(devices(capsys, "list", *book, "--json"))["devices"]
    assert [device["name"] for device in listed] == ["telephone", "tablet"]
    assert "telephone" in devices(capsys, "list", *book)
    assert devices(capsys, "remove", "telephone", *book) == "telephone is let in no more\n"
    assert json.loads(devices(capsys, "remove", listed[1]["id"][-8:], *book, "--json"))["removed"]["name"] == "tablet"
    assert "no device is paired" in devices(capsys, "list", *book)


def test_a_device_that_is_not_there_or_not_the_only_one_is_one_line(
    two_devices: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with Book.open(in_folder(two_devices)) as book:
        book.add_device(name="tablet", secret="s3")
    for named, said in (("watch", "choose from: telephone, tablet"), ("tablet", "are 2 devices; give an id")):
        with pytest.raises(SystemExit) as stop:
            main(["devices", "remove", named, "--book", str(two_devices)])
        assert stop.value.code == 2
        assert said in capsys.readouterr().err
