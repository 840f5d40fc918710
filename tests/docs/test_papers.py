"""The papers keep up with the program: links lead somewhere, no module of a pure room goes untold."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
PAPERS = sorted([*DOCS.rglob("*.md"), ROOT / "README.md", ROOT / "CONTRIBUTING.md", ROOT / "CHANGELOG.md"])
PURE = ["quantity", "shutter", "focus", "springs", "shape", "teardown", "job"]
LINK = re.compile(r"\]\((?!https?:)([^)#\s]*)(?:#([^)\s]+))?\)")


def prose(paper):
    """Return a paper without what stands in fences."""
    return re.sub(r"^```.*?^```", "", paper.read_text("utf-8"), flags=re.DOTALL | re.MULTILINE)


def anchors(paper):
    """Return the anchors of a paper's headings, as they are commonly made of them."""
    heads = re.findall(r"^#+ (.+)$", prose(paper), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", head.lower()).replace(" ", "-") for head in heads}


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: str(paper.relative_to(ROOT)))
def test_every_link_leads_somewhere(paper):
    for target, anchor in LINK.findall(prose(paper)):
        file = (paper.parent / target).resolve() if target else paper
        assert file.exists(), f"{paper.name}: {target} is not there"
        if anchor and file.suffix == ".md":
            assert anchor in anchors(file), f"{paper.name}: {target}#{anchor} is no heading"


def test_the_index_leads_to_every_paper_and_schema():
    told = {(DOCS / target).resolve() for target, _ in LINK.findall(prose(DOCS / "README.md"))}
    kept = {path for path in DOCS.rglob("*") if path.suffix in (".md", ".json") and path != DOCS / "README.md"}
    assert kept - told == set()


@pytest.mark.parametrize("room", PURE)
def test_a_rooms_paper_names_each_of_its_modules_and_none_that_is_gone(room):
    there = {
        str(path.relative_to(ROOT / "src/asfound" / room).with_suffix(""))
        for path in (ROOT / "src" / "asfound" / room).rglob("*.py")
        if path.name != "__init__.py"
    }
    named = set(re.findall(r"`([a-z_/]+)\.py`", (DOCS / "methods" / f"{room}.md").read_text("utf-8")))
    told = {name for name in named if not name.startswith(("tests/", "benchmarks/"))}
    assert there - told == set(), f"docs/methods/{room}.md does not tell of these"
    assert {name for name in told - there if not (ROOT / "src" / "asfound" / f"{name}.py").exists()} == set()


@pytest.mark.parametrize("room", PURE)
def test_a_rooms_paper_names_only_tests_and_benchmarks_that_are_there(room):
    text = (DOCS / "methods" / f"{room}.md").read_text("utf-8")
    named = re.findall(r"`((?:tests|benchmarks)/[\w/.]+)`", text)
    assert named
    assert [name for name in named if not (ROOT / name).exists()] == []


@pytest.mark.parametrize("room", PURE)
def test_a_rooms_paper_says_what_holds_its_computations_and_where_they_end(room):
    text = (DOCS / "methods" / f"{room}.md").read_text("utf-8")
    assert re.search(r"^## Limits", text, re.MULTILINE)
    assert re.search(r"^## Held to", text, re.MULTILINE)
