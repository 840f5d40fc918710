"""The focus commands: their JSON names, their tables, and their refusals."""

import json
import math

import numpy as np
import pytest
from PIL import Image
from scipy import ndimage

BUDGET = ("--aperture", "3.5", "--circle", "0.05mm")


def run(run_command, *arguments):
    """Run a focus command; return exit status, output and errors."""
    return run_command("focus", *arguments)


def answer(run_command, *arguments):
    """Return the JSON of a focus command that succeeds."""
    status, out, err = run(run_command, *arguments, "--json")
    assert (status, err) == (0, "")
    return json.loads(out)


@pytest.mark.parametrize(("origin", "expected"), [("film", 3.0456), ("lens", 2.9221)])
def test_the_extension_for_two_metres(run_command, origin, expected) -> None:
    found = answer(run_command, "extension", "--focal-length", "75mm", "--distance", "2m", "--from", origin)
    assert found["extension_mm"] == pytest.approx(expected, abs=5e-5)
    assert found["magnification"] == pytest.approx(expected / 75, abs=1e-6)


def test_units_are_free_on_the_command_line(run_command) -> None:
    metric = answer(run_command, "extension", "--focal-length", "76.2mm", "--distance", "1828.8mm")
    inches = answer(run_command, "extension", "--focal-length", "3in", "--distance", "6ft")
    assert metric["extension_mm"] == pytest.approx(inches["extension_mm"])


def test_the_extension_turns_the_helical(run_command) -> None:
    # f 80, u 2 m, lead 12 mm: by arithmetic 100 degrees.
    found = answer(
        run_command,
        *("extension", "--focal-length", "80mm", "--distance", "2m"),
        *("--from", "lens", "--lead", "12mm"),
    )
    assert found["rotation_deg"] == pytest.approx(100)
    assert found["rotation_turns"] == pytest.approx(100 / 360)


def test_the_budget_with_its_depth_of_field(run_command) -> None:
    found = answer(
        run_command,
        *("budget", *BUDGET, "--focal-length", "75mm", "--distance", "3m"),
        *("--error", "0.04mm", "--u", "0.01mm"),
    )
    assert found["budget_half_width_mm"] == pytest.approx(0.175)
    assert found["hyperfocal_mm"] == pytest.approx(32217.86, abs=0.005)
    assert (found["near_mm"], found["far_mm"]) == pytest.approx((2749.77, 3300.33), abs=0.005)
    assert found["share"] == pytest.approx(0.04 / 0.175)
    assert found["verdict"] == "within"


def test_what_is_infinite_is_null(run_command) -> None:
    assert answer(run_command, "budget", *BUDGET, "--focal-length", "75mm")["far_mm"] is None


def test_the_start_is_said_in_plain_words(run_command) -> None:
    arguments = (
        *("start", "--measured", "41.78mm", "--wanted", "41mm", "--u", "0.02mm"),
        *("--lead", "3mm", "--starts", 4),
    )
    found = answer(run_command, *arguments, "--met-at", "30deg", "--clock", "10", "--engaged", "1mm")
    assert found["advice"] == "one start out: re-enter one start earlier"
    assert found["candidates"][0]["starts_out"] == [1]
    assert [entry["clock_deg"] for entry in found["entries"]] == [30, 300, 210, 120]
    assert found["parting"] == [{"helical": 0, "turn_deg": 120, "clock_deg": 130}]
    assert "re-enter one start earlier" in run(run_command, *arguments)[1]


def test_one_side_of_the_height_cannot_tell_the_start(run_command) -> None:
    found = answer(run_command, "start", "--at-least", "0.5mm", "--lead", "3mm", "--starts", 4)
    assert found["answer"] == "cannot tell"
    assert found["candidates"][0]["left_mm"] is None


def test_nested_helicals(run_command) -> None:
    found = answer(
        run_command,
        *("start", "--height-error", "-0.71mm", "--u", "0.02mm", "--lead", "12mm", "--starts", 6),
        *("--inner-lead", "2.8mm", "--inner-starts", 4, "--inner-subtracts"),
        *("--clock", "0deg", "--engaged", "6mm", "--inner-engaged", "0.7mm"),
    )
    assert found["candidates"][0]["starts_out"] == [0, 1]
    assert found["lead_mm"] == pytest.approx(9.2)
    assert [(p["helical"], p["clock_deg"]) for p in found["parting"]] == [(1, pytest.approx(90)), (0, 180)]


def test_a_height_error_as_turn_shim_and_leaves(run_command) -> None:
    arguments = (
        *("datum", "--height-error", "-0.1mm", "--u", "0.01mm", "--lead", "3mm", *BUDGET),
        *("--leaf", "0.05mm", "--leaf", "0.04mm", "--leaf", "2thou"),
    )
    found = answer(run_command, *arguments)
    assert (found["turn_deg"], found["turn_turns"]) == pytest.approx((-12, -1 / 30))
    assert (found["shim_mm"], found["u_shim_mm"]) == pytest.approx((0.1, 0.01))
    assert found["stacks"][-1]["leaves_mm"] == pytest.approx([0.051, 0.05])
    assert "out by 12.0 deg" in run(run_command, *arguments)[1]


def test_infinity_from_ground_glass_readings(run_command) -> None:
    arguments = (
        *("infinity", "--focal-length", "75mm", "--sharpest", "-0.35mm..-0.25mm", "--lead", "12mm"),
        *("--erection", "40.02mm", "--erection", "40.05mm", "--erection", "39.99mm", *BUDGET),
    )
    found = answer(run_command, *arguments)
    assert found["infinity_error_mm"] == pytest.approx(0.30)
    assert found["turn_deg"] == pytest.approx(9)
    assert found["erection_sd_mm"] == pytest.approx(0.03)
    assert found["u_as_used_mm"] == pytest.approx(math.sqrt(0.05**2 / 3 + 2 * 0.03**2))
    assert "screw it in by 9.0 deg" in run(run_command, *arguments)[1]


def test_infinity_from_angles(run_command) -> None:
    found = answer(
        run_command,
        *("infinity", "--focal-length", "75mm", "--sharpest", "-12deg..-6deg", "--stop", "0deg", "--lead", "12mm"),
    )
    assert found["turn_deg"] == pytest.approx(9)


@pytest.fixture
def photographs(tmp_path):
    """A series of the ground glass, sharpest at 0.10 mm."""
    rng = np.random.default_rng(1)
    target = 40 + 150 * np.kron(rng.random((16, 16)), np.ones((8, 8)))
    for setting in np.linspace(-0.8, 0.7, 11):
        blurred = ndimage.gaussian_filter(target, 1 + 6 * abs(setting - 0.1))
        noisy = blurred + rng.normal(0, 1.5, blurred.shape)
        Image.fromarray(noisy.astype(np.uint8)).save(tmp_path / f"{setting:.2f}.png")
    return {float(path.stem): path for path in tmp_path.glob("*.png")}


def test_infinity_from_photographs(run_command, photographs) -> None:
    pairs = [part for setting, path in photographs.items() for part in ("--photo", f"{setting}mm={path}")]
    found = answer(run_command, "infinity", "--focal-length", "75mm", *pairs, *BUDGET)
    assert found["sharpest_mm"] == pytest.approx(0.10, abs=0.03)
    assert found["u_sharpest_mm"] < 0.03
    assert len(found["series"]["sharpness"]) == 11


def test_photographs_that_stop_short_of_the_peak_say_which_way_to_go_on(run_command, photographs) -> None:
    short = {setting: path for setting, path in photographs.items() if setting < 0}
    pairs = [part for setting, path in short.items() for part in ("--photo", f"{setting}mm={path}")]
    status, _, err = run(run_command, "infinity", "--focal-length", "75mm", *pairs)
    assert status == 2
    assert "go on upwards from -0.05 mm" in err


def test_a_scale_fitted(run_command) -> None:
    marks = [("inf", 2.0), ("5m", 36.8), ("2m", 93.366), ("1m", 202.1)]
    arguments = [part for distance, angle in marks for part in ("--mark", f"{distance}={angle}deg")]
    found = answer(run_command, "scale", "--focal-length", "75mm", *arguments, "--u-angle", "0.5deg", *BUDGET)
    assert found["lead_mm"] == pytest.approx(12, abs=0.02)
    assert found["offset_deg"] == pytest.approx(2, abs=0.3)
    assert found["marks"][0]["engraved_mm"] is None
    assert {mark["verdict"] for mark in found["marks"]} == {"within"}


@pytest.fixture
def efforts(tmp_path):
    path = tmp_path / "effort.csv"
    rows = ["position,surface,ring,way,force"]
    for position in range(0, 100, 10):
        for way in ("out", "in"):
            rub = 80 if 40 <= position <= 60 else 0
            rows.append(f"{position},dry,on,{way},{100 + rub} gf")
            rows.append(f"{position},dry,off,{way},100 gf")
    path.write_text("\n".join(rows))
    return path


def test_a_rub_from_a_file_of_efforts(run_command, efforts) -> None:
    found = answer(run_command, "effort", efforts, "--u", "5gf", "--scuff", 52)
    (zone,) = found["rubs"][0]["zones"]
    assert (zone["first"], zone["last"], zone["scuffs"]) == (40, 60, [52])
    assert zone["greatest_n"] == pytest.approx(80 * 9.80665e-3)
    assert (
        "the ring rubs at 40 to 60 where scuffs are seen"
        in run(run_command, "effort", efforts, "--u", "5gf", "--scuff", 52)[1]
    )


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("50,wet,on,out,1", "line 22: 'wet' is no surface; say dirty, dry, greased"),
        ("50,dry,on,out,", "line 22: there is no force"),
        ("half,dry,on,out,1", "line 22: 'half' is no position"),
        ("50,dry,on,out,1mm", "line 22: '1mm' is a length, not a force"),
    ],
)
def test_a_line_of_efforts_that_cannot_be_read_is_named(run_command, efforts, line, words) -> None:
    lines = efforts.read_text().splitlines()
    efforts.write_text("\n".join([*lines[:21], line, *lines[21:]]))
    status, _, err = run(run_command, "effort", efforts, "--u", "5gf")
    assert status == 2
    assert words in err


def test_a_front_cell(run_command) -> None:
    found = answer(
        run_command,
        *("front-cell", "--front", "40mm", "--rear", "-120mm", "--separation", "10mm"),
        *("--distance", "1m", "--from", "front", "--lead", "3mm", "--starts", 4),
        *("--image-error", "1.3mm", "--u", "0.05mm", *BUDGET),
    )
    assert found["travel_mm"] == pytest.approx(1.66667, abs=5e-6)
    assert found["turn_deg"] == pytest.approx(200)
    assert found["advice"] == "one start out: re-enter one start earlier"
    assert found["step_share"] > 1


def test_a_front_cell_known_by_its_travel(run_command) -> None:
    found = answer(
        run_command,
        *("front-cell", "--travel", "1.66667mm", "--distance", "1m", "--from", "front"),
        *("--focal-length", "53.3333mm", "--separation", "10mm"),
    )
    assert found["front_focal_length_mm"] == pytest.approx(40, abs=1e-3)
    assert found["rear_focal_length_mm"] == pytest.approx(-120, abs=0.05)


def test_a_rangefinder(run_command) -> None:
    arguments = (
        *("rangefinder", "--focal-length", "75mm", "--reading", "inf=20m", "--reading", "3m=2.6m"),
        *("--reading", "1m=0.95m", "--u", "0.02mm", *BUDGET),
    )
    found = answer(run_command, *arguments)
    assert found["first"] == "offset"
    assert found["offset_mm"] == pytest.approx(0.282, abs=0.001)
    assert "offset first, at infinity" in run(run_command, *arguments)[1]


def test_apertures_from_diameters_and_a_photograph(run_command, tmp_path) -> None:
    y, x = np.mgrid[:200, :200]
    disc = np.where(np.hypot(x - 100, y - 100) <= 75 / 16 / 2 / 0.05, 220, 20).astype(np.uint8)
    Image.fromarray(disc).save(tmp_path / "f16.png")
    arguments = (
        *("aperture", "--focal-length", "75mm", "--diameter", "f/4=18.75mm", "--diameter", "8=9.375mm"),
        *("--diameter", "11=8.3mm", "--u", "0.05mm"),
        *("--photo", f"16={tmp_path / 'f16.png'}", "--mm-per-pixel", "0.05mm", "--blades", 10),
    )
    found = answer(run_command, *arguments)
    assert found["off"] == [11]
    assert [setting["marked"] for setting in found["settings"]] == [4, 8, 11, 16]
    assert found["settings"][3]["error_stop"] == pytest.approx(0, abs=0.03)
    assert found["openings"][0]["uneven"] < 0.02
    assert "f/11 stands apart" in run(run_command, *arguments)[1]


def test_a_missing_spacer(run_command) -> None:
    found = answer(
        run_command,
        *("spacers", "--spacer", "ring=0.50,0.51,0.50", "--spacer", "paper=0.12", "--missing", "paper"),
        *("--radius", "20mm", "--u", "5um", "--half-diagonal", "50mm", *BUDGET),
    )
    assert found["infinity_error_mm"] == pytest.approx(-0.12)
    assert found["missing"] == ["paper"]
    assert found["corner_error_mm"] > 0
    assert [spacer["name"] for spacer in found["spacers"]] == ["ring", "paper"]


LENS = ("--focal-length", "75mm")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("extension", *LENS, "--distance", "20cm"), "shorter than a lens of 75 mm allows"),
        (("extension", "--focal-length", "75N", "--distance", "2m"), "is a force, not a length"),
        (("extension", *LENS), "Missing option '--distance'"),
        (("extension", *LENS, "--distance", "far"), "--distance: 'far' does not begin with a number"),
        (("datum", "--height-error", "0.1mm", "--lead", "0"), "lead: 0 mm is not greater than zero"),
        (("datum", "--measured", "41mm"), "both --measured and --wanted"),
        (("datum", "--height-error", "0.1mm", "--aperture", "3.5"), "give --format 6x9 or --circle"),
        (("datum", "--height-error", "0.1mm", "--format", "6x9"), "--aperture: it is missing"),
        (("budget", "--aperture", "bright", "--format", "6x9"), "--aperture: 'bright' is not a number"),
        (("budget", "--aperture", "3.5", "--format", "9x9"), "--format: '9x9' is no frame known here"),
        (("start", "--height-error", "1mm", "--lead", "0mm", "--starts", "4"), "lead"),
        (("start", "--height-error", "1mm", "--lead", "3mm", "--starts", "0"), "is not a count of threads"),
        (("start", "--height-error", "1mm", "--lead", "3mm", "--starts", "4", "--clock", "9"), "a part is missing"),
        (("infinity", *LENS), "either settings or photographs"),
        (("infinity", *LENS, "--sharpest", "3deg"), "--lead: a setting in degrees needs it"),
        (("infinity", *LENS, "--sharpest", "3N"), "is a force, not a length"),
        (("infinity", *LENS, "--sharpest", "0.1mm", "--target", "20cm"), "shorter than a lens"),
        (("infinity", *LENS, "--sharpest", "0.1mm", "--erection", "40mm"), "open and close it five times"),
        (("infinity", *LENS, "--photo", "0.1mm=none.jpg"), "none.jpg: there is no such file"),
        (("scale", *LENS, "--mark", "2m"), "write it as distance=angle"),
        (("scale", *LENS), "take them at two or more places"),
        (("effort", "none.csv", "--u", "5gf"), "none.csv: it cannot be read"),
        (("front-cell", "--separation", "10mm", "--rear", "-120mm"), "--front: it is missing"),
        (("rangefinder", *LENS, "--reading", "1m=1.1m"), "take them at two or more places"),
        (("aperture", *LENS), "there are none"),
        (("aperture", *LENS, "--photo", "8=a.png"), "the photographs have no scale"),
        (("spacers", "--radius", "20mm", "--spacer", "ring"), "write ring=0.50,0.51,0.50"),
        (("spacers", "--radius", "20mm", "--missing", "tin"), "'tin' is none of those that belong in"),
    ],
)
def test_bad_input_is_one_line_and_status_two(run_command, arguments, words) -> None:
    status, out, err = run(run_command, *arguments)
    assert (status, out) == (2, "")
    assert err.startswith("asfound: ")
    assert err.count("\n") == 1
    assert words in err


def test_photographs_of_different_sizes_are_refused(run_command, photographs) -> None:
    first, second = list(photographs.values())[:2]
    Image.new("L", (64, 64), 100).save(second)
    pairs = ("--photo", f"0mm={first}", "--photo", f"1mm={second}")
    status, _, err = run(run_command, "infinity", "--focal-length", "75mm", *pairs)
    assert status == 2
    assert "64 x 64 pixels, the first 128 x 128" in err
