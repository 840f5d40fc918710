"""Jobs from the command line."""

import json

import pytest


@pytest.fixture
def run(run_command, tmp_path, monkeypatch):
    monkeypatch.setenv("ASFOUND_BOOK", str(tmp_path / "book"))
    return run_command


def test_an_empty_book_says_what_to_do(run):
    status, out, _ = run("jobs")
    assert status == 0
    assert "asfound practice" in out


def test_a_job_is_opened_written_to_and_shown(run):
    assert run("open", "Practice Six", "--marked", "1,1/2", "--complaint", "hangs")[0] == 0
    status, out, _ = run("write", "1", "off", "name plate, 3 screws M1.4x2, in tray A1")
    assert (status, "name plate off" in out) == (0, True)
    data = json.loads(run("show", "1", "--json")[1])
    assert data["parts"] == [{"name": "name plate", "whereabouts": "off", "lies": "A1"}]
    assert [entry["kind"] for entry in data["entries"]] == ["opened", "step"]
    assert "name plate" in run("show", "1")[1]


def test_undo_strikes_the_latest(run):
    run("open", "Practice Six")
    run("write", "1", "off cover")
    assert run("undo", "1")[0] == 0
    entries = json.loads(run("show", "1", "--json")[1])["entries"]
    assert [entry["struck"] for entry in entries] == [False, True, False]
    assert run("undo", "1")[0] == 2


def test_the_list_tells_what_each_job_waits_for(run):
    run("open", "Practice Six")
    run("write", "1", "ordered felt from the felt maker")
    (line,) = json.loads(run("jobs", "--json")[1])["jobs"]
    assert "felt" in line["waits_for"]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("show", "7"), "no job"),
        (("wayback", "7"), "no job"),
        (("report", "7", "-o", "x.pdf"), "no job"),
        (("open", "Six", "--focal-length", "-3"), "focal length mm"),
        (("open", ""), "model"),
        (("write", "1", "off"), "1"),
        (("wayback",), "JOB"),
    ],
)
def test_bad_input_is_one_line_and_exit_status_two(run, arguments, said):
    status, out, err = run(*arguments)
    assert status == 2
    assert out == ""
    assert said in err
    assert len(err.splitlines()) == 1
    assert err.startswith("asfound: ")
