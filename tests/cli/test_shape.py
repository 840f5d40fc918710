import json

import numpy as np
import pytest
from PIL import Image

COOKBOOK = "x_mm,y_mm\n9,34\n35,10\n-13,6\n10,-14\n23,27\n0,-10\n"


@pytest.fixture
def run(tmp_path, run_command):
    """Run a command on files given by content; return exit status, output and errors."""

    def go(*words, **files):
        for name, text in files.items():
            (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
        words = [str(tmp_path / w) if w.endswith(".csv") else w for w in words]
        return run_command(*words)

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


def test_a_stated_uncertainty_goes_into_the_out_of_round(run):
    _, out, _ = run("shape", "ring", "a.csv", "--json", "--uncertainty", "0.01", a=COOKBOOK)
    zone = json.loads(out)["minimum_zone"]
    # Root of the sum of squares of the contacts' weights (JCGM 100:2008, equation 10): between 1 and root 2.
    assert 0.01 <= zone["u_out_of_round_mm"] <= 0.01 * 2**0.5
    assert zone["u_out_of_round_mm"] == pytest.approx(0.01 * np.hypot.reduce(zone["certificate"]["weights"]))


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


def test_plane_prints_both_planes_as_json(run):
    rows = [4, 7, 3, 9, 12, 6, 2, 8, 5]
    text = "x_mm,y_mm,z_mm\n" + "".join(f"{20 * (i % 3)},{20 * (i // 3)},{z / 1000}\n" for i, z in enumerate(rows))
    status, out, _ = run("shape", "plane", "a.csv", "--json", a=text)
    assert status == 0
    data = json.loads(out)
    # Least squares by hand, zone by linear program.
    assert data["least_squares"]["flatness_mm"] == pytest.approx(10.33333e-3, abs=5e-8)
    assert data["minimum_zone"]["flatness_mm"] == pytest.approx(9.5e-3, abs=1e-8)
    assert {"tilt_x_deg", "tilt_y_deg"} <= set(data["minimum_zone"])


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("x_mm,y_mm,z_mm\n0,0,1\n1,1,2\n", "three or more"),
        ("x_mm,y_mm,z_mm\n0,0,1\n1,1,2\n2,2,3\n", "one line"),
        ("x_mm,y_mm\n0,0\n", "z_mm"),
    ],
)
def test_a_bad_plane_is_one_line_on_stderr(run, text, says):
    status, out, err = run("shape", "plane", "a.csv", "--json", a=text)
    assert (status, out) == (2, "")
    assert err.count("\n") == 1
    assert says in err


def test_standard_is_typed_in_hundredths_from_the_first_corner(run):
    words = ("--width", "60", "--height", "40", "--frame", "84x56", "--aperture", "3.5", "--hundredths")
    status, out, _ = run("shape", "standard", "50.02", "8", "4", "-4", *words, "--json")
    assert status == 0
    data = json.loads(out)
    assert data["least_squares"]["tilt_deg"] == pytest.approx(0.0954929, abs=5e-8)
    assert data["apertures"][0]["worst_defocus_mm"] == pytest.approx(0.084)
    assert data["apertures"][0]["verdict"] == "within"
    assert len(data["grid"]["defocus_mm"]) == len(data["grid"]["y_mm"])
    _, out, _ = run("shape", "standard", "50.02", "8", "4", "-4", *words)
    assert "48% of the focus budget of ±0.175 mm" in out
    assert "first move" in out


@pytest.mark.parametrize(
    "words",
    [
        ("1", "2", "3"),
        ("1", "2", "3", "x", "--hundredths"),
        ("1", "2", "3", "4", "--frame", "6"),
        ("1", "2", "3", "4", "--strut", "a"),
        ("1", "2", "3", "4gf"),
    ],
)
def test_a_bad_standard_is_one_line_on_stderr(run, words):
    status, out, err = run("shape", "standard", *words, "--width", "60", "--height", "40")
    assert (status, out) == (2, "")
    assert err.startswith("asfound: ")
    assert err.count("\n") == 1


def test_erection_gives_scatter_and_compares_struts(run):
    heights = ("40.02", "40.05", "40.03", "40.04", "40.02")
    struts = ("--push", "5N", "--pull", "5N", "--strut", "left 40.00 40.05", "--strut", "right 40.00 40.20")
    _, out, _ = run("shape", "erection", *heights, *struts, "--json")
    data = json.loads(out)
    assert data["scatter_mm"] == pytest.approx(np.std([float(h) for h in heights], ddof=1))
    assert data["struts"][0]["name"] == "right"
    assert data["struts"][0]["give_mm_n"] == pytest.approx(0.02)
    assert data["struts"][0]["verdict"] == "weaker"
    _, out, _ = run("shape", "erection", *heights)
    assert "every focus uncertainty" in out
    status, _, err = run("shape", "erection", "40.0")
    assert status == 2
    assert "asfound: " in err


def test_fit_gives_play_rattle_and_what_takes_it_up(run):
    words = ("--hole", "2.05", "--pin", "1.98", "--radius", "15", "--keep", "0.02", "--shim", "0.05")
    _, out, _ = run("shape", "fit", *words, "--json")
    data = json.loads(out)
    assert data["play_mm"] == pytest.approx(0.07)
    assert data["rattle_deg"] == pytest.approx(0.2674, abs=1e-4)
    assert data["shim_mm"] == pytest.approx(0.05)
    assert data["remains_mm"] == pytest.approx(0.02)
    assert data["free"] == "within"
    _, out, _ = run("shape", "fit", *words)
    assert "thou" in out
    status, _, err = run("shape", "fit", "--hole", "2.05", "--pin", "x")
    assert status == 2
    assert "--pin" in err


def test_target_is_written_as_a_pdf(run, tmp_path):
    status, out, _ = run("shape", "target", str(tmp_path / "square.pdf"), "--json")
    assert status == 0
    assert json.loads(out)["side_mm"] == 120
    assert (tmp_path / "square.pdf").read_bytes().startswith(b"%PDF")
    status, _, err = run("shape", "target", str(tmp_path / "none" / "square.pdf"))
    assert status == 2
    assert "cannot be written" in err


def test_a_ring_is_measured_in_a_photograph(run, tmp_path):
    rows, columns = np.mgrid[0:600, 0:600]
    # Six pixels a millimetre, square on: a square of 80 mm with bars of 6, a ring of radius 20 in it.
    x, y = (columns - 300) / 6, (300 - rows) / 6
    side, radius = np.maximum(np.abs(x), np.abs(y)), np.hypot(x, y)

    def within(outside_mm):
        return np.clip(0.5 - 6 * outside_mm, 0, 1)

    dark = np.maximum(within(side - 40) * within(34 - side), within(radius - 20) * within(15 - radius))
    grey = np.where(dark > 0, 255 * (1 - 0.95 * dark) ** (1 / 2.2), 255)
    Image.fromarray(grey.astype(np.uint8)).save(tmp_path / "ring.png")
    points = tmp_path / "edge.csv"
    words = ("shape", "photograph", str(tmp_path / "ring.png"), "--side", "80", "--points", str(points))
    status, out, _ = run(*words, "--json")
    assert status == 0
    data = json.loads(out)
    assert data["least_squares"]["radius_mm"] == pytest.approx(20, abs=0.02)
    assert data["minimum_zone"]["out_of_round_mm"] < 2 * data["u_out_of_round_mm"]
    _, again, _ = run("shape", "ring", str(points), "--json")
    assert json.loads(again)["least_squares"]["radius_mm"] == pytest.approx(data["least_squares"]["radius_mm"])
    status, out, _ = run(*words)
    assert "uncertainty" in out
    status, _, err = run("shape", "photograph", str(points))
    assert status == 2
    assert "no photograph" in err
    assert err.count("\n") == 1
