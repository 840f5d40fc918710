"""``asfound shutter trim``: the next move, JSON and refusals."""

import json
from functools import partial

import pytest


@pytest.fixture
def run(run_command):
    return partial(run_command, "shutter", "trim")


def test_the_move_comes_with_its_pilot_and_band(run, times):
    status, out, _ = run(times)
    assert status == 0
    assert out.startswith("First a small move of the pallet")
    assert "until" in out.splitlines()[0]
    assert "Let the main spring down" in out


def test_json_has_the_same_names(run, times):
    _, out, _ = run(times, "--json")
    move = json.loads(out)["next_move"]
    assert move["verdict"] == "move"
    (aim,) = move["aims"]
    assert aim["low_s"] < aim["aim_s"] < aim["high_s"] < aim["now_s"]
    assert move["dial"][0]["marked"] == "1"


def test_moves_made_are_learned_from(run, times):
    text = (
        times.read_text()
        + "move pallet shallower by 0.1\n"
        + times.read_text()
        .replace("1: 1.6, 1.62, 1.58", "1: 1.3, 1.32, 1.31")
        .replace("0.81, 0.8, 0.79", "0.66, 0.65, 0.65")
        .replace("318, 322, 320", "262, 263, 258")
        .replace("156, 158, 161", "130, 131, 129")
    )
    times.write_text(text, "utf-8")
    _, out, _ = run(times, "--json")
    data = json.loads(out)
    assert data["moves"] == 1
    (aim,) = data["next_move"]["aims"]
    assert aim["direction"] == "shallower"
    assert aim["amount"] == pytest.approx(0.13, abs=0.04)
    assert not aim["trial"]


def test_a_dial_within_a_wide_tolerance_is_left_alone(run, times):
    _, out, _ = run(times, "--tolerance-stops", "1", "--tolerance-source", "agreed with the owner")
    assert "leave it" in out
    assert "agreed with the owner" in out


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--adjusters", "cog"), "'cog' is no adjuster"),
        (("--tolerance-stops", "0"), "not a tolerance"),
        (("--top-tolerance-stops", "wide"), "--top-tolerance-stops"),
    ],
)
def test_a_refusal_is_one_line_and_status_two(run, times, arguments, says):
    status, out, err = run(times, *arguments)
    assert (status, out) == (2, "")
    assert says in err
    assert len(err.splitlines()) == 1
