"""The proof list and the instruments from the command line."""

import json

import pytest

from asfound.cli.main import main


@pytest.fixture
def asked(capsys, tmp_path, monkeypatch):
    monkeypatch.setenv("ASFOUND_BOOK", str(tmp_path / "book"))

    def run(*arguments):
        main(list(arguments))
        return capsys.readouterr().out

    run("open", "Practice Six")
    return run


def test_the_list_is_shown_and_answered(asked):
    assert asked("proofs", "1").startswith("0 of 21 settled")
    asked("proofs", "1", "self-timer", "not applicable", "--because", "none on it")
    shown = json.loads(asked("proofs", "1", "--json"))
    timer = next(line for line in shown["proofs"] if line["name"] == "self-timer")
    assert (shown["settled"], timer["standing"], timer["as_left"]["text"]) == (1, "not applicable", "none on it")


def test_a_proof_names_its_instrument_and_is_stale_once_that_read_wrongly(asked):
    asked("proofs", "1", "infinity", "within", "--with", "ground glass")
    assert "ground glass (used once)" in asked("instruments", "list")
    asked("instruments", "wrong", "ground glass", "--since", "2020-01-01")
    assert "Stale, since ground glass read wrongly: infinity" in asked("proofs", "1")
    shown = {line["name"]: line for line in json.loads(asked("proofs", "1", "--json"))["proofs"]}
    left = shown["infinity"]["as_left"]
    assert (left["instrument"], left["read_wrongly"], left["stale"]) == ("ground glass", "ground glass", True)


def test_only_what_is_open_can_be_asked_for(asked):
    asked("proofs", "1", "infinity", "within")
    open_lines = json.loads(asked("proofs", "1", "--open", "--json"))["proofs"]
    assert "infinity" not in {line["name"] for line in open_lines}
    assert len(open_lines) == 20


def test_a_name_without_an_answer_is_refused_in_one_line(asked, capsys):
    with pytest.raises(SystemExit) as left:
        asked("proofs", "1", "infinity")
    assert left.value.code == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_an_instrument_is_checked_and_found_wrong(asked):
    asked("write", "1", "height tl 0.35 mm with depth gauge")
    assert "Never checked: depth gauge (used once)" in asked("instruments", "list")
    asked("instruments", "check", "depth gauge", "--uncertainty", "0.01", "--unit", "mm", "--against", "gauge block")
    assert "gauge block" in asked("instruments", "list")
    looked = json.loads(asked("instruments", "wrong", "depth gauge", "--since", "2020-01-01", "--look", "--json"))
    assert (looked["written"], looked["jobs"][0]["readings"]) == (False, ["height top left, as found"])
    assert "Gone stale" in asked("instruments", "wrong", "depth gauge", "--since", "2020-01-01")
    assert "2020-01-01" in asked("instruments", "list")


@pytest.mark.parametrize("day", ["soon", "2026-13-01", ""])
def test_a_day_that_is_none_is_refused(asked, day):
    with pytest.raises(SystemExit) as left:
        asked("instruments", "wrong", "depth gauge", "--since", day)
    assert left.value.code == 2
