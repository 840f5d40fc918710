"""``asfound shutter why``: causes, JSON and refusals."""

import io
import json

import pytest

from asfound.cli.main import main

RATE = """1: 1.6, 1.62, 1.58
1/2: 0.81, 0.8, 0.79
1/5: 318, 322, 320 ms
1/10: 156, 158, 161 ms
1/25: 40, 41, 39 ms
1/50: 20, 20.4, 19.8 ms
1/100: 10, 10.2, 9.8 ms
1/250: 4, 4.1, 3.9 ms
"""


@pytest.fixture
def times(tmp_path):
    path = tmp_path / "times.txt"
    path.write_text(RATE, "utf-8")
    return path


def run(capsys, *arguments):
    status = 0
    try:
        main(["shutter", "why", *map(str, arguments)])
    except SystemExit as stop:
        status = stop.code
    out, err = capsys.readouterr()
    return status, out, err


def test_the_table_names_the_cause_first(capsys, times):
    status, out, _ = run(capsys, times, "--condition", "clean")
    assert status == 0
    assert out.startswith("pallet (")
    assert "common practice, no source" in out
    assert "Next test" in out


def test_json_has_weights_evidence_and_the_next_test(capsys, times):
    _, out, _ = run(capsys, times, "--json")
    data = json.loads(out)
    assert data["why"]["causes"][0]["cause"] == "pallet"
    assert sum(c["weight"] for c in data["why"]["causes"]) == pytest.approx(1)
    assert data["next_test"]["first"] == "pallet"
    assert {row["group"] for row in data["dial"]} == {"plain", "pallet out", "pallet in"}


def test_a_dirty_shutter_is_to_be_cleaned_first(capsys, times):
    _, out, _ = run(capsys, times, "--condition", "dirty")
    assert out.startswith("Clean it, and measure again")


def test_the_groups_are_a_property_of_the_camera(capsys, times):
    _, out, _ = run(capsys, times, "--pallet-from", "1/5", "--train-from", "1/25", "--json")
    assert [r["group"] for r in json.loads(out)["dial"]][3:6] == ["pallet out", "pallet out", "plain"]


def test_what_the_dial_command_prints_is_read_too(capsys, monkeypatch):
    rows = [{"marked": "1/25", "nominal_s": 0.04, "shots_s": [0.05, 0.051], "flags": ["never closes"]}]
    monkeypatch.setattr("sys.stdin", io.StringIO(json.dumps({"dial": {"rows": rows}})))
    _, out, _ = run(capsys, "-", "--json")
    assert json.loads(out)["dial"][0]["n"] == 3


@pytest.mark.parametrize(
    ("text", "arguments", "says"),
    [
        ("1/25: soon", (), "line 1"),
        ("{}", (), "no dial"),
        ("1/25: x 45 ms", (), "struck through"),
        (RATE, ("--pallet-from", "1/100"), "before the train"),
        (RATE, ("--train-from", "slow"), "--train-from"),
    ],
)
def test_a_refusal_is_one_line_and_status_two(capsys, tmp_path, text, arguments, says):
    path = tmp_path / "times.txt"
    path.write_text(text, "utf-8")
    status, out, err = run(capsys, path, *arguments)
    assert (status, out) == (2, "")
    assert says in err
    assert len(err.splitlines()) == 1
    assert run(capsys, tmp_path / "none")[0] == 2
