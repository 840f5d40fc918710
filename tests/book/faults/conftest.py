"""What the tests of crashes and disks share: sessions in processes of their own, and what a book must hold after."""

import contextlib
import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from benchmarks import _serving

from asfound.book import Book, in_folder
from asfound.book.spool import SpooledBlock, live_folder, read_spool
from asfound.job.bodies import Note, Photo

HERE = Path(__file__).parent
Run = Callable[..., dict[str, Any]]


@contextlib.contextmanager
def running(environment: dict[str, str]) -> Iterator[Run]:
    program = subprocess.Popen(
        [sys.executable, HERE / "worker.py"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env=os.environ | environment,
    )
    assert program.stdin is not None
    assert program.stdout is not None
    asked, answered = program.stdin, program.stdout

    def run(**order: object) -> dict[str, Any]:
        asked.write(json.dumps(order) + "\n")
        asked.flush()
        answer = answered.readline()
        assert answer, "the worker itself ended"
        said: dict[str, Any] = json.loads(answer)
        return said

    yield run
    asked.close()
    program.wait(30)
    answered.close()


@pytest.fixture(scope="module")
def bench() -> Iterator[Run]:
    """Give a function that runs a session and returns what it said."""
    with running({}) as run:
        yield run


@pytest.fixture(scope="session")
def disk(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give the library that watches and refuses, built from disk.c."""
    compiler = shutil.which("cc") or shutil.which("gcc")
    if compiler is None:
        text = "no C compiler is here to build the disk that refuses: on Debian, apt install gcc libc6-dev"
        if os.environ.get("CI", "").lower() == "true":
            pytest.fail(text)
        pytest.skip(text)
    library = tmp_path_factory.mktemp("disk") / "disk.so"
    flags = ("-shared", "-fPIC", "-O1", "-Wall", "-Wextra", "-Werror")
    subprocess.run([compiler, *flags, "-o", library, HERE / "disk.c", "-ldl"], check=True)
    return library


@pytest.fixture(scope="module")
def watched_bench(disk: Path) -> Iterator[Run]:
    """Give a function that runs a session over the disk that watches and refuses."""
    with running({"LD_PRELOAD": str(disk)}) as run:
        yield run


def _held(book: Book) -> tuple[set[str], dict[int, tuple[int, int]]]:
    """Return the ids of all entries, and of each deed how many of its entries are there and how many it has."""
    ids: set[str] = set()
    deeds: dict[int, tuple[int, int]] = {}
    for line in book.jobs():
        for entry in book.entries(line.id):
            ids.add(str(entry.id))
            text = getattr(entry.body, "text", "") if isinstance(entry.body, Note) else ""
            text = entry.body.caption if isinstance(entry.body, Photo) else text
            if found := re.match(r"deed (\d+), \d+ of (\d+)", text):
                number, many = int(found[1]), int(found[2])
                deeds[number] = deeds.get(number, (0, 0))[0] + 1, many
    return ids, deeds


def _spooled(folder: Path, name: str) -> int:
    """Return how many whole blocks a spool holds, in their order and with their content."""
    blocks = [record for record in read_spool(live_folder(folder) / name).records() if isinstance(record, SpooledBlock)]
    assert all((block.samples == number).all() for number, block in enumerate(blocks))
    return len(blocks)


@pytest.fixture(scope="session")
def assert_kept() -> Callable[[Path, list[dict[str, Any]]], None]:
    """Give a function that holds a book to what was acknowledged: all of it there, and nothing half."""

    def kept(folder: Path, said: list[dict[str, Any]]) -> None:
        done = [one for one in said if "done" in one]
        with Book.open(in_folder(folder)) as book:
            checked = book.check()
            assert checked.problems == ()
            ids, deeds = _held(book)
            assert {id_ for one in done for id_ in one["entries"]} <= ids
            assert all(there == many for there, many in deeds.values())
            assert set(deeds) <= {one["begin"] for one in said if "begin" in one}
            for one in done:
                if "attachment" in one:
                    assert book.attachment_path(one["attachment"]).is_file()
        for one in done:
            if "spool" in one:
                assert _spooled(folder, one["spool"]) >= one["blocks"]

    return kept


@pytest.fixture
def start() -> Iterator[Callable[..., tuple[subprocess.Popen[bytes], str]]]:
    """Give a function that starts the bench page of a book and returns its process and address."""
    started: list[subprocess.Popen[bytes]] = []

    def begin(book: str, **environment: str) -> tuple[subprocess.Popen[bytes], str]:
        server, address = _serving.start(book, **environment)
        started.append(server)
        return server, address

    yield begin
    for server in started:
        _serving.kill(server)


@pytest.fixture
def kill() -> Callable[[subprocess.Popen[bytes]], None]:
    """Give a function that ends a server and its workers at once, without a chance to tidy up."""
    return _serving.kill
