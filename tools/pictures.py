"""Shoot every page of the practice job at desk and telephone size; keep the README's in docs/."""

import contextlib
import shutil
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright

from asfound.bench.practice import write_practice_job
from asfound.book import Book, in_folder

DOCS = Path(__file__).parents[1] / "docs"
SIZES = {"desk": (1400, 900), "phone": (390, 844)}
PAGES = {
    "jobs": "/",
    "job": "/job/{job}",
    "wayback": "/job/{job}/wayback",
    "shutter": "/job/{job}/shutter",
    "springs": "/job/{job}/springs",
    "focus": "/job/{job}/focus",
    "shape": "/job/{job}/shape",
    "findings": "/job/{job}/findings",
    "handover": "/job/{job}/handover",
}
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@contextlib.contextmanager
def served(folder: Path) -> Iterator[str]:
    """Serve a book and give its address."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "asfound.cli", "bench", "--book", str(folder), "--port", str(port)]
    server = subprocess.Popen(command, stdout=subprocess.DEVNULL)
    address = f"http://127.0.0.1:{port}"
    try:
        for _ in range(200):
            with contextlib.suppress(OSError):
                urllib.request.urlopen(address).close()
                break
            time.sleep(0.1)
        yield address
    finally:
        server.terminate()
        server.wait()


def shoot(browser: Browser, address: str, job: str, target: Path) -> None:
    """Shoot every page at every size into `target`."""
    for size, (width, height) in SIZES.items():
        page = browser.new_context(viewport={"width": width, "height": height}).new_page()
        for name, path in PAGES.items():
            page.goto(address + path.format(job=job))
            page.wait_for_load_state("networkidle")
            page.screenshot(path=target / f"{name}-{size}.png")


def main(target: Path) -> None:
    """Write the practice job into a new book, shoot its pages, keep the job's page for the README."""
    target.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        with Book.open(in_folder(Path(folder))) as book:
            job = str(write_practice_job(book).id)
        with served(Path(folder)) as address, sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=FLAGS)
            shoot(browser, address, job, target)
            browser.close()
    shutil.copy(target / "job-desk.png", DOCS / "bench-page.png")
    print(f"pictures in {target}")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path("build/pictures"))
