"""The quick line on the command line, and its page of documentation run as it stands."""

import functools
import json
import re
from pathlib import Path

import pytest

PAGE = Path(__file__).parents[2] / "docs" / "line.md"


@pytest.fixture
def run(run_command):
    return functools.partial(run_command, "line")


def test_a_line_is_explained(run):
    status, out, err = run("--explain", "off front ring 3 screws tray a3")
    assert (status, err) == (0, "")
    assert "front ring off, 3 × screw, lies in tray A3" in out


def test_lines_remember_the_ones_before(run):
    _, out, _ = run("--explain", "height tl .35d", "36")
    assert out.count("height at top left") == 2


def test_a_problem_is_one_line_with_its_place_and_status_two(run):
    status, out, err = run("--explain", "off front ring 3 screws zz")
    assert status == 2
    assert err.count("\n") == 1
    assert err.startswith("asfound: column 25: 'zz'")
    assert " " * 26 + "^^" in out


def test_json_holds_entries_problems_and_their_places(run):
    status, out, _ = run("--explain", "--json", "f/8", "height tl 12 gf")
    good, bad = json.loads(out)["lines"]
    assert status == 2
    assert good["entries"][0]["state"]["aperture"] == 8
    assert (good["problems"], bad["as_note"]) == ([], True)
    assert bad["problems"][0]["span"] == [10, 15]


def test_a_line_is_not_written_by_this_command(run):
    status, _, err = run("f/8")
    assert status == 2
    assert "--explain" in err


def test_bytes_that_are_no_text_are_no_traceback(run):
    status, out, _ = run("--explain", "note caf\udce9")
    assert status == 0
    assert "note: caf" in out


def sessions():
    return re.findall(r"```text\n(.*?)```", PAGE.read_text(encoding="utf-8"), flags=re.DOTALL)


@pytest.mark.parametrize("session", sessions())
def test_every_example_of_the_page_says_what_the_page_says(run, session):
    typed = [row[2:] for row in session.splitlines() if row.startswith("> ")]
    _, out, err = run("--explain", "--", *typed)
    assert out + err == session


@pytest.mark.parametrize("change", [str.upper, lambda row: "  " + row.replace(" ", "   ")], ids=["capitals", "spaces"])
@pytest.mark.parametrize("session", sessions()[:-1])
def test_capitals_and_spaces_change_nothing_that_is_understood(run, session, change):
    typed = [row[2:] for row in session.splitlines() if row.startswith("> ")]
    _, out, err = run("--explain", "--json", "--", *map(change, typed))
    as_typed = json.loads(run("--explain", "--json", "--", *typed)[1])["lines"]
    changed = json.loads(out)["lines"]
    assert err == ""
    for before, after in zip(as_typed, changed, strict=True):
        assert " ".join(after["echo"].casefold().split()) == before["echo"].casefold()


def test_the_page_has_examples_and_names_every_beginning_word():
    assert len(sessions()) >= 5
    page = PAGE.read_text(encoding="utf-8")
    words = "off slack back spacer mark reading fault expect held adjust ordered arrived instrument proof handed "
    for word in (words + "tick untick strike restore undo dial door soaking").split():
        assert re.search(rf"\b{word}\b", page), word
