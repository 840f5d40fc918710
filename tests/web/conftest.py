"""The pages with a book behind them: through a test client, and in Debian's Chromium."""

import contextlib
import io
import os
import re
import shutil
import socket
import threading
import time
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
import uvicorn
from benchmarks._chromium import FLAGS
from fastapi import FastAPI
from PIL import Image
from playwright.sync_api import Browser, Page, expect, sync_playwright

from asfound.bench.pool import Pool
from asfound.book import Book, in_folder
from asfound.shutter import SoundInput, exposure_lasting, simulate
from asfound.web.app import create_app
from asfound.web.desk import Desk
from asfound.web.settings import Settings

with warnings.catch_warnings():
    # The test client would rather have a newer HTTP library; the one that is pinned serves it well.
    warnings.simplefilter("ignore", DeprecationWarning)
    warnings.filterwarnings("ignore", message="Using `httpx`")
    from fastapi.testclient import TestClient

HOST = "127.0.0.1"
Watched = Callable[..., contextlib.AbstractContextManager[Page]]
# A machine that is busy may take its time: a test fails for what is wrong, not for what is slow.
expect.set_options(timeout=30_000)


@pytest.fixture(scope="session")
def pool() -> Iterator[Pool]:
    """Give one pool to all tests: its workers take seconds to start."""
    pool = Pool(1)
    yield pool
    pool.close()


@pytest.fixture
def settings() -> Settings:
    return Settings(secret=b"only for the tests" * 2)


@pytest.fixture
def empty_book(tmp_path: Path, open_book: Callable[..., Book]) -> Book:
    return open_book(in_folder(tmp_path / "empty"))


@pytest.fixture
def app_of(pool: Pool, settings: Settings) -> Callable[[Book], FastAPI]:
    """Give a function that puts the pages over a book."""
    return lambda book: create_app(Desk(book=book, pool=pool, settings=settings))


class Bench:
    """A test client that sends forms as a page of this server would."""

    def __init__(self, app: FastAPI) -> None:
        self.client = self.anew(app)
        self.token = self.client.get("/api/token").json()["token"]

    @staticmethod
    def anew(app: FastAPI) -> TestClient:
        """Return a client without a session."""
        return TestClient(app, base_url=f"http://{HOST}:8642", client=(HOST, 50_000), follow_redirects=False)

    def get(self, path: str) -> Any:
        return self.client.get(path)

    def post(self, path: str, files: dict[str, Any] | None = None, **fields: str) -> Any:
        return self.client.post(path, data={"token": self.token, **fields}, files=files)

    def send(self, path: str, json: dict[str, Any] | None = None, **more: Any) -> Any:
        return self.client.post(path, json=json, headers={"X-Asfound-Token": self.token}, **more)

    def follow(self, answer: Any) -> Any:
        assert answer.status_code == 303, answer.text
        return self.get(answer.headers["location"])


@pytest.fixture
def empty_bench(app_of: Callable[[Book], FastAPI], empty_book: Book) -> Bench:
    """Give the pages over an empty book."""
    return Bench(app_of(empty_book))


@pytest.fixture
def bench(app_of: Callable[[Book], FastAPI], practice_book: Book) -> Bench:
    """Give the pages over the practice job."""
    return Bench(app_of(practice_book))


@pytest.fixture
def bench_over(app_of: Callable[[Book], FastAPI]) -> Callable[[Book], Bench]:
    """Give a function that puts the pages over a book, with a test client before them."""
    return lambda book: Bench(app_of(book))


@pytest.fixture
def job_path(practice_book: Book) -> str:
    return f"/job/{practice_book.jobs()[0].id}"


@pytest.fixture(scope="session")
def photograph() -> bytes:
    kept = io.BytesIO()
    Image.new("RGB", (64, 48), "white").save(kept, "JPEG")
    return kept.getvalue()


@pytest.fixture(scope="session")
def wav_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give a recording with a known truth: one shot each at 1/25, 1/50 and 1/100 s, a little slow."""
    times = [1 / 25 * 1.1, 1 / 50 * 1.1, 1 / 100 * 1.1]
    line = SoundInput(sample_rate_hz=48_000, level=0.5, noise_rms=0.002)
    samples, _ = simulate([exposure_lasting(t) for t in times], line, seed=7)
    path = tmp_path_factory.mktemp("recordings") / "three shots.wav"
    soundfile.write(path, np.asarray(samples), 48_000, subtype="PCM_16")
    return path


def missing(what: str) -> None:
    """Skip for a user who lacks something; fail where everything must be there."""
    if os.environ.get("CI", "").lower() == "true":
        pytest.fail(f"{what} (CI=true: nothing may be missing)")
    pytest.skip(what)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Start Chromium once."""
    program = shutil.which("chromium")
    if program is None:
        missing("Chromium is not here: on Debian, apt install chromium")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=[*FLAGS])
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def watched() -> Watched:
    """Give a function that opens an empty page in a browser for a while, and complains of its errors at the end."""

    @contextlib.contextmanager
    def opened(browser: Browser, **how: Any) -> Iterator[Page]:
        context = browser.new_context(**how)
        page = context.new_page()
        page.set_default_timeout(30_000)
        wrong: list[str] = []
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.on("console", lambda said: wrong.append(said.text) if "Content Security Policy" in said.text else None)
        yield page
        context.close()
        assert not wrong

    return opened


@pytest.fixture(params=[(1400, 900), (390, 844)], ids=["desk", "telephone"])
def page(browser: Browser, watched: Watched, request: pytest.FixtureRequest) -> Iterator[Page]:
    """Give an empty page at the size of a desk's screen, then of a telephone; it complains of its errors."""
    wide, high = request.param
    with watched(browser, viewport={"width": wide, "height": high}, accept_downloads=True) as page:
        yield page


@pytest.fixture
def plain_page(browser: Browser) -> Iterator[Page]:
    """Give a page that runs no scripts."""
    context = browser.new_context(viewport={"width": 1400, "height": 900}, java_script_enabled=False)
    yield context.new_page()
    context.close()


@pytest.fixture
def serve(app_of: Callable[[Book], FastAPI]) -> Iterator[Callable[[Book], str]]:
    """Give a function that serves a book on a free port and returns its address."""
    running: list[tuple[uvicorn.Server, threading.Thread]] = []

    def start(book: Book) -> str:
        listener = socket.create_server((HOST, 0))
        server = uvicorn.Server(uvicorn.Config(app_of(book), log_level="warning"))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
        thread.start()
        running.append((server, thread))
        until = time.monotonic() + 20
        while not server.started and time.monotonic() < until:
            time.sleep(0.02)
        assert server.started
        return f"http://{HOST}:{listener.getsockname()[1]}"

    yield start
    for server, thread in running:
        server.should_exit = True
        thread.join(10)


@pytest.fixture
def practice_address(serve: Callable[[Book], str], practice_book: Book) -> str:
    """Serve the practice job."""
    return serve(practice_book)


@pytest.fixture
def words() -> Callable[[str], str]:
    """Give a function that returns a page's text, without its marks and doubled spaces."""
    return lambda html: re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html))
