"""``asfound shutter why``: causes, JSON and refusals."""

import io
import json
from functools import partial

import pytest


@pytest.fixture
def run(run_command):
    return partial(run_command, "shutter", "why")


def test_the_table_names_the_cause_first(run, times):
    status, out, _ = run(times, "--condition", "clean")
    assert status == 0
    assert out.startswith("pallet (")
    assert "common practice, no source" in out
    assert "Next test" in out


def test_json_has_weights_evidence_and_the_next_test(run, times):
    _, out, _ = run(times, "--json")
    data = json.loads(out)
    assert data["why"]["causes"][0]["cause"] == "pallet"
    assert sum(c["weight"] for c in data["why"]["causes"]) == pytest.approx(1)
    assert data["next_test"]["first"] == "pallet"
    assert {row["group"] for row in data["dial"]} == {"plain", "pallet out", "pallet in"}


def test_a_dirty_shutter_is_to_be_cleaned_first(run, times):
    _, out, _ = run(times, "--condition", "dirty")
    assert out.startswith("Clean it, and measure again")


def test_the_groups_are_a_property_of_the_camera(run, times):
    _, out, _ = run(times, "--pallet-from", "1/5", "--train-from", "1/25", "--json")
    assert [r["group"] for r in json.loads(out)["dial"]][3:6] == ["pallet out", "pallet out", "plain"]


def test_what_the_dial_command_prints_is_read_too(run, monkeypatch):
    rows = [{"marked": "1/25", "nominal_s": 0.04, "shots_s": [0.05, 0.051], "flags": ["never closes"]}]
    monkeypatch.setattr("sys.stdin", io.StringIO(json.dumps({"dial": {"rows": rows}})))
    _, out, _ = run("-", "--json")
    assert json.loads(out)["dial"][0]["n"] == 3


@pytest.mark.parametrize(
    ("text", "arguments", "says"),
    [
        ("1/25: soon", (), "line 1"),
        ("{}", (), "no dial"),
        ("1/25: x 45 ms", (), "struck through"),
        (None, ("--pallet-from", "1/100"), "before the train"),
        (None, ("--train-from", "slow"), "--train-from"),
    ],
)
def test_a_refusal_is_one_line_and_status_two(run, times, tmp_path, text, arguments, says):
    if text is not None:
        times.write_text(text, "utf-8")
    status, out, err = run(times, *arguments)
    assert (status, out) == (2, "")
    assert says in err
    assert len(err.splitlines()) == 1
    assert run(tmp_path / "none")[0] == 2
