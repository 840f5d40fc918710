"""Shoot every page of the practice job at desk and telephone size, light and dark; keep a few in docs/."""

import shutil
import sys
import tempfile
from pathlib import Path
from typing import Literal

from benchmarks._chromium import FLAGS
from benchmarks._page_list import OF_A_JOB, OF_THE_BOOK
from benchmarks._serving import served
from PIL import Image
from playwright.sync_api import Browser, ViewportSize, sync_playwright

from asfound.bench.practice import write_practice_job
from asfound.book import Book, in_folder

DOCS = Path(__file__).parents[1] / "docs"
SIZES = {"desk": (1400, 900), "phone": (390, 844)}
SCHEMES: tuple[Literal["light", "dark"], ...] = ("light", "dark")
# Kept for the documents: the picture's name there, and that of the page at its size and scheme.
KEPT = {
    "bench-page.png": "job-desk-light.png",
    "arms-length.png": "job-bench-desk-dark.png",
    "telephone.png": "job-wayback-phone-light.png",
}


def pages_of(job: str) -> dict[str, str]:
    """Return every page by a name: those of the book, what a search finds, and those of a job."""
    found = {"jobs": "/", "found": "/?q=pallet"} | {path.strip("/"): path for path in OF_THE_BOOK if path != "/"}
    return found | {f"job{path.replace('/', '-')}": f"/job/{job}{path}" for path in OF_A_JOB}


def shoot(browser: Browser, address: str, job: str, target: Path) -> int:
    """Shoot every page at every size, by day and by night, into `target`; return how many pages there are."""
    pages = pages_of(job)
    for size, (width, height) in SIZES.items():
        for scheme in SCHEMES:
            viewport: ViewportSize = {"width": width, "height": height}
            page = browser.new_context(viewport=viewport, color_scheme=scheme).new_page()
            for name, path in pages.items():
                page.goto(address + path)
                page.wait_for_load_state("networkidle")
                page.screenshot(path=target / f"{name}-{size}-{scheme}.png")
    return len(pages)


def main(target: Path) -> None:
    """Write the practice job into a new book, shoot every page, keep a few for the documents."""
    target.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        with Book.open(in_folder(Path(folder))) as book:
            job = str(write_practice_job(book).id)
        with served(Path(folder)) as address, sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=[*FLAGS])
            count = shoot(browser, address, job, target)
            browser.close()
    for name, shot in KEPT.items():
        with Image.open(target / shot) as image:
            image.convert("P", palette=Image.Palette.ADAPTIVE, colors=64).save(DOCS / name, optimize=True)
    print(f"{count} pages at {len(SIZES)} sizes, light and dark, in {target}")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path("build/pictures"))
