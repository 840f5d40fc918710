"""The pages with 1,000 jobs in the book: what the server takes, how large each page is, when Chromium first paints.

The bounds: first paint under 200 ms, a search under 50 ms, a page at most 300 kB beside its photographs. Each job of
the book is the practice job or a part of it, so that the list, the search and the pages have something to do.
"""

import gzip
import re
import shutil
import statistics
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Sequence
from pathlib import Path

from benchmarks._chromium import FLAGS
from benchmarks._page_list import FIRST_OF_A_ROOM
from benchmarks._serving import served
from benchmarks._table import Figure
from playwright.sync_api import sync_playwright

from asfound.bench.practice import write_practice_job
from asfound.book import Book, in_folder
from asfound.job.bodies import Camera, Fault, Opened, PartCondition, PartOrdered

JOBS = 1000
SAID = 24  # entries of each of the other jobs
PATHS = (
    *("/", "/drawer", "/search?q=s", "/search?q=retard+train"),
    *("/job/{job}" + first for first in FIRST_OF_A_ROOM),
)
PAINTED = """() => new Promise((told) => new PerformanceObserver((list) => {
  for (const paint of list.getEntries()) if (paint.name === "first-contentful-paint") told(paint.startTime);
}).observe({ type: "paint", buffered: true }))"""


def fill(book: Book, jobs: int) -> str:
    """Write the practice job and so many others, and return the id of the first."""
    job = write_practice_job(book)
    bodies = [entry.body for entry in job.live if not isinstance(entry.body, Opened | PartOrdered)]
    for n in range(jobs - 1):
        mine = bodies[n % 40 : n % 40 + SAID]
        waits = [PartCondition(part=f"train {n}", condition="soaking", using="benzine", minutes=1 + n % 300)]
        said = Fault(fault=f"fault number {n}", text="seen on the bench")
        camera = Camera(maker="Invented", model=f"Folding {n}")
        book.open_job(camera, complaint="It drags", more=[said, *mine, *(waits if n % 7 == 0 else [])])
    return str(job.id)


def fetched(address: str) -> tuple[float, bytes]:
    """Return how long a page took to come, and the page."""
    begun = time.perf_counter()
    with urllib.request.urlopen(address) as answer:
        content = answer.read()
    return time.perf_counter() - begun, content


def beside(address: str, content: bytes) -> int:
    """Return the bytes of the styles and scripts that a page names, and of those that these name."""
    wanted = set(re.findall(r'(?:href|src)="(/static/[^"]+)"', content.decode()))
    seen: dict[str, int] = {}
    while wanted:
        path = wanted.pop()
        text = fetched(address + path)[1]
        seen[path] = len(text)
        folder = path.rpartition("/")[0]
        named = re.findall(r'from "\./([\w./]+\.js)"', text.decode(errors="replace"))
        wanted |= {f"{folder}/{name}" for name in named} - seen.keys()
    return sum(seen.values())


def main(brief: bool = False) -> Sequence[Figure]:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as place:
        begun = time.perf_counter()
        with Book.open(in_folder(Path(place))) as book:
            job = fill(book, JOBS)
        print(f"{JOBS} jobs written in {time.perf_counter() - begun:.0f} s")
        with served(Path(place)) as address:
            _, first = fetched(address)
            print(f"first page after the start: {len(first) / 1000:.0f} kB")
            return _pages(address, job)


def _pages(address: str, job: str) -> tuple[Figure, ...]:
    answers, paintings, sizes, searches = [0.0], [0.0], [0.0], [0.0]
    print(f"{'page':28} {'first':>8} {'again':>8} {'size':>8} {'with styles':>12} {'packed':>8} {'first paint':>12}")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=[*FLAGS])
        page = browser.new_page(viewport={"width": 1280, "height": 900})
        for path in PATHS:
            whole = address + path.format(job=job)
            try:
                first, content = fetched(whole)
            except urllib.error.HTTPError as error:
                print(f"{path:28} {error.code}")
                continue
            again = statistics.median(fetched(whole)[0] for _ in range(5))
            page.goto(whole)
            paints = []
            for _ in range(3):
                page.goto("about:blank")
                page.goto(whole)
                paints.append(float(page.evaluate(PAINTED)))
            size, packed_kb = len(content) / 1000, len(gzip.compress(content)) / 1000
            whole_kb = size + beside(address, content) / 1000
            (searches if path.startswith("/search") else answers).append(again * 1e3)
            paintings.append(statistics.median(paints))
            sizes.append(whole_kb)
            print(
                f"{path.format(job='…'):28} {first * 1000:5.0f} ms {again * 1000:5.0f} ms {size:5.0f} kB "
                f"{whole_kb:9.0f} kB {packed_kb:5.0f} kB {statistics.median(paints):9.0f} ms",
                flush=True,
            )
        browser.close()
    pages = f"the slowest of {len(PATHS)} pages, {JOBS:,} jobs"
    return (
        Figure(f"a page made by the server, {pages}", f"{max(answers):.0f} ms"),
        Figure(f"first paint in Chromium, {pages}", f"{max(paintings):.0f} ms", "<= 200 ms", max(paintings) <= 200),
        Figure(f"a search, {JOBS:,} jobs", f"{max(searches):.0f} ms", "<= 50 ms", max(searches) <= 50),
        Figure("largest page with its styles and scripts, photographs apart", f"{max(sizes):.0f} kB", "<= 300 kB",
               max(sizes) <= 300),
    )  # fmt: skip


if __name__ == "__main__":
    main()
