import json

import numpy as np
import pytest

from asfound.cli.main import main

COOKBOOK = "x_mm,y_mm\n9,34\n35,10\n-13,6\n10,-14\n23,27\n0,-10\n"


@pytest.fixture
def run(tmp_path, capsys):
    """Run a command on files given by content; return exit status, output and errors."""

    def go(*words, **files):
        for name, text in files.items():
            (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
        words = [str(tmp_path / w) if w.endswith(".csv") else w for w in words]
        status = 0
        try:
            main(words)
        except SystemExit as stop:
            status = stop.code
        output = capsys.readouterr()
        return status, output.out, output.err

    return go


def radii(order=2, amplitude=0.02, step=10):
    angle = np.arange(0, 360, step)
    return "angle_deg,radius_mm\n" + "".join(
        f"{a},{10 + amplitude * np.cos(order * np.radians(a - 20)):.9f}\n" for a in angle
    )


def test_ring_prints_four_circles_as_json(run):
    status, out, _ = run("shape", "ring", "a.csv", "--json", a=COOKBOOK)
    assert status == 0
    data = json.loads(out)
    assert data["least_squares"]["centre_mm"] == pytest.approx([10.5000862, 9.6599495], abs=6e-8)
    assert data["minimum_zone"]["out_of_round_mm"] == pytest.approx(2.9245918, abs=6e-8)
    assert data["minimum_zone"]["outer_radius_mm"] - data["minimum_zone"]["inner_radius_mm"] == pytest.approx(
        data["minimum_zone"]["out_of_round_mm"]
    )
    assert data["minimum_circumscribed"]["radius_mm"] == pytest.approx(24.1594002, abs=6e-8)
    assert set(data["maximum_inscribed"]) == {"centre_mm", "radius_mm", "out_of_round_mm"}


def test_ring_prints_lobes_as_json(run):
    _, out, _ = run("shape", "ring", "a.csv", "--json", a=radii())
    oval = next(h for h in json.loads(out)["harmonics"] if h["order"] == 2)
    assert oval["amplitude_mm"] == pytest.approx(0.02, abs=1e-6)
    assert oval["direction_deg"] == pytest.approx(20, abs=1e-3)


def test_ring_tells_a_person_where_to_press_and_what_cannot_be_known(run):
    status, out, _ = run("shape", "ring", "a.csv", a=radii())
    assert status == 0
    assert "press" in out
    assert "o'clock" in out
    assert "measure again" in out
    assert "thou" in out


def test_ring_tells_where_it_rubs_and_lays_scuffs_over_it(run):
    _, out, _ = run("shape", "ring", "a.csv", "--json", "--pointer", "10.01mm", "--scuff", "10:30", a=radii(step=2))
    data = json.loads(out)
    assert data["rub"]["short_mm"] == pytest.approx(0.01, abs=1e-4)
    assert data["rub"]["place_deg"] % 180 == pytest.approx(20, abs=2)
    assert data["scuffs"][0]["rubs_there"] is True


def test_diameters_come_with_what_they_hide(run):
    text = "angle_deg,diameter_mm\n" + "".join(f"{a},20\n" for a in range(0, 180, 15))
    _, out, _ = run("shape", "ring", "a.csv", "--json", a=text)
    assert any("odd lobes" in remark for remark in json.loads(out)["remarks"])


def test_clearances_by_clock_need_the_mating_radius(run):
    text = "clock,clearance_mm\n12,0.1\n3,0.12\n6,0.1\n9,0.12\n"
    status, out, _ = run("shape", "ring", "a.csv", "--json", "--mating-radius", "10", a=text)
    assert status == 0
    assert json.loads(out)["minimum_circumscribed"]["radius_mm"] == pytest.approx(9.9)
    status, _, err = run("shape", "ring", "a.csv", a=text)
    assert status == 2
    assert "--mating-radius" in err


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("x_mm,y_mm\n1,2\n3,4\n", "three or more"),
        ("x_mm,y_mm\n0,0\n1,1\n2,2\n", "one line"),
        ("angle_deg,radius_mm\n0,10\n30,10\n60,10\n", "do not go round"),
        ("x_mm,y_in\n0,0\n1,1\n2,2\n", "mixed units"),
        ("x_mm,y_mm\n0,0\n1,a\n2,2\n", "line 3"),
        ("nothing\n", "name the columns"),
    ],
)
def test_a_bad_ring_is_one_line_on_stderr(run, text, says):
    status, out, err = run("shape", "ring", "a.csv", "--json", a=text)
    assert status == 2
    assert out == ""
    assert err.startswith("asfound: ")
    assert err.count("\n") == 1
    assert says in err


def test_a_missing_or_binary_file_is_one_line_on_stderr(run, tmp_path):
    status, _, err = run("shape", "ring", "none.csv")
    assert status == 2
    assert "Traceback" not in err
    (tmp_path / "b.csv").write_bytes(b"\xff\xd8\xff\xe0")
    status, _, err = run("shape", "ring", "b.csv")
    assert status == 2
    assert "not a text file" in err
