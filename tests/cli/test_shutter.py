"""The shutter commands: their JSON, their table, and their refusals."""

import json
import os

import numpy as np
import pytest
import soundfile

from asfound.cli.main import main
from asfound.shutter import SoundInput, exposure_lasting, simulate
from asfound.shutter.simulated.sound import simulate_clicks

FIELDS = {
    "start_s",
    "total_open_s",
    "half_level_s",
    "effective_s",
    "opening_s",
    "closing_s",
    "efficiency",
    "u_random_s",
    "u_effective_s",
    "flags",
}


@pytest.fixture(scope="module")
def recording(tmp_path_factory):
    shots = [exposure_lasting(t) for t in (0.5, 0.51, 0.52, 1 / 50, 1 / 49, 1 / 51)]
    samples, _ = simulate(shots, SoundInput(noise_rms=0.005), gap_s=0.5)
    path = tmp_path_factory.mktemp("shutter") / "dial.wav"
    soundfile.write(path, samples, 48_000)
    return path


def run(capsys, *arguments):
    status = 0
    try:
        main([str(argument) for argument in arguments])
    except SystemExit as stop:
        status = stop.code
    out, err = capsys.readouterr()
    return status, out, err


def test_read_gives_json_by_its_names(capsys, recording):
    status, out, _ = run(capsys, "shutter", "read", recording, "--json")
    data = json.loads(out)
    assert status == 0
    assert {"path", "kind", "sample_rate_hz", "duration_s"} <= set(data["recording"])
    assert len(data["firings"]) == 6
    assert set(data["firings"][0]) >= FIELDS


def test_read_gives_a_table(capsys, recording):
    _, out, _ = run(capsys, "shutter", "read", recording)
    assert "6 firings" in out
    assert "effective ms" in out


def test_dial_judges_each_speed(capsys, recording):
    status, out, _ = run(capsys, "shutter", "dial", recording, "--marked", "1/2,1/50", "--shots", 3, "--json")
    rows = json.loads(out)["dial"]["rows"]
    assert status == 0
    assert [row["marked"] for row in rows] == ["1/2", "1/50"]
    assert [row["n"] for row in rows] == [3, 3]
    assert rows[0]["error_stops"] == pytest.approx(0.0286, abs=0.001)
    assert [row["verdict"] for row in rows] == ["within", "within"]


def test_dial_says_what_it_compares_with(capsys, recording):
    _, out, _ = run(capsys, "shutter", "dial", recording, "--marked", "1/2,1/60")
    assert "powers of two" in out
    assert "face value" in out
    assert "no source" in out


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--marked", "1,1/2,1/50"), "6 firings found, 9 expected"),
        (("--marked", "1,quick"), "'quick' is not a marked speed"),
        (("--marked", "1/2,1/50", "--tolerance-stops", "wide"), "does not begin with a number"),
        (("--marked", "1/2,1/50", "--leave-out", "9"), "not the number of a firing"),
    ],
)
def test_a_refusal_is_one_line_and_status_two(capsys, recording, arguments, says):
    status, out, err = run(capsys, "shutter", "dial", recording, *arguments)
    assert status == 2
    assert out == ""
    assert says in err
    assert err.startswith("asfound: ")
    assert len(err.splitlines()) == 1


def test_a_bad_file_is_one_line_and_status_two(capsys, tmp_path):
    (tmp_path / "notes.wav").write_text("shutter sticks at 1/5" + os.linesep)
    status, _, err = run(capsys, "shutter", "read", tmp_path / "notes.wav", "--json")
    assert status == 2
    assert len(err.splitlines()) == 1


def test_stopped_down_lengthens_the_time(capsys, recording):
    arguments = ("--wide-open", 3.5, "--apertures", "3.5,8,16", "--firing", 4, "--whole-pupil", "--marked", "1/50")
    status, out, _ = run(capsys, "shutter", "stopped-down", recording, *arguments, "--json")
    rows = json.loads(out)["apertures"]
    assert status == 0
    assert rows[0]["longer_stops"] == pytest.approx(0, abs=1e-6)
    assert rows[0]["effective_s"] < rows[1]["effective_s"] < rows[2]["effective_s"]
    _, out, _ = run(capsys, "shutter", "stopped-down", recording, *arguments)
    assert "f/16" in out


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--apertures", "8"), "whole pupil"),
        (("--apertures", "2.8", "--whole-pupil"), "wider than f/3.5"),
        (("--apertures", "8,wide", "--whole-pupil"), "'wide' is not an f-number"),
        (("--apertures", "8", "--whole-pupil", "--firing", 99), "firing 99 is asked for"),
    ],
)
def test_stopped_down_refuses_clearly(capsys, recording, arguments, says):
    status, _, err = run(capsys, "shutter", "stopped-down", recording, "--wide-open", 3.5, *arguments)
    assert status == 2
    assert says in err


def test_the_aperture_goes_with_the_reading(capsys, recording):
    _, out, _ = run(capsys, "shutter", "read", recording, "--aperture", 4.5, "--json")
    assert json.loads(out)["recording"]["aperture"] == 4.5


def test_sync_says_how_the_contact_lies_and_warns(capsys, tmp_path):
    light, (truth,) = simulate([exposure_lasting(1 / 30, opening_s=2e-3, closing_s=2e-3)], SoundInput(noise_rms=0.003))
    time = np.arange(light.size) / 48_000
    contact = 0.5 * ((time >= truth.start_s + 3e-3) & (time < truth.start_s + 9e-3))
    soundfile.write(tmp_path / "a.wav", np.stack([light, contact], axis=1), 48_000)
    _, out, _ = run(capsys, "shutter", "sync", tmp_path / "a.wav", "--setting", "X", "--json")
    assert json.loads(out)["firings"][0]["verdict"] == "within"
    _, out, _ = run(capsys, "shutter", "sync", tmp_path / "a.wav", "--setting", "X")
    assert "Caution" in out


def test_clicks_are_read_with_a_stored_offset(capsys, tmp_path):
    samples, _ = simulate_clicks([0.2, 0.1], sample_rate_hz=48_000.0)
    soundfile.write(tmp_path / "a.wav", samples, 48_000)
    arguments = ("shutter", "read", tmp_path / "a.wav", "--kind", "sound")
    _, out, _ = run(capsys, *arguments, "--click-offset", "1 ms", "--json")
    assert [f["open_s"] for f in json.loads(out)["firings"]] == pytest.approx([0.201, 0.101], abs=1e-3)
    _, out, _ = run(capsys, *arguments)
    assert "between clicks" in out
    status, _, err = run(capsys, *arguments, "--click-offset", "1")
    assert status == 2
    assert "unit is needed" in err


def test_the_first_shot_after_rest_is_kept_apart(capsys, recording):
    arguments = ("shutter", "dial", recording, "--marked", "1/2,1/50", "--shots", 2, "--rested")
    _, out, _ = run(capsys, *arguments, "--json")
    data = json.loads(out)
    assert [row["n"] for row in data["dial"]["rows"]] == [2, 2]
    assert data["rested"][0]["rested_s"] == pytest.approx(0.5, rel=1e-3)
    _, out, _ = run(capsys, *arguments)
    assert "after rest" in out


def dial(capsys, recording, *more):
    status, out, err = run(
        capsys, "shutter", "dial", recording, "--marked", "1/2,1/50", "--shots", "3", *more, "--json"
    )
    return status, json.loads(out)["dial"]["rows"] if status == 0 else err


def test_a_struck_shot_keeps_its_place_and_counts_for_nothing(capsys, recording):
    _, rows = dial(capsys, recording, "--strike", "2")
    assert [row["n"] for row in rows] == [2, 3]
    assert rows[0]["mean_s"] == pytest.approx((0.5 + 0.52) / 2, rel=1e-3)


def test_firings_shot_in_any_order_go_to_the_speed_nearest_to_them(capsys, recording):
    _, rows = dial(capsys, recording, "--nearest")
    assert [row["n"] for row in rows] == [3, 3]
    status, said = dial(capsys, recording, "--nearest", "--rested")
    assert (status, "told by their order" in said) == (2, True)


def test_the_top_speed_may_have_a_tolerance_of_its_own(capsys, recording):
    _, rows = dial(capsys, recording, "--tolerance-stops", "1/3", "--top-tolerance-stops", "1/4")
    assert rows[0]["tolerance_stops"] == pytest.approx(1 / 3)
    status, said = dial(capsys, recording, "--top-tolerance-stops", "-1")
    assert (status, "--top-tolerance-stops" in said) == (2, True)


def test_a_firing_tells_its_coupling_and_what_the_fit_leaves_over(capsys, recording):
    _, out, _ = run(capsys, "shutter", "read", recording, "--json")
    firing = json.loads(out)["firings"][0]
    assert firing["coupling_hz"] == []
    # White noise of known size and the right model: the mean square left over is that of the noise.
    assert firing["residual_ratio"] == pytest.approx(1, abs=0.2)
