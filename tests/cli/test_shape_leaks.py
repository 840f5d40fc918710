"""Light leaks from the command line."""

import json

import numpy as np
import pytest
from PIL import Image


def photograph(path, places, *, seed=0):
    y, x = np.mgrid[:240, :320].astype(float)
    grey = 25 + 30 * np.abs((y + 20 * np.abs(x / 80 % 2 - 1)) / 30 % 1 - 0.5)
    for at_x, at_y in places:
        grey += 180 * np.exp(-((x - at_x) ** 2 + (y - at_y) ** 2) * 4 * np.log(2) / 36)
    grey += 2 * np.random.default_rng(seed).standard_normal(grey.shape)
    Image.fromarray(np.clip(grey, 0, 255).astype(np.uint8)).save(path, quality=88)
    return str(path)


@pytest.fixture
def before(tmp_path):
    return photograph(tmp_path / "before.jpg", ((80, 90), (200, 60)))


@pytest.fixture
def after(tmp_path):
    return photograph(tmp_path / "after.jpg", ((80, 90),), seed=1)


def test_spots_are_told_with_their_place_and_size(run_command, before):
    status, out, error = run_command("shape", "leaks", before, "--scale", "0,0 300,0 60mm")
    assert status == 0, error
    assert "outside: 2 spots of light" in out
    assert {"80.0", "200.0"} <= set(out.split())
    assert "a spot is invented about once in 1000 photographs that show none" in out


def test_two_photographs_are_compared_and_the_same_names_are_in_json(run_command, before, after):
    _, out, _ = run_command("shape", "leaks", before, "--after", after, "--json")
    data = json.loads(out)
    assert sorted(spot["state"] for spot in data["spots"]) == ["closed", "still there"]
    assert data["verdict"] == "outside"
    assert data["laid"]["how"].startswith("by what both show")
    assert {"x_px", "y_px", "fwhm_px", "light_share", "surety"} <= set(data["spots"][0])


def test_one_without_spots_is_no_proof_until_a_pinhole_shows(run_command, tmp_path):
    dark = photograph(tmp_path / "dark.jpg", ())
    assert "cannot tell" in run_command("shape", "leaks", dark)[1]
    assert "within: no spot of light" in run_command("shape", "leaks", dark, "--shown")[1]


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (("--scale", "12"), "--scale: '12' is no scale"),
        (("--scale", "a,b 1,2 3mm"), "--scale: 'a,b' is no place in pixels"),
        (("--scale", "1,2 3,4 0mm"), "is no distance"),
        (("--mark", "1,2=3,4"), "--after: there is no second photograph"),
    ],
)
def test_what_is_wrong_is_one_line(run_command, before, more, said):
    status, _, error = run_command("shape", "leaks", before, *more)
    assert status == 2
    assert said in error
    assert error.count("\n") == 1


def test_a_file_that_is_no_photograph_is_refused_in_one_line(run_command, tmp_path):
    path = tmp_path / "x.jpg"
    path.write_text("no")
    status, _, error = run_command("shape", "leaks", str(path))
    assert status == 2
    assert "x.jpg" in error
