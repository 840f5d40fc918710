"""A book served by a process of its own: answered once it is there, and loud when it is not."""

from pathlib import Path
from urllib.request import urlopen

import pytest
from benchmarks._serving import NotServedError, kill, served, start

from asfound.book import in_folder, server_lock


def test_a_served_book_answers_and_its_server_is_gone_afterwards(tmp_path: Path) -> None:
    with served(tmp_path) as address, urlopen(address) as page:
        assert b"asfound" in page.read()
    with server_lock(in_folder(tmp_path)), pytest.raises(OSError, match="refused"):
        urlopen(address)


def test_a_book_that_another_server_has_open_is_not_served(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    with (
        server_lock(in_folder(tmp_path)),
        pytest.raises(NotServedError, match="ended by itself, with status 2"),
        served(tmp_path),
    ):
        pytest.fail("the block must not run")
    assert "another server has this book open" in capfd.readouterr().err


def test_a_server_that_ends_in_the_midst_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    running = start(str(tmp_path))
    monkeypatch.setattr("benchmarks._serving.start", lambda book: running)
    with pytest.raises(NotServedError, match="ended by itself"), served(tmp_path):
        kill(running[0])
