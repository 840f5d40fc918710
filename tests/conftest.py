"""What the tests of several rooms share: a PostgreSQL server of their own, and a book on either store."""

import os
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import psycopg
import pytest

from asfound.book import Book, Location, in_folder, on_postgresql


def unavailable(what: str) -> None:
    """Skip for a user who lacks something; fail where everything must be there."""
    if os.environ.get("CI", "").lower() == "true":
        pytest.fail(f"{what} (CI=true: nothing may be missing)")
    pytest.skip(what)


def _programs() -> Path | None:
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda path: int(path.parts[-3]))
    if found:
        return found[-1].parent
    named = shutil.which("initdb")
    return Path(named).parent if named else None


def _run(*command: str | Path) -> None:
    # PostgreSQL refuses to run as root; Debian's package makes a user for it.
    as_user = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
    done = subprocess.run(
        [*as_user, *command],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        timeout=60,
        check=False,
        cwd="/",
    )
    if done.returncode:
        raise RuntimeError(f"{command[0]} failed:\n{done.stdout}")


@pytest.fixture(scope="session")
def postgresql() -> Iterator[str]:
    """Start a PostgreSQL server for the session, reached by a socket in a folder of its own; give its URL."""
    programs = _programs()
    if programs is None:
        unavailable("PostgreSQL's initdb is not here: on Debian, apt install postgresql")
    assert programs is not None
    folder = Path(tempfile.mkdtemp(prefix="asfound-pg-"))
    data = folder / "data"
    try:
        if os.geteuid() == 0:
            shutil.chown(folder, "postgres")
        _run(programs / "initdb", "-A", "trust", "-U", "bench", "-E", "UTF8", "--no-locale", "--no-sync", "-D", data)
        options = f"-c listen_addresses='' -c unix_socket_directories='{folder}' -c fsync=off -c shared_buffers=16MB"
        _run(programs / "pg_ctl", "-w", "-s", "-D", data, "-l", folder / "log", "-o", options, "start")
        try:
            yield f"postgresql://bench@/postgres?host={folder}"
        finally:
            _run(programs / "pg_ctl", "-w", "-s", "-m", "immediate", "-D", data, "stop")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture
def empty_database(postgresql: str) -> str:
    """Give the URL of a database with nothing in it; emptying one is far quicker than making another."""
    with psycopg.connect(postgresql, autocommit=True) as connection:
        connection.execute("DROP SCHEMA public CASCADE")
        connection.execute("CREATE SCHEMA public")
    return postgresql


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def location(request: pytest.FixtureRequest, tmp_path: Path) -> Location:
    """Give a place for a book: a folder, then a PostgreSQL database."""
    if request.param == "sqlite":
        return in_folder(tmp_path / "book")
    url = request.getfixturevalue("empty_database")
    return on_postgresql(url, folder=tmp_path / "bench", attachments=tmp_path / "attachments")


@pytest.fixture
def open_book() -> Iterator[Callable[..., Book]]:
    """Give a function that opens books, each of which is closed at the end."""
    opened: list[Book] = []

    def open_(location: Location, **options: object) -> Book:
        opened.append(Book.open(location, **options))  # type: ignore[arg-type]
        return opened[-1]

    yield open_
    for book in opened:
        book.close()


@pytest.fixture
def book(location: Location, open_book: Callable[..., Book]) -> Book:
    """Give an empty book, on each store in turn."""
    return open_book(location)


@pytest.fixture(scope="session")
def practice_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give the folder of a book with the practice job, written once; copy it, do not write into it."""
    from asfound.bench.practice import write_practice_job  # only here: it needs every room

    folder = tmp_path_factory.mktemp("practice") / "book"
    with Book.open(in_folder(folder)) as book:
        write_practice_job(book)
    return folder


@pytest.fixture
def practice_place(practice_folder: Path, tmp_path: Path) -> Path:
    """Give a folder with a book that holds the practice job, to be written into."""
    return Path(shutil.copytree(practice_folder, tmp_path / "practice-book"))


@pytest.fixture
def practice_book(practice_place: Path, open_book: Callable[..., Book]) -> Book:
    """Give an open book that holds the practice job as job 1."""
    return open_book(in_folder(practice_place))
