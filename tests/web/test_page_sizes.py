"""No page weighs more than 300 kB beside its photographs: its markup with pictures, its styles, its scripts."""

import re
from typing import Any

import pytest
from benchmarks._page_list import OF_A_JOB, OF_THE_BOOK

MOST = 300_000


def named_in(text: str) -> set[str]:
    """Return the styles and scripts that a page names."""
    return set(re.findall(r'(?:href|src)="(/static/[^"]+)"', text))


def weight(bench: Any, path: str) -> int:
    """Return the bytes of a page with everything that it loads, photographs left out."""
    answer = bench.get(path)
    assert answer.status_code == 200, path
    total, wanted, seen = len(answer.content), named_in(answer.text), set()
    while wanted:
        one = wanted.pop()
        seen.add(one)
        content = bench.get(one)
        assert content.status_code == 200, one
        total += len(content.content)
        folder = one.rpartition("/")[0]
        imported = re.findall(r'from "\./([\w./]+)"', content.text) if one.endswith(".js") else []
        wanted |= {f"{folder}/{name}" for name in imported} - seen
    return total


def test_every_page_of_a_job_is_light(bench: Any, job_path: str) -> None:
    pages = (job_path + path for path in (*OF_A_JOB, "?whole=yes"))
    heavy = {path: size for path in pages if (size := weight(bench, path)) > MOST}
    assert heavy == {}


@pytest.mark.parametrize("path", [*OF_THE_BOOK, "/?q=strut"])
def test_a_page_of_the_book_is_light(bench: Any, path: str) -> None:
    assert weight(bench, path) <= MOST


def test_scripts_that_a_script_names_are_weighed_too(bench: Any, job_path: str) -> None:
    page = bench.get(f"{job_path}/bench").text
    without = len(page) + sum(len(bench.get(one).content) for one in named_in(page))
    assert weight(bench, f"{job_path}/bench") > without
